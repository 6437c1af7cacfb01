package survey

import "time"

// TotalsOf is what will stay of a survey when it is erased: r with its computed ceiling, what was issued and decided, and how far it has come. The price is 0 when it cannot
// be read.
func TotalsOf(r Record, c Ceiling, issued []Revision, made []Approval, s Standing) Totals {
	t := Totals{Photos: len(r.Photos), Pins: len(r.Pins), Revisions: len(issued), Decisions: len(made), Visit: r.Survey.VisitDate, Finished: dayOf(s.FinishedAt)}
	if c.Plan != nil {
		for _, z := range c.Plan.Zones {
			t.Panels, t.AreaSqFt = t.Panels+z.Panels.Count, t.AreaSqFt+z.AreaFt2
		}
	}
	if _, cents, err := PriceLines(r.ScopeText(ScopePrice)); err == nil {
		t.PriceCents = cents
	}
	if len(issued) > 0 {
		t.Issued = dayOf(issued[len(issued)-1].At)
	}
	if a, ok := NewestApproved(made); ok {
		t.Approved = dayOf(a.At)
	}
	return t
}

// dayOf is the day of a time, UTC, empty for none.
func dayOf(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.DateOnly)
}
