package backup

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// TestKeep keeps the newest sets and removes the files that only older ones had.
func TestKeep(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	make := func() Result {
		t.Helper()
		return must(Make(t.Context(), Config{Data: h.dir, Target: target, Keep: 2, Now: time.Now}))(t)
	}
	p, _, err := h.photo(t.Context(), 1, 10_000)
	if err != nil {
		t.Fatal(err)
	}
	first, second := make(), make()
	if len(first.Removed)+len(second.Removed) > 0 {
		t.Errorf("removed %q, %q", first.Removed, second.Removed)
	}
	third := make()
	if diff := cmp.Diff([]string{first.Name}, third.Removed); diff != "" || third.Swept != 0 {
		t.Error(diff, third.Swept)
	}
	stray := filepath.Join(target, blobName(strings.Repeat("ab", 32))) // of a set that is gone
	if err := os.WriteFile(stray, nil, 0o400); err != nil {
		t.Fatal(err)
	}
	if r := make(); r.Swept != 1 || r.Warning != "" {
		t.Errorf("swept %d, %q", r.Swept, r.Warning)
	}
	if _, err := os.Stat(filepath.Join(target, blobName(p.SHA256))); err != nil {
		t.Error("a file that is named was removed:", err)
	}
	if err := os.WriteFile(stray, nil, 0o400); err != nil {
		t.Fatal(err)
	}
	last := make()
	flip(t, filepath.Join(target, setsName, last.Name, sumsName))
	if r := make(); r.Swept != 0 || !strings.Contains(r.Warning, last.Name) {
		t.Errorf("beside a set that cannot be read: swept %d, %q", r.Swept, r.Warning)
	}
}

// TestTheLastGoodSetStays, however many sets with flaws come after it.
func TestTheLastGoodSetStays(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	p, _, err := h.photo(t.Context(), 1, 10_000)
	if err != nil {
		t.Fatal(err)
	}
	h.back(t, target)
	good := h.back(t, target)
	if err := os.Remove(filepath.Join(h.dir, blobName(p.SHA256))); err != nil {
		t.Fatal(err)
	}
	var names []string
	for range 4 {
		r := must(Make(t.Context(), Config{Data: h.dir, Target: target, Keep: 2, Now: time.Now}))(t)
		if r.Good() {
			t.Fatal("it is called good")
		}
		names = append(names, r.Name)
	}
	var got []string
	for _, set := range must(List(target))(t) {
		got = append(got, set.Name)
	}
	if diff := cmp.Diff([]string{good.Name, names[2], names[3]}, got); diff != "" {
		t.Error(diff)
	}
	if got := h.restored(t, target, good.Name); len(got.Record.Photos) != 1 {
		t.Errorf("%d photos", len(got.Record.Photos))
	}
}
