package survey

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestPriceLines: amounts are read as they are typed and added up exactly in cents; what has none is refused by name. The sums are by hand.
func TestPriceLines(t *testing.T) {
	for name, c := range map[string]struct {
		text  string
		want  []PriceLine
		total int64
	}{
		"empty":         {" \n\n", nil, 0},
		"dollars":       {"Ceiling, panels and carriers $4,680.00\nLabor: 3150", []PriceLine{{"Ceiling, panels and carriers", "$4,680.00", 468000}, {"Labor", "3150", 315000}}, 783000},
		"a discount":    {"Gutter $960.10\nLess, for paint -$60.05", []PriceLine{{"Gutter", "$960.10", 96010}, {"Less, for paint", "-$60.05", -6005}}, 90005},
		"numbers first": {"2 gutters of 28 ft $1,204.50", []PriceLine{{"2 gutters of 28 ft", "$1,204.50", 120450}}, 120450},
	} {
		got, total, err := PriceLines(c.text)
		if err != nil || total != c.total {
			t.Errorf("%s: total %d, %v, want %d", name, total, err, c.total)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
	for _, bad := range []string{"Gutters", "Gutters $1,20", "Gutters $12.5", "$960.00", "Total $100.00", "Gutters free of charge", "Gutters $1.000,00"} {
		if got, _, err := PriceLines(bad); KindOf(err) != Invalid {
			t.Errorf("%q: got %v, %v, want it refused", bad, got, err)
		}
	}
}

func TestCompanyValidate(t *testing.T) {
	if err := (Company{Name: "Fenn", ValidDays: 30}).Validate(); err != nil {
		t.Error(err)
	}
	if err := (Company{ValidDays: -1}).Validate(); KindOf(err) != Invalid {
		t.Errorf("days below none: got %v", err)
	}
}
