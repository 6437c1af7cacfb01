package survey

import (
	"strings"
	"testing"
)

func asked(id string, change ...func(*Remark)) Remark {
	m := Remark{ID: id, Question: id, Kind: RemarkAsk, Subject: SubjectPin, Target: "p1", About: "Hanger 1 on photo 4", Text: "How deep is it?", By: "B. Quill"}
	for _, c := range change {
		c(&m)
	}
	return m
}

func further(id, question string, kind RemarkKind) Remark {
	return Remark{ID: id, Question: question, Kind: kind, Text: "1/2 in.", By: "K. Vale"}
}

func TestRemarkValidate(t *testing.T) {
	for _, test := range []struct {
		name   string
		remark Remark
		field  string // "" with ok false: refused as a whole
		ok     bool
	}{
		{"a question", asked("a"), "", true},
		{"about the survey", asked("a", func(m *Remark) { m.Subject, m.Target = SubjectSurvey, "" }), "", true},
		{"an answer", further("b", "a", RemarkAnswer), "", true},
		{"no text", asked("a", func(m *Remark) { m.Text = "" }), "text", false},
		{"too long", asked("a", func(m *Remark) { m.Text = strings.Repeat("x", 2001) }), "text", false},
		{"nobody", asked("a", func(m *Remark) { m.By = "" }), "by", false},
		{"begins with an answer", asked("a", func(m *Remark) { m.Kind = RemarkAnswer }), "", false},
		{"about nothing", asked("a", func(m *Remark) { m.Target = "" }), "", false},
		{"of no sort", asked("a", func(m *Remark) { m.Subject = "house" }), "", false},
		{"an answer with a subject", func() Remark {
			m := further("b", "a", RemarkAnswer)
			m.Subject, m.Target, m.About = SubjectPin, "p1", "Hanger 1"
			return m
		}(), "", false},
	} {
		err := test.remark.Validate()
		if (err == nil) != test.ok {
			t.Errorf("%s: got %v", test.name, err)
		}
		if e, is := err.(*Error); err != nil && (!is || e.Kind != Invalid || test.field != "" && e.Fields[test.field] == "") {
			t.Errorf("%s: got %#v", test.name, err)
		}
	}
}

// TestThreads: an answer closes a question, a further question opens it again, and nothing is edited.
func TestThreads(t *testing.T) {
	r := deckRecord(plainFacts(), Pin{Kind: PinHanger, X: .5, Y: .5})
	r.Remarks = []Remark{asked("a"), asked("b", func(m *Remark) { m.Subject, m.Target = SubjectFact, "width" }), further("c", "a", RemarkAnswer)}
	if open := r.OpenThreads(); len(open) != 1 || open[0].First().ID != "b" {
		t.Errorf("answered: got %+v", open)
	}
	r.Remarks = append(r.Remarks, further("d", "a", RemarkAsk))
	if open := r.OpenThreads(); len(open) != 2 || open[0].Last().ID != "d" || len(open[0]) != 3 {
		t.Errorf("asked further: got %+v", open)
	}
	if about := r.ThreadsAbout(SubjectPin, "p1"); len(about) != 1 || about[0].First().ID != "a" {
		t.Errorf("about the pin: got %+v", about)
	}
	for _, test := range []struct {
		subject      Subject
		target, name string
		ok           bool
	}{
		{SubjectPin, "p1", "Hanger 1 on photo 4", true}, {SubjectPin, "p9", "", false}, {SubjectPhoto, "ph", "Photo 4", true}, {SubjectPhoto, "none", "", false},
		{SubjectFact, "width", "Deck width", true}, {SubjectFact, "nothing", "", false}, {SubjectSurvey, "", "The survey", true}, {SubjectLine, "notches", "", false},
	} {
		name, ok := r.NameSubject(test.subject, test.target)
		if ok != test.ok || ok && name != test.name {
			t.Errorf("%s %s: got %q, %v", test.subject, test.target, name, ok)
		}
	}
}
