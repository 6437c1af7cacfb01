package templates

import (
	"testing"
)

func TestLoad(t *testing.T) {
	set, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range set.Pages() {
		if set.Template(p) == nil {
			t.Errorf("page %s has no layout", p)
		}
	}
}
