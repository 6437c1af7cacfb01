package report

import (
	"slices"
	"time"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// completionRecord is what was built otherwise than approved, the hose test with its photos, and how the place was left, in a language. The sign-off comes to it later.
func completionRecord(m Model, in FinishingInput, lang words.Lang) document.Document {
	c := &composer{m: m.spoken(lang), voice: voice{lang}, opt: Options{Company: in.Company}, reader: document.Scope}
	c.doc.Title = c.in("Completion record")
	c.completionCover(in)
	c.asBuilt(in)
	c.hoseTest(in.Work.Test)
	c.leftInOrder(in.Work)
	return c.frame(in.Record.Survey.Title, in.At)
}

func (c *composer) completionCover(in FinishingInput) {
	s, k := in.Record.Survey, in.Company
	c.add(document.Block{Heading: &document.Heading{Level: 1, Text: s.Title, Aside: c.doc.Title, ID: "top"}})
	c.text(document.Lead, c.plain(c.in("The work is finished. This says what was built differently from what was approved, how the hose test came out, and how the place was left.")))
	against := c.plain(c.in("No revision was approved by the client."))
	if in.Approved != nil {
		against = c.plain(c.say("Revision %d of %s, approved by %s on %s", in.Approved.Number, c.date(in.Approved.At), in.By.Name, OfferWords{voice: c.voice}.Moment(in.By.At)))
	}
	c.facts(known(fact(c.in("Prepared for"), cell(own(s.Client), own(s.Address)).Lines...), fact(c.in("Prepared by"), cell(own(k.Name), own(k.Address), own(k.Phone)).Lines...), fact(c.in("License"), cell(own(k.License)).Lines...),
		fact(c.in("Finished"), c.plain(c.say("%s, by %s", c.date(in.At), in.Work.By))), fact(c.in("Compared with"), against))...)
	if len(in.Work.Open) == 0 {
		return
	}
	var open []string
	for _, key := range in.Work.Open {
		open = append(open, survey.OpenText(key).In(c.lang))
	}
	c.add(document.Block{Caution: &document.Caution{Weight: document.Warn, Word: c.in("Check."), Head: c.in("Not everything was as it should be when the work was finished."),
		Body: c.plain(join(" ", append(open, c.in("Why it was finished all the same:"), in.Work.Although)...))}})
}

// known are the facts that have a value.
func known(list ...document.Fact) []document.Fact {
	return slices.DeleteFunc(list, func(f document.Fact) bool { return len(f.Value) == 0 || len(f.Value[0]) == 0 })
}

// asBuilt lists what was built otherwise, each with its reason.
func (c *composer) asBuilt(in FinishingInput) {
	list := c.builtLines(in)
	aside := ""
	if len(list) > 0 {
		aside = c.count(len(list), "line", "lines")
	}
	c.part("as-built", c.in("Built differently from what was approved"), aside)
	switch {
	case in.Approved == nil:
		c.text(document.Plain, c.plain(c.in("No revision was approved by the client, so there is nothing to hold the work against.")))
	case len(list) == 0 && in.Work.Notes != "":
		c.text(document.Plain, c.plain(c.in("Nothing of what the plan and the survey show.")))
	case len(list) == 0:
		c.text(document.Plain, c.plain(c.in("Nothing: it was built as approved.")))
	default:
		t := document.Table{Columns: []document.Column{left(c.in("What"), 1), left(c.in("Approved"), 1), left(c.in("Built"), 1), left(c.in("Why"), 1)}}
		for _, b := range list {
			was, now := c.soft(b.Was), c.bold(b.Now)
			if b.Was == "" {
				was = c.soft(c.in("nothing"))
			}
			if b.Now == "" {
				now = c.soft(c.in("gone"))
			}
			t.Rows = append(t.Rows, row(c.plain(b.What), was, now, own(b.Why)))
		}
		c.table(t)
	}
	if in.Work.Notes != "" {
		c.sub("as-built-notes", c.in("Also built differently"), "")
		c.paragraphs(in.Work.Notes)
	}
}

// builtLines are the lines in the document's language, with the reasons that were given. Where the language tells other lines, they are told as they were read by the crew.
func (c *composer) builtLines(in FinishingInput) []survey.Built {
	if in.Approved == nil || c.lang == words.English {
		return in.Work.Built
	}
	list := AsBuilt(*in.Approved, in.Record, in.Ceiling, c.lang)
	if len(list) != len(in.Work.Built) {
		return in.Work.Built
	}
	for i := range list {
		list[i].Why = in.Work.Built[i].Why
	}
	return list
}

// hoseTest is the test with its photos, and what it does not say.
func (c *composer) hoseTest(t survey.HoseTest) {
	c.part("hose-test", c.in("Hose test"), "")
	list := []document.Fact{fact(c.in("Result"), c.bold(survey.ResultText(t.Result).In(c.lang)))}
	if at, err := time.Parse("2006-01-02 15:04", t.At); err == nil {
		list = append(list, fact(c.in("When"), c.plain(c.date(at)+", "+at.Format("15:04"))), fact(c.in("Water ran for"), c.plain(c.count(t.Minutes, "minute", "minutes"))))
	}
	if t.Where != "" {
		list = append(list, fact(c.in("Where it dripped, and what was done"), own(t.Where)))
	}
	c.facts(list...)
	if t.Result != survey.TestNotMade {
		c.text(document.Plain, c.plain(c.in("Water was run over the deck from above while somebody watched from below. It shows what was seen on that day; it promises nothing about other rain.")))
	}
	c.text(document.Plain, c.plain(c.catches()))
	for _, p := range c.m.Photos {
		if slices.Contains(t.Photos, p.Number) {
			p.Pins, p.Original, p.Ceiling, p.Taken = nil, nil, nil, ""
			c.photo(p, "photo-"+itoa(p.Number), nil, own(p.Caption))
		}
	}
}

// leftInOrder is the check list.
func (c *composer) leftInOrder(w survey.Work) {
	c.part("left", c.in("How the place was left"), "")
	t := document.Table{Columns: []document.Column{left(c.in("What"), 1), left(c.in("Answer"), 0)}}
	for _, item := range w.Left {
		answer := map[string]document.Line{survey.LeftYes: c.bold(c.in("yes")), survey.LeftNo: c.bold(c.in("no")), survey.LeftNone: c.soft(c.in("none here"))}[item.Answer]
		t.Rows = append(t.Rows, row(c.plain(c.in(survey.LeftLabel(item.Key))), answer))
	}
	c.table(t)
}

// Record is the completion record in a language: with the sign-off once there is one. done is the finishing, sign its sign-off or the zero Finish.
func (f Finishing) Record(lang words.Lang, done, sign survey.Finish) document.Document {
	d := inLanguage(f.Records, lang)
	d.Print = survey.Fingerprint(done.SHA256)
	c := &composer{voice: voice{words.Lang(d.Lang)}, reader: document.Scope, doc: d}
	c.doc.Blocks = slices.Clone(d.Blocks)
	for _, b := range d.Blocks {
		if b.Heading != nil && b.Heading.Level == 2 {
			c.section++
		}
	}
	c.signOff(done, sign)
	return c.doc
}

// signOff is who signed the work off, when and how, and the sums by which a forged record is found; a place to sign on paper while nobody has.
func (c *composer) signOff(done, sign survey.Finish) {
	c.part("sign-off", c.in("Sign-off"), "")
	if sign.Seq == 0 {
		w := c.finishWords()
		c.add(document.Block{Sign: &document.Sign{Text: c.plain(w.Consent), Lines: []string{c.in("Name"), c.in("Date"), c.in("Signature")}}})
	} else {
		c.signedOff(sign)
	}
	c.sub("proof", c.in("How to check this"), "")
	c.text(document.Plain, c.plain(c.in("Keep this record. The contractor's records hold the same sums: with a copy of them, the command “undercroft verify” computes every sum anew and says whether they are what was made. A record that does not have the sums printed here is another.")))
	sums := []document.Fact{fact(c.in("Sum of what was finished"), own(done.SHA256)), fact(c.in("Sum of the finishing"), own(done.Hash))}
	if sign.Seq > 0 {
		sums = append(sums, fact(c.in("Sum of the sign-off"), own(sign.Hash)))
	}
	c.facts(sums...)
}

func (c *composer) signedOff(sign survey.Finish) {
	how := c.in("by a link that the contractor sent")
	if sign.Link == "" {
		how = c.say("in person, on the device of %s", sign.By)
	}
	at := OfferWords{voice: c.voice}.Moment(sign.At)
	c.facts(known(fact(c.in("Name"), own(sign.Name)), fact(c.in("Time"), c.plain(at)), fact(c.in("How"), own(how)), fact(c.in("Network address"), own(sign.Address)), fact(c.in("Browser"), own(sign.Agent)))...)
	c.signature(survey.Approval{Name: sign.Name, Signature: sign.Signature})
	c.text(document.Plain, c.bold(c.in("What was agreed to")))
	c.text(document.Plain, own(sign.Consent))
	c.facts(fact(c.in("SHA-256 check code"), own(sign.ConsentSum())))
}
