package report

import (
	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
	"undercroft/survey/report/draw"
)

// Receipt writes what both sides keep of a decision: who decided what about which revision, when and how, the text that was agreed to, and the sums by which a forged record
// is found. c is the revision's content.
func Receipt(c Content, a survey.Approval, lang words.Lang) document.Document {
	w := NewOfferWords(lang, c)
	r := &composer{voice: w.voice, reader: document.Scope}
	r.doc.Title = r.in("Receipt of the approval")
	if a.Decision == survey.Declined {
		r.doc.Title = r.in("Receipt: not approved")
	}
	r.add(document.Block{Heading: &document.Heading{Level: 1, Text: c.Site.Title, Aside: r.doc.Title, ID: "top"}})
	r.text(document.Lead, r.plain(w.Decided(a)+"."))
	how := r.in("by a link that the contractor sent")
	if a.Link == "" {
		how = r.say("in person, on the device of %s", a.With)
	}
	list := []document.Fact{
		fact(r.in("Prepared for"), cell(own(c.Site.Client), own(c.Site.Address)).Lines...), fact(r.in("Prepared by"), cell(own(c.Company.Name), own(c.Company.Address), own(c.Company.Phone)).Lines...),
		fact(r.in("What was read"), r.plain(w.Issue)), fact(r.in("SHA-256 check code"), own(a.SHA256)),
		fact(r.in("Name"), own(a.Name)), fact(r.in("Time"), r.plain(w.Moment(a.At))), fact(r.in("How"), own(how)), fact(r.in("Network address"), own(a.Address)), fact(r.in("Browser"), own(a.Agent)),
	}
	if a.Reason != "" {
		list = append(list, fact(w.Why, own(a.Reason)))
	}
	var shown []document.Fact
	for _, f := range list {
		if len(f.Value) > 0 && len(f.Value[0]) > 0 {
			shown = append(shown, f)
		}
	}
	r.facts(shown...)
	r.signature(a)
	r.part("consent", r.in("What was agreed to"), "")
	r.text(document.Plain, own(a.Consent))
	r.facts(fact(r.in("SHA-256 check code"), own(a.ConsentSum())))
	r.part("proof", r.in("How to check this"), "")
	r.text(document.Plain, r.plain(r.in("Keep this receipt. The contractor's records hold the same sums: with a copy of them, the command “undercroft verify” computes every sum anew and says whether the record of this decision is the one that was made. A record that does not have the sum printed here is another.")))
	before := a.Prev
	if before == "" {
		before = r.in("none: this is the first decision")
	}
	r.facts(fact(r.in("Check code of this decision"), own(a.Hash)), fact(r.in("Decision before it"), own(before)))
	r.text(document.Small, r.soft(w.NoPermit))
	d := r.doc
	d.Reader, d.Lang, d.House, d.Issue, d.Print = document.Scope, string(lang), c.Site.Title, r.say("Revision %d of %s", c.Number, r.date(c.At)), survey.Fingerprint(a.Hash)
	d.Labels = document.Labels{Contents: r.in("Contents"), PageOf: r.in("page {n} of {all}"), Continued: r.in("continued")}
	return d
}

// signature shows the drawn signature; nothing when none was drawn.
func (c *composer) signature(a survey.Approval) {
	strokes, err := survey.ReadStrokes(a.Signature)
	if err != nil || len(strokes) == 0 {
		return
	}
	const scale = 0.5 // pt for a point of the drawing
	d := &draw.Drawing{Title: c.in("Signature"), Desc: a.Name, View: draw.Box{X1: survey.StrokesWide * scale, Y1: survey.StrokesHigh * scale}}
	for _, stroke := range strokes {
		var points []draw.Point
		for _, p := range append(stroke, stroke[len(stroke)-1]) { // one point is a dot
			points = append(points, draw.Point{X: float64(p[0]) * scale, Y: float64(p[1]) * scale})
		}
		points[len(points)-1].X += 0.1
		d.Polyline(points, draw.Style{Pen: draw.Heavy})
	}
	d.Line(draw.Point{Y: d.View.Y1}, draw.Point{X: d.View.X1, Y: d.View.Y1}, draw.Style{Pen: draw.Thin})
	c.add(document.Block{Figure: &document.Figure{Drawing: d, Alt: c.in("Signature") + ": " + a.Name, Caption: c.plain(c.in("Signature"))}})
}
