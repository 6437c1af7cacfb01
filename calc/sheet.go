package calc

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"undercroft/calc/length"
)

// WriteSheet writes a plan as plain text for a crew: findings first, then each zone with its furring, panels, notches, channel and
// gutter, then stock, takeoff, fixings, cautions and notes. Every section says where its figures come from. in is the input that
// the plan was computed from. The only errors are those of w.
func WriteSheet(w io.Writer, in Input, p Plan) error {
	in = withDefaults(in)
	s := &sheet{job: newJob(in, p.System), plan: p}
	s.head()
	s.findings()
	s.beams()
	for i := range p.Zones {
		s.zone(&p.Zones[i])
	}
	s.cutting()
	s.takeoff()
	s.fixings()
	s.cautions()
	s.notes()
	_, err := w.Write(s.out.Bytes())
	return err
}

// sheet collects the text. Writing to it cannot fail.
type sheet struct {
	*job
	plan Plan
	out  bytes.Buffer
}

const (
	sheetWidth = 100 // characters a line of running text
	checkEvery = 7   // seams between two check distances
	clipReach  = 4   // notches this near a carrier's high end, in inches, are clipped
)

// section starts a section with a rule and where its figures come from.
func (s *sheet) section(title, from string) {
	fmt.Fprintf(&s.out, "\n%s\n%s\n", strings.ToUpper(title), strings.Repeat("-", len([]rune(title))))
	if from != "" {
		s.wrap("", "("+from+")")
	}
}

func (s *sheet) line(format string, args ...any) { fmt.Fprintf(&s.out, format+"\n", args...) }

// wrap writes running text, broken at spaces, its further lines indented like the first's text.
func (s *sheet) wrap(lead, text string) {
	indent := strings.Repeat(" ", len([]rune(lead)))
	at := lead
	used := len([]rune(lead))
	for i, word := range strings.Fields(text) {
		n := len([]rune(word))
		if i > 0 && used+1+n > sheetWidth {
			s.line("%s", at)
			at, used = indent, len(indent)
		} else if i > 0 {
			at, used = at+" ", used+1
		}
		at, used = at+word, used+n
	}
	s.line("%s", at)
}

// table writes rows of cells in aligned columns under a heading.
func (s *sheet) table(head []string, rows [][]string) {
	if len(rows) == 0 {
		return
	}
	t := tabwriter.NewWriter(&s.out, 0, 4, 2, ' ', 0)
	for _, row := range append([][]string{head}, rows...) {
		fmt.Fprintf(t, "  %s\n", strings.Join(row, "\t"))
	}
	_ = t.Flush() // cannot fail: a bytes.Buffer takes everything
}

// in16 prints inches to the nearest sixteenth.
func in16(v float64) string { return length.Inches(v).String() }

func (s *sheet) head() {
	sys := s.plan.System
	s.line("CEILING PLAN")
	s.line("System %s: panels cover %s, carriers %s deep. Confirm these figures with the supplier before work starts.", sys.Name, sys.PanelCover, sys.CarrierDepth)
	s.line("Fall %.4g in per foot toward %s. Zones: %d. x runs along the house from its left end, y away from it.",
		s.plan.FallPerFoot, map[Direction]string{FallOut: "the yard (+y)", FallRight: "the right (+x)", FallLeft: "the left (-x)"}[s.job.in.Fall.Direction], len(s.plan.Zones))
	s.line("Within a zone x runs across the fall (small x is left as you face up the fall) and y down it.")
	if n := len(s.job.in.Heights); n > 0 {
		s.line("Underside: plane through %d measured heights, greatest residual %s.", n, in16(s.plan.Plane.MaxResidual))
	}
	if a := s.plan.Access.Platform; a != nil {
		s.line("Working platform %s above the ground (greatest underside height less 78 in).", in16(*a))
	} else {
		s.line("Working platform: not known, no height or clearance was measured.")
	}
	s.section("Assumptions", "what was taken for granted where nothing was measured or decided")
	for _, a := range s.plan.Assumptions {
		s.wrap("  - ", a)
	}
}

func (s *sheet) findings() {
	s.section("Findings", "what the rules found; blocking ones come first and must be settled before work starts")
	if len(s.plan.Issues) == 0 {
		s.line("  none")
	}
	for _, severity := range []string{severeBlock, severeWarn} {
		for _, i := range s.plan.Issues {
			if i.Severity == severity {
				s.wrap(fmt.Sprintf("  %-8s  ", severity), fmt.Sprintf("%s [%s] %s", i.Rule, strings.Join(i.About, ", "), i.Text))
			}
		}
	}
}

func (s *sheet) beams() {
	if len(s.plan.Beams) == 0 {
		return
	}
	s.section("Beams", "from the beams' drops and the furring's thickness there; passing under a beam is the alternative")
	var rows [][]string
	for _, b := range s.plan.Beams {
		base, head := "-", "-"
		if b.Under != nil {
			base = in16(up16(b.Under.Base))
			if b.Under.Headroom != nil {
				head = in16(down16(*b.Under.Headroom))
			}
		}
		rows = append(rows, []string{b.ID, b.Treatment, base, head})
	}
	s.table([]string{"beam", "what is done", "base to pass under", "headroom then"}, rows)
}

func (s *sheet) cutting() {
	s.section("Cutting plan", "least stock bought for the lengths above; cut lengths are rounded down to 1/16, kerf "+s.plan.System.Kerf.String())
	for _, c := range s.plan.Cutting {
		proof := "proven least"
		if !c.Optimal {
			proof = "not proven least: the bound is " + in16(c.Bound)
		}
		s.line("%s: %d sticks, %s bought, %s used, %s", c.Material, len(c.Stock), in16(c.Bought), in16(c.Used), proof)
		s.table([]string{"sticks", "stock", "cuts in order", "offcut"}, stickRows(c.Stock))
		if len(c.Unplanned) > 0 {
			s.line("  %d pieces are longer than all stock and not planned", len(c.Unplanned))
		}
	}
}

// stickRows joins equal sticks that follow each other.
func stickRows(sticks []Stick) [][]string {
	var rows [][]string
	last, n := "", 0
	for _, k := range sticks {
		var cuts []string
		for _, c := range k.Cuts {
			cuts = append(cuts, in16(c))
		}
		row := []string{"1", in16(k.Length), strings.Join(cuts, ", "), in16(k.Offcut)}
		if key := strings.Join(row[1:], "|"); key == last {
			n++
			rows[len(rows)-1][0] = fmt.Sprint(n)
		} else {
			last, n = key, 1
			rows = append(rows, row)
		}
	}
	return rows
}

func (s *sheet) takeoff() {
	s.section("Takeoff", "exact need; packs include the waste; the last column says what each number was counted from")
	var rows [][]string
	for _, i := range s.plan.Takeoff {
		packs, cents := "", ""
		if i.Packs != nil {
			packs = fmt.Sprintf("%d x %s", *i.Packs, i.Pack)
		}
		if i.Cents != nil {
			cents = fmt.Sprintf("%d.%02d", *i.Cents/100, *i.Cents%100)
		}
		rows = append(rows, []string{i.Item, i.Label, fmt.Sprintf("%.4g", i.Need), i.Unit, fmt.Sprintf("%g %%", i.Waste*100), packs, cents, i.From})
	}
	s.table([]string{"item", "what", "need", "unit", "waste", "packs", "price", "counted from"}, rows)
	if m := s.plan.Money; m != nil {
		s.line("  Material %d.%02d, labour %d.%02d, total %d.%02d; lines without a price are not in it: %d", m.MaterialCents/100, m.MaterialCents%100,
			m.LabourCents/100, m.LabourCents%100, m.TotalCents/100, m.TotalCents%100, len(m.Unpriced))
	}
}

func (s *sheet) fixings() {
	if len(s.plan.Fixings) == 0 {
		return
	}
	s.section("Fixings by wall surface", "table of fixings for the surfaces of the walls")
	for _, f := range s.plan.Fixings {
		drill := "no pre-drilling"
		if f.PreDrill {
			drill = "pre-drill"
		}
		s.line("  %s: %s", f.Surface, drill)
		for _, part := range []struct{ name, text string }{{"bit", f.Bit}, {"fastener", f.Fastener}, {"into the wall", f.IntoWall},
			{"or up into framing", f.UpIntoWood}, {"protection", f.Protection}, {"sealing", f.Sealing}, {"source", f.Source}} {
			if part.text != "" {
				s.wrap(fmt.Sprintf("    %-19s ", part.name), part.text)
			}
		}
	}
}

func (s *sheet) cautions() {
	s.section("Cautions", "rules that this deck touches, each with its source; local codes and licensed practice come first")
	for _, c := range s.plan.Cautions {
		s.wrap("  - ", c.Text)
		if c.Trigger != "" {
			s.wrap("      because: ", c.Trigger)
		}
		s.wrap("      source:  ", c.Source)
	}
}

func (s *sheet) notes() {
	if len(s.plan.Notes) == 0 {
		return
	}
	s.section("Crew notes", "made from the figures above; common practice, no source")
	for _, g := range s.plan.Notes {
		s.line("  %s", g.Group)
		for _, l := range g.Lines {
			s.wrap("    - ", l)
		}
	}
}
