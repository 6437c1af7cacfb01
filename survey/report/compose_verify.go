package report

import (
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// verify is everything uncertain, each with its ± and a box to tick once it is settled on site.
func (c *composer) verify() {
	c.part("verify", c.in("Verify on site"), itoa(len(c.m.Verify)))
	if len(c.m.Verify) == 0 {
		c.text(document.Plain, c.plain(c.in("Nothing is marked as uncertain. Verify every length before cutting all the same.")))
		return
	}
	t := document.Table{Columns: []document.Column{left(c.in("Done"), 0), left(c.in("What"), 0.7), left(c.in("Taken as"), 0.7), right("±", 0), left(c.in("Why, and what to do"), 1)},
		Caption: c.plain(c.in("± is 95 %. What was taped has none here: verify every length before cutting all the same."))}
	for _, v := range c.m.Verify {
		pm := ""
		if v.PM > 0 {
			pm = "±\u00a0" + v.PM.Typeset()
		}
		r := row(document.Line{{Text: "☐"}}, c.bold(v.What), c.plain(v.Value), c.plain(pm), c.plain(v.Why))
		if from := c.from(v.Sources); len(from) > 0 {
			r.Cells[4].Lines = append(r.Cells[4].Lines, from)
		}
		t.Rows = append(t.Rows, r)
	}
	c.table(t)
}

// questions are what is open between crew, office and homeowner: concerns, what nobody answered, what two sources say differently.
func (c *composer) questions() {
	c.part("questions", c.in("Open questions"), "")
	var l document.List
	for _, p := range c.m.Photos {
		for _, pin := range p.Pins {
			if pin.Kind == survey.PinConcern {
				item := spaced(document.Line{{Text: c.say("Concern, pin %d:", pin.Number), Bold: true, To: "pin-" + itoa(pin.Number)}}, c.plain(pin.Summary()), own(pin.Note))
				l.Items = append(l.Items, item)
			}
		}
	}
	for _, f := range c.m.Missing {
		l.Items = append(l.Items, spaced(c.bold(f.Head), c.plain(f.Body)))
	}
	for _, f := range c.m.Facts {
		if f.State == survey.FactConflict {
			l.Items = append(l.Items, spaced(c.bold(f.Label+":"), c.plain(c.in("two sources disagree and nobody has chosen."))))
		}
	}
	if c.m.Cover.Open != "" {
		l.Items = append(l.Items, spaced(c.bold(c.in("Nobody has answered:")), c.plain(c.m.Cover.Open+".")))
	}
	for _, t := range c.m.from.record.OpenThreads() {
		said := t.Last()
		l.Items = append(l.Items, spaced(c.bold(c.say("Question, %s:", c.aboutText(t.First()))), own(said.Text), c.soft(c.say("Asked by %s, %s.", said.By, c.date(said.At)))))
	}
	if len(l.Items) == 0 {
		c.text(document.Plain, c.plain(c.in("None is recorded. Ask the office before you guess.")))
		return
	}
	l.Boxes = true
	c.list(l)
}

// aboutText says what a question between staff is about, as it is called in the document's language; what is gone is called as it was then.
func (c *composer) aboutText(m survey.Remark) string {
	r := c.m.from.record
	switch m.Subject {
	case survey.SubjectPin:
		if pin, ok := r.Pin(survey.PinID(m.Target)); ok {
			photo, _ := r.Photo(pin.Photo)
			return c.say("%s %d on photo %d", c.thingLabel(r, pin.Number), pin.Number, photo.Number)
		}
	case survey.SubjectPhoto:
		if photo, ok := r.Photo(survey.PhotoID(m.Target)); ok {
			return c.say("photo %d", photo.Number)
		}
	case survey.SubjectSurvey:
		return c.in("The survey")
	case survey.SubjectFact:
		return c.label(m.About)
	}
	return c.in(m.About)
}
