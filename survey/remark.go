package survey

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Subject is the sort of thing that staff ask about.
type Subject string

// The subjects: the survey as a whole, a pin or photo by its id, a fact of the deck by its key, a part of the crew's report by its anchor.
const (
	SubjectSurvey Subject = "survey"
	SubjectPin    Subject = "pin"
	SubjectPhoto  Subject = "photo"
	SubjectFact   Subject = "fact"
	SubjectLine   Subject = "line"
)

// RemarkKind tells a question from an answer.
type RemarkKind string

// The kinds of remark.
const (
	RemarkAsk    RemarkKind = "ask"
	RemarkAnswer RemarkKind = "answer"
)

// Remark is one thing said between staff. Question is the id of the remark that asked first, its own for that one; only that one has a Subject with its Target, empty for
// the whole survey, and About, what that was called then. Photo is one of the survey's, empty for none. Nothing of a remark ever changes.
type Remark struct {
	ID       string // a UUID
	Survey   SurveyID
	Question string
	Kind     RemarkKind
	Subject  Subject
	Target   string
	About    string
	Text     string
	Photo    PhotoID
	By       string
	At       time.Time
}

// The most that is said: bytes of one text, remarks in one survey.
const (
	maxRemark    = 2000
	maxAbout     = 300
	MaxRemarks   = 1000
	maxRemarkers = 200 // bytes of a name
)

// Validate checks what was typed and what it hangs on. An Invalid error names the fields "text" and "by".
func (m Remark) Validate() error {
	fields := map[string]string{}
	if m.Text == "" || len(m.Text) > maxRemark {
		fields["text"] = "Write it in at most 2,000 characters."
	}
	if m.By == "" || len(m.By) > maxRemarkers {
		fields["by"] = "Say who you are, in at most 200 characters."
	}
	if len(fields) > 0 {
		return &Error{Kind: Invalid, Message: "Nothing was said yet.", Fields: fields}
	}
	first := m.Question == m.ID
	known := slices.Contains([]Subject{SubjectSurvey, SubjectPin, SubjectPhoto, SubjectFact, SubjectLine}, m.Subject)
	switch {
	case m.Kind != RemarkAsk && m.Kind != RemarkAnswer, first && m.Kind != RemarkAsk:
		return Errorf(Invalid, "Only a question begins.")
	case first && (!known || m.About == "" || (m.Subject == SubjectSurvey) != (m.Target == "")), !first && (m.Subject != "" || m.Target != "" || m.About != ""), len(m.Target) > maxAbout, len(m.About) > maxAbout:
		return Errorf(Invalid, "What the question is about is not in order.")
	}
	return nil
}

// Thread is a question with everything that was said to it, in the order of time.
type Thread []Remark

// First is the remark that asked.
func (t Thread) First() Remark { return t[0] }

// Last is what was said last.
func (t Thread) Last() Remark { return t[len(t)-1] }

// Open tells whether an answer is waited for: the last remark asks. An answer closes a question, a further question opens it again.
func (t Thread) Open() bool { return t.Last().Kind == RemarkAsk }

// Takes is nil when a remark of a kind may be said next: an answer to an open question, a further question to an answered one. Else a Conflict says what stands now.
func (t Thread) Takes(k RemarkKind) error {
	switch by := t.Last().By; {
	case t.Open() && k == RemarkAsk && len(t) == 1:
		return Errorf(Conflict, "Your question was not sent: this one, by %s, has no answer yet. Answer it, or ask yours by itself.", by)
	case t.Open() && k == RemarkAsk:
		return Errorf(Conflict, "Your question was not sent: %s asked a follow-up before you, which has no answer yet. Answer that one, or ask yours once it is answered.", by)
	case !t.Open() && k == RemarkAnswer:
		return Errorf(Conflict, "Your answer was not sent: %s answered this question before you. Read that answer; what you wrote can go on as a follow-up question.", by)
	}
	return nil
}

// Threads gathers remarks, which are in the order of time, under their questions, the first asked first.
func Threads(remarks []Remark) []Thread {
	var list []Thread
	at := map[string]int{}
	for _, m := range remarks {
		i, there := at[m.Question]
		if !there {
			at[m.Question] = len(list)
			list = append(list, Thread{m})
			continue
		}
		list[i] = append(list[i], m)
	}
	return list
}

// OpenThreads are the questions that wait for an answer.
func (r Record) OpenThreads() []Thread {
	return slices.DeleteFunc(Threads(r.Remarks), func(t Thread) bool { return !t.Open() })
}

// ThreadsAbout are the questions about one thing.
func (r Record) ThreadsAbout(s Subject, target string) []Thread {
	return slices.DeleteFunc(Threads(r.Remarks), func(t Thread) bool { return t.First().Subject != s || t.First().Target != target })
}

// NameSubject says what a pin, photo or fact of the survey, or the survey itself, is called now: "Hanger 7 on photo 2". ok is false when there is none, and for a
// part of a report, which the report names.
func (r Record) NameSubject(s Subject, target string) (about string, ok bool) {
	switch s {
	case SubjectSurvey:
		return "The survey", target == ""
	case SubjectPin:
		pin, there := r.Pin(PinID(target))
		photo, shown := r.Photo(pin.Photo)
		info, _ := KindInfo(pin.Kind)
		return fmt.Sprintf("%s %d on photo %d", info.Label, pin.Number, photo.Number), there && shown
	case SubjectPhoto:
		photo, there := r.Photo(PhotoID(target))
		return clipText(strings.TrimSuffix(fmt.Sprintf("Photo %d: %s", photo.Number, photo.Caption), ": "), maxAbout), there
	case SubjectFact:
		f, there := FactField(r, target)
		return f.Label, there
	}
	return "", false
}

// clipText shortens a text to at most max bytes, at the border of a character.
func clipText(text string, max int) string {
	if len(text) <= max {
		return text
	}
	return strings.ToValidUTF8(text[:max-3], "") + "…"
}
