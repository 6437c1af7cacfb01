package report

import (
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// profileFacts are the profile's own figures that the plan rests on. All are assumed: the built-in profiles are worked examples, and
// the supplier's figures replace them.
func profileFacts(s calc.System, source Source) []factLine {
	list := []struct{ label, value string }{
		{"Panel cover and gain", s.PanelCover.Typeset() + ", " + s.PanelGain.Typeset()},
		{"Panel rib", s.PanelRib.Typeset()},
		{"Panel stock lengths", lengths(s.PanelStock)},
		{"Least and good end width", s.PanelMinEnd.Typeset() + ", " + s.PanelGoodEnd.Typeset()},
		{"Movement of a panel", trimmed(s.PanelAlpha*1e5) + " × 10⁻⁵ in/in per °F"},
		{"Carrier depth and width", s.CarrierDepth.Typeset() + ", " + s.CarrierWidth.Typeset()},
		{"Carrier: deepest notch", s.CarrierMaxNotch.Typeset()},
		{"Carrier stock lengths", lengths(s.CarrierStock)},
		{"Carrier screw diameter, thread in wood", decimal(float64(s.CarrierScrewDiameter), 3) + " in, " + decimal(float64(s.CarrierScrewThread), 2) + " in"},
		{"Channel pocket and stock", s.ChannelPocket.Typeset() + ", " + lengths(s.ChannelStock)},
		{"Channel screw spacing", s.ChannelScrewSpacing.Typeset()},
		{"Least end gap, side clearance", s.EndGap.Typeset() + ", " + s.SideClearance.Typeset()},
		{"Clearance of a notch, of a panel", s.NotchClearance.Typeset() + ", " + s.PanelClearance.Typeset()},
		{"Saw cut", s.Kerf.Typeset()},
		{"Furring spacing and width", s.FurringSpacing.Typeset() + ", " + s.FurringWidth.Typeset()},
		{"Furring plies, thickest strip", lengths(s.FurringPlies) + ", " + s.MaxFurring.Typeset()},
		{"Furring screw diameter, penetration", decimal(float64(s.FurringScrewDiameter), 3) + " in, " + s.FurringPenetration.Typeset()},
		{"Weight of ceiling, of furring", trimmed(s.CeilingPSF) + " psf, " + trimmed(s.FurringPSF) + " psf"},
		{"Gutter gap and fall", s.GutterGap.Typeset() + ", " + s.GutterFall.Typeset() + " per foot"},
		{"Flagged below a finished height of", s.Headroom.Typeset()},
	}
	var rows []factLine
	for _, l := range list {
		rows = append(rows, factLine{Group: "Profile " + s.Name, Label: l.label, Value: l.value, State: survey.FactAssumed, Sources: []Source{source}})
	}
	if g := s.FurringSpecificGravity; g != nil {
		rows = append(rows, factLine{Group: "Profile " + s.Name, Label: "Specific gravity of the strips", Value: trimmed(*g), State: survey.FactAssumed, Sources: []Source{source}})
	}
	return rows
}

// lengths lists lengths with commas.
func lengths(list []length.Inches) string {
	parts := make([]string, 0, len(list))
	for _, l := range list {
		parts = append(parts, l.Typeset())
	}
	return strings.Join(parts, ", ")
}
