package calc

import (
	"math"

	"undercroft/calc/words"
)

// price puts a price on every line that has one, adds labour, and totals them; nil when the profile has neither.
func (b *bill) price(s System) *money {
	if len(s.Prices) == 0 && (len(s.Labour) == 0 || s.LabourCentsPerHour == 0) {
		return nil
	}
	m := &money{Unpriced: []string{}}
	minutes := 0.0
	for i := range b.lines {
		l := &b.lines[i]
		if cents, ok := priceOf(s.Prices, *l); ok {
			total := int64(math.Ceil(units(*l)-tol)) * cents
			l.Cents = &total
			m.MaterialCents += total
		} else if len(s.Prices) > 0 {
			m.Unpriced = append(m.Unpriced, l.Label)
		}
		for _, work := range s.Labour {
			if work.Item == l.Item {
				minutes += work.Minutes * l.Need
			}
		}
	}
	if minutes > 0 && s.LabourCentsPerHour > 0 {
		cents := int64(math.Round(minutes / 60 * float64(s.LabourCentsPerHour)))
		b.add(Item{Item: "labour", Said: words.Say("labour at %d.%02d an hour", s.LabourCentsPerHour/100, s.LabourCentsPerHour%100), Need: minutes / 60,
			Unit: "hour", Because: words.Say("labour rates of the profile times the lines above"), Cents: &cents})
		m.LabourCents = cents
	}
	m.TotalCents = m.MaterialCents + m.LabourCents
	return m
}

// units is what is paid for: packs, or the need with its waste.
func units(l Item) float64 {
	if l.Packs != nil {
		return float64(*l.Packs)
	}
	return l.Need * (1 + l.Waste)
}

// priceOf is the price of a line's item, and of its stock length where it has one. A spare costs what its material does.
func priceOf(prices []price, l Item) (int64, bool) {
	item := l.Item
	switch item {
	case "spare-panel":
		item = "panel"
	case "spare-carrier":
		item = "carrier"
	}
	for _, p := range prices {
		if p.Item == item && math.Abs(float64(p.Length)-l.Length) <= tol {
			return p.Cents, true
		}
	}
	return 0, false
}
