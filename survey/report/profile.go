package report

import (
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// profileFacts are the profile's own figures that the plan rests on. All are assumed: the built-in profiles are worked examples, and
// the supplier's figures replace them.
func (v voice) profileFacts(s calc.System, source Source) []factLine {
	list := []struct{ label, value string }{
		{v.in("Panel cover and gain"), s.PanelCover.Typeset() + ", " + s.PanelGain.Typeset()},
		{v.in("Panel rib"), s.PanelRib.Typeset()},
		{v.in("Panel stock lengths"), lengths(s.PanelStock)},
		{v.in("Least and good end width"), s.PanelMinEnd.Typeset() + ", " + s.PanelGoodEnd.Typeset()},
		{v.in("Movement of a panel"), v.say("%s × 10⁻⁵ in/in per °F", trimmed(s.PanelAlpha*1e5))},
		{v.in("Carrier depth and width"), s.CarrierDepth.Typeset() + ", " + s.CarrierWidth.Typeset()},
		{v.in("Carrier: deepest notch"), s.CarrierMaxNotch.Typeset()},
		{v.in("Carrier stock lengths"), lengths(s.CarrierStock)},
		{v.in("Carrier screw diameter, thread in wood"), decimal(float64(s.CarrierScrewDiameter), 3) + " in, " + decimal(float64(s.CarrierScrewThread), 2) + " in"},
		{v.in("Channel pocket and stock"), s.ChannelPocket.Typeset() + ", " + lengths(s.ChannelStock)},
		{v.in("Channel screw spacing"), s.ChannelScrewSpacing.Typeset()},
		{v.in("Least end gap, side clearance"), s.EndGap.Typeset() + ", " + s.SideClearance.Typeset()},
		{v.in("Clearance of a notch, of a panel"), s.NotchClearance.Typeset() + ", " + s.PanelClearance.Typeset()},
		{v.in("Saw cut"), s.Kerf.Typeset()},
		{v.in("Furring spacing and width"), s.FurringSpacing.Typeset() + ", " + s.FurringWidth.Typeset()},
		{v.in("Furring plies, thickest strip"), lengths(s.FurringPlies) + ", " + s.MaxFurring.Typeset()},
		{v.in("Furring screw diameter, penetration"), decimal(float64(s.FurringScrewDiameter), 3) + " in, " + s.FurringPenetration.Typeset()},
		{v.in("Weight of ceiling, of furring"), trimmed(s.CeilingPSF) + " psf, " + trimmed(s.FurringPSF) + " psf"},
		{v.in("Gutter gap and fall"), s.GutterGap.Typeset() + ", " + v.say("%s per foot", s.GutterFall.Typeset())},
		{v.in("Flagged below a finished height of"), s.Headroom.Typeset()},
	}
	var rows []factLine
	for _, l := range list {
		rows = append(rows, factLine{Group: v.say("Profile %s", s.Name), Label: l.label, Value: l.value, State: survey.FactAssumed, Sources: []Source{source}})
	}
	if g := s.FurringSpecificGravity; g != nil {
		rows = append(rows, factLine{Group: v.say("Profile %s", s.Name), Label: v.in("Specific gravity of the strips"), Value: trimmed(*g), State: survey.FactAssumed, Sources: []Source{source}})
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
