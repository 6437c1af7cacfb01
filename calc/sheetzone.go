package calc

import (
	"fmt"
	"strings"

	"undercroft/calc/length"
)

// zone writes one zone: its extent, furring, panels, notches, cut-outs, channel, gutter and checks.
func (s *sheet) zone(z *Zone) {
	s.section("Zone "+z.ID, "")
	s.line("  across %s to %s, down the fall %s to %s, panels end at %s; %.1f ft2 of deck; base furring %s", in16(z.X0), in16(z.X1), in16(z.YHigh),
		in16(z.YLow+float64(s.plan.System.GutterGap)), in16(z.YLow), z.AreaFt2, in16(z.Base))
	if z.Panels.Count == 0 {
		s.line("  no panels are planned here: see the findings")
		return
	}
	s.furring(z)
	s.panels(z)
	s.notches(z)
	s.channel(z)
	s.gutter(z)
	s.checks(z)
}

func (s *sheet) furring(z *Zone) {
	s.section(z.ID+": furring rows", "thickness = underside less ceiling plane; y from the outline's edge; build to the nearest 1/16")
	var rows [][]string
	for _, r := range z.Furring {
		rows = append(rows, []string{in16(r.Y - z.YHigh), in16(r.X0), in16(r.X1), in16(r.Left), in16(r.Middle), in16(r.Right), s.buildText(r), s.placeText(r)})
	}
	s.table([]string{"from high edge", "from x", "to x", "left", "middle", "right", "build", "what"}, rows)
	for _, r := range z.Furring {
		if r.Tapered && r.Fasten == fastenStrip {
			s.wrap("  ", s.taper(r))
		}
	}
	if z.FurringScrews > 0 {
		s.line("  furring screws: %d of %s, one at each joist crossing", z.FurringScrews, in16(z.FurringScrew))
	}
}

// buildText says what a row is made of.
func (s *sheet) buildText(r Row) string {
	switch {
	case r.Fasten == fastenJoist:
		return "no strip: fasten to the joist"
	case r.Dropped:
		return "dropped framing " + in16(r.Build)
	case len(r.Plies) == 0:
		return "rip to " + in16(r.Build)
	}
	var plies []string
	for _, p := range r.Plies {
		plies = append(plies, in16(p))
	}
	return in16(r.Build) + " = " + strings.Join(plies, " + ")
}

func (s *sheet) placeText(r Row) string {
	switch {
	case r.Place == placeRow:
		return "row"
	case s.lines.across:
		return "last row"
	}
	return "last row: set blocking, no joist runs there"
}

// taper gives a tapered row's thickness at every joist.
func (s *sheet) taper(r Row) string {
	var at []string
	for _, x := range s.places(rowLine{y: r.Y, x0: r.X0, x1: r.X1}) {
		t := r.Left + (r.Right-r.Left)*(x-r.X0)/(r.X1-r.X0)
		at = append(at, fmt.Sprintf("x %s: %s;", in16(x), in16(near16(t))))
	}
	return fmt.Sprintf("row at %s is tapered: %s", in16(r.Y), strings.Join(at, " "))
}

func (s *sheet) panels(z *Zone) {
	p := z.Panels
	s.section(z.ID+": panels", "layout of least crew time; first width in eighths so that it can be marked")
	s.line("  %d panels: first %s, last %s, others %s of take-up each", p.Count, in16(p.First), in16(p.Last), in16(s.takeUp()))
	s.line("  cost %.1f min = blocked %.1f + notches %.1f + narrow ends %.1f + panels %.1f + uneven ends %.1f + through %.1f", p.Cost.Total, p.Cost.Blocked,
		p.Cost.Notches, p.Cost.Narrow, p.Cost.Panels, p.Cost.Uneven, p.Cost.Through)
	if r := p.RunnerUp; r != nil {
		s.line("  next best with another count: %d panels, first %s, %.1f min", r.Count, in16(r.First), r.Cost.Total)
	}
	s.table([]string{"panels", "width", "cut length", "shape"}, pieceRows(p.Pieces))
	s.table([]string{"carriers", "cut length", "high end at"}, carrierRows(z.Carriers))
	for i := checkEvery - 1; i < len(z.Seams); i += checkEvery {
		s.line("  check: seam %d is %s from the left side edge", i+1, in16(z.Seams[i]-z.X0))
	}
	s.line("  carrier screws: %d, one at each row a carrier crosses; its high end rests in the channel", z.CarrierScrews)
}

// pieceRows joins equal pieces that follow each other.
func pieceRows(pieces []Piece) [][]string {
	var rows [][]string
	last, from := "", 0
	for _, p := range pieces {
		long := p.LengthText
		if p.LeftLength != nil && p.RightLength != nil {
			long = fmt.Sprintf("left %s, right %s", in16(down16(*p.LeftLength)), in16(down16(*p.RightLength)))
		}
		row := []string{fmt.Sprint(p.N), in16(p.Width), long, p.Shape}
		if key := strings.Join(row[1:], "|"); key == last {
			rows[len(rows)-1][0] = fmt.Sprintf("%d-%d", from, p.N)
		} else {
			last, from = key, p.N
			rows = append(rows, row)
		}
	}
	return rows
}

// carrierRows joins equal carriers that follow each other.
func carrierRows(carriers []Carrier) [][]string {
	var rows [][]string
	last, from := "", 0
	for _, c := range carriers {
		row := []string{fmt.Sprint(c.N), c.LengthText, in16(c.Y0)}
		if key := strings.Join(row[1:], "|"); key == last {
			rows[len(rows)-1][0] = fmt.Sprintf("%d-%d", from, c.N)
		} else {
			last, from = key, c.N
			rows = append(rows, row)
		}
	}
	return rows
}

func (s *sheet) notches(z *Zone) {
	s.section(z.ID+": notches and cut-outs", "from the obstructions' drops and places; mark on site, then cut; cut carriers only, never a joist, hanger, ledger, beam or their fasteners")
	if len(z.Notches)+len(z.CutOuts) == 0 {
		s.line("  none")
	}
	clipped := map[string][]string{}
	var depths []string
	var rows [][]string
	for _, n := range z.Notches {
		if length.Inches(n.To).Up16() <= clipReach {
			if clipped[n.DepthText] == nil {
				depths = append(depths, n.DepthText)
			}
			clipped[n.DepthText] = append(clipped[n.DepthText], fmt.Sprintf("%d (%s, %.0f %%)", n.Carrier, n.Obstruction, n.Probability*100))
			continue
		}
		rows = append(rows, []string{fmt.Sprint(n.Carrier), n.FromText, n.ToText, n.DepthText, fmt.Sprintf("%.0f %%", n.Probability*100), n.State, n.Obstruction})
	}
	for _, d := range depths {
		s.wrap("  ", fmt.Sprintf("clip %d carriers %s deep within %s of their high ends: %s", len(clipped[d]), d, in16(clipReach), strings.Join(clipped[d], ", ")))
	}
	s.table([]string{"carrier", "from high end", "to", "depth", "chance", "state", "clears"}, rows)
	rows = nil
	for _, c := range z.CutOuts {
		rows = append(rows, []string{c.Obstruction, c.Kind, in16(c.X), in16(c.Y), in16(c.WX), in16(c.WY)})
	}
	s.table([]string{"cut-out for", "kind", "plan x", "plan y", "size x", "size y"}, rows)
}

func (s *sheet) channel(z *Zone) {
	s.section(z.ID+": channel", "high and side edges; length along the slope, screws by the run in plan")
	var rows [][]string
	for _, r := range z.Channel {
		backer := ""
		if r.Backer != nil {
			backer = fmt.Sprintf("backer to %s, %d screws", in16(up16(r.Backer.Thickest)), r.Backer.Screws)
		}
		rows = append(rows, []string{r.Edge, string(r.Kind), string(r.Surface), r.LengthText, fmt.Sprint(r.Screws), in16(r.T0), in16(r.T1), backer})
	}
	s.table([]string{"edge", "kind", "fastened to", "length", "screws", "drop at start", "drop at end", ""}, rows)
	s.line("  channel screws: %d, one each %s and one at the end of a run", z.ChannelScrews, s.plan.System.ChannelScrewSpacing)
}

func (s *sheet) gutter(z *Zone) {
	rain := s.job.in.Rain
	s.section(z.ID+": water", fmt.Sprintf("%g in/h of rain, a 5-minute storm and an assumption unless it was looked up for the place, on the deck and %g ft2 of roof; Beij's level gutter and the plumbing codes' tables",
		rain.InchesPerHour, s.roofOver(z)))
	var rows [][]string
	for _, r := range z.Gutter.Lines {
		rows = append(rows, []string{in16(r.Length), fmt.Sprintf("%.1f gpm", r.FlowGPM), r.Size, fmt.Sprint(r.Downspouts)})
	}
	s.table([]string{"gutter", "flow", "size", "downspouts"}, rows)
	s.line("  fall of the gutter %s per foot; leaders %s; water %.3f in deep at the panels' low end", s.plan.System.GutterFall, z.Gutter.Leader, z.PanelWaterDepth)
	s.line("  where each downspout discharges is to be agreed before work starts")
}

// roofOver is the roof that drains onto a zone: the flow that the zone's own area does not explain.
func (s *sheet) roofOver(z *Zone) float64 {
	if i := s.job.in.Rain.InchesPerHour; i > 0 && z.Gutter.FlowGPM > stormFlow(i, z.AreaFt2)+tol {
		return s.job.in.Rain.RoofFt2
	}
	return 0
}

func (s *sheet) checks(z *Zone) {
	s.section(z.ID+": checks", "movement = alpha x length x temperature; screws: NDS 2018 12.2-2 with C_D 0.9 and C_M 0.7, withdrawal only, a screening that replaces no licensed professional")
	t := s.job.in.Temperature
	s.line("  end gap to leave at %g F: %s; left in the channel at %g F: %s", t.Install, in16(up16(z.Movement.Gap)), t.Min, in16(z.Movement.EngagementCold))
	for _, c := range []struct {
		name  string
		check ScrewCheck
	}{{"carrier", z.ScrewCheck.Carrier}, {"furring", z.ScrewCheck.Furring}} {
		if c.check.Capacity == nil {
			s.line("  %s screw: %.1f lb; no capacity is claimed for this strip", c.name, c.check.Load)
			continue
		}
		s.line("  %s screw: %.1f lb on %.1f lb, ratio %.2f", c.name, c.check.Load, *c.check.Capacity, *c.check.Ratio)
	}
	if h := z.Headroom; h.Min != nil {
		s.line("  least headroom %s at (%s, %s)", in16(down16(*h.Min)), in16(h.At[0]), in16(h.At[1]))
	} else {
		s.line("  headroom: not known, nothing was measured")
	}
}
