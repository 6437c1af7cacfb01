package report

import (
	"math"
	"slices"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey/report/draw"
)

const (
	legendLead = 13.0 // from one kind to the next in a column
	bandRows   = 7    // kinds under one another in a band
	bandLead   = 10.9
	legendCol  = 122.0 // width of a column of the legend in a band
	factsCol   = 126.0
	issuesMin  = 100.0 // least width for what is to be settled
)

// facts are a zone's figures: what it is called and the figure.
func (d *deck) facts(z *zone) [][2]string {
	var lengths []float64
	for _, q := range z.Panels.Pieces {
		lengths = append(lengths, float64(length.Inches(q.Length).Down16()))
	}
	slices.Sort(lengths)
	lengths = slices.Compact(lengths)
	panels := itoa(z.Panels.Count) + ", " + d.count(len(lengths), "length", "lengths")
	if len(lengths) == 1 {
		panels = itoa(z.Panels.Count) + " × " + typeset(lengths[0])
	}
	first, last := d.in("none"), d.in("none")
	if n := len(z.Seams); n > 0 {
		first, last = typeset(z.Seams[0]-z.X0), typeset(z.X1-z.Seams[n-1])
	}
	outlet := orElse(d.side(d.job.Outlets[z.ID]), d.in("side not settled"))
	out := [][2]string{{d.in("Panels"), panels}, {d.in("First, last width"), typeset(z.Panels.First) + ", " + typeset(z.Panels.Last)},
		{d.in("Seam 1 from left"), first}, {d.in("Last from right"), last}, {d.in("Gap at high ends"), up(z.Movement.Gap)},
		{d.in("Gutter"), d.gutterText(z)}, {d.in("Downspouts"), itoa(z.Gutter.Downspouts) + ", " + outlet}}
	var odd []int
	for _, q := range z.Panels.Pieces {
		if q.Shape != "rectangle" {
			odd = append(odd, q.N)
		}
	}
	if len(odd) > 0 {
		out = append(out, [2]string{d.in("Cut to the outline"), d.say("no. %s", ranges(odd))})
	}
	return out
}

// side says at which end a gutter drains; empty while that is not settled.
func (v voice) side(o outlet) string {
	switch o {
	case outletLeft:
		return v.in("left")
	case outletRight:
		return v.in("right")
	}
	return ""
}

// zoneFacts writes a zone's figures in a column w wide and returns the y under them.
func (p *planner) zoneFacts(z *zone, x, y, w float64) float64 {
	head(p.dr, x, y, p.d.title(z)+wide+p.d.say("%.0f sq ft", z.AreaFt2), 8)
	for _, f := range p.d.facts(z) {
		y += 9.6
		b := p.dr.Text(draw.Text{At: pt(x, y), S: f[0], Ink: draw.Dark})
		p.dr.Text(draw.Text{At: pt(x+w, y), S: draw.Fit(f[1], x+w-b.X1-6, draw.MinText, true), Bold: true, Anchor: draw.End})
	}
	return y + 12
}

// leftOutText says what the plan had no room for and where it stands instead; empty when nothing was left out.
func (p *planner) leftOutText() string {
	var parts []string
	for _, k := range []leftOut{leftNotch, leftRowName, leftRowFigure, leftCarrier, leftZone, leftFixture, leftArrow, leftArrowText, leftOpening, leftWallName, leftFar} {
		if n := p.left[k]; n > 0 {
			parts = append(parts, p.d.left(k, n))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return p.d.say("Left out for want of room: %s.", strings.Join(parts, ", "))
}

// issueTexts are what is to be settled, the blocking issues first.
func (d *deck) issueTexts() []string {
	list := slices.Clone(d.plan.Issues)
	slices.SortStableFunc(list, func(a, b calc.Issue) int { return strings.Compare(a.Severity, b.Severity) })
	var out []string
	for _, i := range list {
		var about []string
		for _, id := range i.About {
			if slices.ContainsFunc(d.zones, func(z *zone) bool { return z.ID == id }) {
				id = d.say("zone %s", zoneName(id))
			}
			about = append(about, d.name(id))
		}
		_, text, _ := strings.Cut(d.ruleName(i.Rule), " ") // without the word "rule"
		text = strings.ReplaceAll(text, "-", " ")
		if len(about) > 0 {
			text = strings.Join(about, ", ") + ": " + text
		}
		if i.Severity == "blocking" {
			text = d.say("BLOCKING %s", text)
		}
		out = append(out, text+", "+d.issueText(i))
	}
	return out
}

// issues writes what is to be settled into a column, down to low, and counts what did not fit.
func (p *planner) issues(x, y, w, low float64) {
	texts := p.d.issueTexts()
	if len(texts) == 0 {
		head(p.dr, x, y, p.d.in("OPEN ISSUES"), 8)
		paragraph(p.dr, x, y+10, w, p.d.in("The calculation found none. Cautions: see the report."))
		return
	}
	p.dr.Text(draw.Text{At: pt(x, y), S: p.d.in("SETTLE BEFORE WORK"), Size: 8, Bold: true, Ink: draw.Alert})
	y += 10
	for i, t := range texts {
		t = clamp(t, w, maxIssueLines)
		high := 8.75 * float64(len(draw.Wrap(t, w, draw.MinText, false)))
		rest := 0.0
		if i+1 < len(texts) {
			rest = 10.25
		}
		if y+high+rest-8.75 > low-3 {
			head(p.dr, x, y, draw.Fit(p.d.say("… %d more: see the report", len(texts)-i), w, draw.MinText, true), draw.MinText)
			return
		}
		y = paragraph(p.dr, x, y, w, t) + 1.5
	}
}

// maxIssueLines is how many lines one issue may take; the report has the whole text.
const maxIssueLines = 5

// clamp cuts a text to so many lines of a column, ending it with an ellipsis when something was cut off.
func clamp(s string, w float64, lines int) string {
	all := draw.Wrap(s, w, draw.MinText, false)
	if len(all) <= lines {
		return s
	}
	return strings.Join(all[:lines-1], " ") + " " + draw.Fit(all[lines-1]+" "+all[lines], w, draw.MinText, false)
}

// legendRoom is what the legend, with what was left out, takes in a column.
func (p *planner) legendRoom(w float64) float64 {
	return 19 + legendLead*float64(len(p.used)) + 8.75*float64(len(draw.Wrap(p.leftOutText(), w, draw.MinText, false)))
}

// notesFit tells whether legend, the first zone's figures and a line of issues have room.
func (p *planner) notesFit(band bool) bool {
	zones := len(p.d.liveZones())
	if !band {
		return p.legendRoom(frameW-8-columnX)+float64(min(zones, 1))*100+40 < bottom
	}
	return marginX+p.bandCols()*legendCol+factsCol*float64(min(zones, 1))+issuesMin < frameW
}

func (p *planner) bandCols() float64 { return math.Ceil(float64(len(p.used)) / bandRows) }

// notesColumn writes legend, figures and what to settle in a column at the right.
func (p *planner) notesColumn() {
	const x, w = columnX, frameW - 8 - columnX
	d := p.dr
	d.Line(pt(x-6, 0), pt(x-6, bottom), draw.Style{Pen: draw.Thin})
	head(d, x, 14, p.d.in("LEGEND"), 8)
	y := 19.0
	for _, k := range p.used {
		p.d.legendLine(d, k, x, y)
		y += legendLead
	}
	if t := p.leftOutText(); t != "" {
		y = paragraph(d, x, y+8, w, t) - 4
	}
	y += 6
	zones := p.d.liveZones()
	for i, z := range zones {
		if y+98 > bottom-30 {
			write(d, x, y+9, draw.Fit(p.d.say("… %s: see the report", p.d.count(len(zones)-i, "more zone", "more zones")), w, draw.MinText, false))
			y += 16
			break
		}
		d.Line(pt(x, y), pt(x+w, y), draw.Style{Pen: draw.Thin})
		y = p.zoneFacts(z, x, y+12, w) - 4
	}
	d.Line(pt(x, y), pt(x+w, y), draw.Style{Pen: draw.Thin})
	p.issues(x, y+12, w, bottom)
}

// notesBand writes the same side by side in a band at the foot.
func (p *planner) notesBand(y float64) {
	d, x := p.dr, marginX
	d.Line(pt(0, y), pt(frameW, y), draw.Style{Pen: draw.Thin})
	head(d, x, y+11, p.d.in("LEGEND"), 8)
	p.legendGrid(x, y+13, bandRows, bandLead)
	wide := p.bandCols()*legendCol - 10
	write(d, x, y+97.5, draw.Fit(p.leftOutText(), wide, draw.MinText, false))
	x += p.bandCols() * legendCol
	zones := p.d.liveZones()
	room := max(1, int((frameW-issuesMin-6-x)/factsCol))
	for i, z := range zones {
		if i == room {
			break
		}
		d.Line(pt(x-6, y), pt(x-6, bottom), draw.Style{Pen: draw.Thin})
		p.zoneFacts(z, x, y+12, factsCol-12)
		x += factsCol
	}
	d.Line(pt(x-6, y), pt(x-6, bottom), draw.Style{Pen: draw.Thin})
	if n := len(zones) - room; n > 0 {
		write(d, x, bottom-4, p.d.say("%s: see the report", p.d.count(n, "more zone", "more zones")))
		p.issues(x, y+12, frameW-8-x, bottom-9)
		return
	}
	p.issues(x, y+12, frameW-8-x, bottom)
}

// legendGrid draws the legend in columns of so many rows and returns the y under the longest.
func (p *planner) legendGrid(x, y float64, rows int, lead float64) float64 {
	for i, k := range p.used {
		p.d.legendLine(p.dr, k, x+float64(i/rows)*legendCol, y+float64(i%rows)*lead)
	}
	return y + lead*float64(min(rows, len(p.used)))
}
