package report

import (
	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// Sheets draws the crew's whole set in order, numbered n of N: plan, section, notches, furring, cutting, channel and gutter. Long
// schedules run over as many sheets as they need; a kind with nothing to show has none.
func Sheets(job Job, in calc.Input, p calc.Plan) ([]*draw.Drawing, error) {
	d, err := newDeck(job, in, p)
	if err != nil {
		return nil, err
	}
	plan, err := d.planSheet()
	if err != nil {
		return nil, err
	}
	all := []*sheet{plan}
	if s, ok := d.sectionSheet(); ok {
		all = append(all, s)
	}
	return d.numbered(all), nil
}

// numbered adds the title blocks.
func (d *deck) numbered(all []*sheet) []*draw.Drawing {
	var out []*draw.Drawing
	for i, s := range all {
		s.titleBlock(d.job, d.system(), i+1, len(all))
		out = append(out, s.Drawing)
	}
	return out
}
