package report

import (
	"undercroft/calc"
	"undercroft/survey/report/draw"
)

// sheetSet draws the crew's whole set in order, numbered n of N as the report shows them: plan, section, furring, notches, channel and gutter, cutting. Long
// schedules run over as many sheets as they need; a kind with nothing to show has none.
func sheetSet(job drawnJob, in calc.Input, p calc.Plan) ([]*draw.Drawing, error) {
	parts, err := sheetParts(job, in, p)
	if err != nil {
		return nil, err
	}
	var all []*draw.Drawing
	for _, part := range sheetOrder() {
		all = append(all, parts[part]...)
	}
	return all, nil
}

// sheetPart is what a drawing sheet is about.
type sheetPart string

// The parts of the set.
const (
	partPlan    sheetPart = "plan"
	partSection sheetPart = "section"
	partFurring sheetPart = "furring"
	partNotches sheetPart = "notches"
	partChannel sheetPart = "channel"
	partCutting sheetPart = "cutting"
)

// sheetOrder is the order in which the sheets are numbered: that of the report's sections.
func sheetOrder() []sheetPart {
	return []sheetPart{partPlan, partSection, partFurring, partNotches, partChannel, partCutting}
}

// sheetParts draws the set by part.
func sheetParts(job drawnJob, in calc.Input, p calc.Plan) (map[sheetPart][]*draw.Drawing, error) {
	d, err := newDeck(job, in, p)
	if err != nil {
		return nil, err
	}
	plan, err := d.planSheet()
	if err != nil {
		return nil, err
	}
	sheets := map[sheetPart][]*sheet{partPlan: {plan}, partNotches: d.notchSheets(), partFurring: d.furringSheets(), partCutting: d.cuttingSheets(), partChannel: d.channelSheets()}
	if s, ok := d.sectionSheet(); ok {
		sheets[partSection] = []*sheet{s}
	}
	var all []*sheet
	for _, part := range sheetOrder() {
		all = append(all, sheets[part]...)
	}
	drawings, parts := d.numbered(all), map[sheetPart][]*draw.Drawing{}
	for _, part := range sheetOrder() {
		n := len(sheets[part])
		parts[part], drawings = drawings[:n], drawings[n:]
	}
	return parts, nil
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
			s.title = d.say("%s (%d of %d)", name, nth[name], total[name])
			s.Title = s.title
		}
		s.titleBlock(d.job, d.system(), i+1, len(all))
		out = append(out, s.Drawing)
	}
	return out
}
