package survey

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// The facts of what the homeowner's scope says that neither pins nor the deck tell. Those that list things have one a line.
const (
	ScopeFinish   = "scope.finish"
	ScopeIncluded = "scope.included"
	ScopeExcluded = "scope.excluded"
	ScopeRepairs  = "scope.repairs"
	ScopeBefore   = "scope.before"
	ScopePrice    = "scope.price"
	ScopePriceAt  = "scope.price_note"
)

// ScopeFields ask for them. All are texts and none is needed.
func ScopeFields() []Field {
	const group = "Scope"
	return []Field{
		{Key: ScopeFinish, Label: "Finish", Hint: "color and sheen of panels, trim and gutter", Group: group, Type: TypeText},
		{Key: ScopeIncluded, Label: "Also included", Hint: "one a line, besides what the plan says itself", Group: group, Type: TypeText},
		{Key: ScopeExcluded, Label: "Also not included", Hint: "one a line", Group: group, Type: TypeText},
		{Key: ScopeRepairs, Label: "Repaired first, and by whom", Hint: "one a line", Group: group, Type: TypeText},
		{Key: ScopeBefore, Label: "Before the day, by the homeowner", Hint: "one a line, besides what is always asked", Group: group, Type: TypeText},
		{Key: ScopePrice, Label: "Price", Hint: "one a line, the amount last: Gutters $960.00; the total is added up", Group: group, Type: TypeText},
		{Key: ScopePriceAt, Label: "About the price", Hint: "tax, when it is paid", Group: group, Type: TypeText},
	}
}

// ScopeText is the text of one of these facts, empty when nobody typed one.
func (r Record) ScopeText(key string) string { return strings.TrimSpace(r.Facts[key].Text) }

// ScopeLines are the lines of one of these facts that are not empty.
func (r Record) ScopeLines(key string) []string {
	var lines []string
	for _, l := range strings.Split(r.Facts[key].Text, "\n") {
		if l = strings.TrimSpace(l); l != "" {
			lines = append(lines, l)
		}
	}
	return lines
}

// PriceLine is one line of the price: what it is for, and the amount as it was typed. Cents is the amount read.
type PriceLine struct {
	What, Amount string
	Cents        int64
}

// priceAmount is an amount at the end of a line: dollars with or without the sign, thousands by commas, and cents.
var priceAmount = regexp.MustCompile(`^(.*?\S)[ \t:]+(-?\$?(?:\d{1,3}(?:,\d{3})+|\d{1,9})(?:\.\d{2})?)$`)

// PriceLines reads a price, one line each with its amount last, and adds it up, in cents. None for an empty text. Invalid names the line that has
// no amount, or that is a total, which would count twice.
func PriceLines(text string) (lines []PriceLine, total int64, err error) {
	for _, l := range strings.Split(text, "\n") {
		if l = strings.TrimSpace(l); l == "" {
			continue
		}
		m := priceAmount.FindStringSubmatch(l)
		if m == nil {
			return nil, 0, Errorf(Invalid, "%q has no amount at its end. Write it as: Gutters and downspouts $960.00", l)
		}
		what := strings.TrimRight(m[1], " \t:")
		if strings.EqualFold(what, "total") || strings.EqualFold(what, "sum") {
			return nil, 0, Errorf(Invalid, "Leave out the line %q: the total is added up from the others.", l)
		}
		cents, err := readCents(m[2])
		if err != nil {
			return nil, 0, Errorf(Invalid, "%q: the amount cannot be read. Write it as $1,204.50", l)
		}
		lines, total = append(lines, PriceLine{what, m[2], cents}), total+cents
	}
	return lines, total, nil
}

// readCents reads dollars as priceAmount finds them.
func readCents(amount string) (int64, error) {
	sign := int64(1)
	if rest, negative := strings.CutPrefix(amount, "-"); negative {
		sign, amount = -1, rest
	}
	whole, part, _ := strings.Cut(strings.ReplaceAll(strings.TrimPrefix(amount, "$"), ",", ""), ".")
	if part == "" {
		part = "00"
	}
	cents, err := strconv.ParseInt(whole+part, 10, 64)
	if err != nil {
		return 0, fmt.Errorf("read amount %q: %w", amount, err)
	}
	return sign * cents, nil
}

// OwnThing tells whether a pin shows a thing of its own, not one that another pin shows already.
func (r Record) OwnThing(p Pin) bool {
	_, again := sameAs(r, p)
	return !again
}
