package report

import (
	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// sheetSet draws the crew's whole set in order, numbered n of N: plan, section, notches, furring, cutting, channel and gutter. Long
// schedules run over as many sheets as they need; a kind with nothing to show has none.
func sheetSet(job drawnJob, in calc.Input, p calc.Plan) ([]*draw.Drawing, error) {
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
	for _, part := range [][]*sheet{d.notchSheets(), d.furringSheets(), d.cuttingSheets(), d.channelSheets()} {
		all = append(all, part...)
	}
	return d.numbered(all), nil
}

// numbered adds the title blocks; sheets of one title say which of them they are.
func (d *deck) numbered(all []*sheet) []*draw.Drawing {
	total, nth := map[string]int{}, map[string]int{}
	for _, s := range all {
		total[s.title]++
	}
	var out []*draw.Drawing
	for i, s := range all {
		if name := s.title; total[name] > 1 {
			nth[name]++
			s.title = name + " (" + itoa(nth[name]) + " of " + itoa(total[name]) + ")"
			s.Title = s.title
		}
		s.titleBlock(d.job, d.system(), i+1, len(all))
		out = append(out, s.Drawing)
	}
	return out
}
