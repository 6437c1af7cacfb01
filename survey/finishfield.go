package survey

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// The facts in which a finishing is put together, possibly by several people, before it is one. They are about the work on the survey, not about the house.
const (
	finishPrefix    = "finish."
	FinishTest      = "finish.test." // what the keys about the hose test begin with
	FinishResult    = "finish.test.result"
	FinishWhere     = "finish.test.where"
	FinishTestAt    = "finish.test.at"
	FinishMinutes   = "finish.test.minutes"
	FinishPhoto     = "finish.test.photo"
	FinishPhotoToo  = "finish.test.photo.2"
	FinishNotes     = "finish.notes"
	FinishWhyAll    = "finish.why"
	FinishBy        = "finish.by"
	FinishAlthough  = "finish.although"
	finishWhyPrefix = "finish.why."
	finishLeft      = "finish.left."
)

// testLayout is how the time of a hose test is written, by the clock on site.
const testLayout = "2006-01-02 15:04"

// The bounds of a hose test's length in minutes: longer is a typing error.
const maxTestMinutes = 600

// FinishWhy is the key of the fact that says why one line was built otherwise. It follows from the line, so that a line that changes is asked about again.
func FinishWhy(b Built) string {
	sum := sha256.Sum256([]byte(b.What + "\x00" + b.Was + "\x00" + b.Now))
	return finishWhyPrefix + hex.EncodeToString(sum[:8])
}

// FinishFields ask for a finishing: why each line of built was built otherwise, free notes, the hose test, the check list, and who finishes it.
func FinishFields(r Record, built []Built) []Field {
	var fields []Field
	for _, b := range built {
		fields = append(fields, whyField(FinishWhy(b), b.What))
	}
	if len(built) > 0 {
		fields = append(fields, Field{Key: FinishWhyAll, Label: "Why, for all lines left empty", Hint: "or: none", Group: groupBuilt, Type: TypeText})
	}
	fields = append(fields, Field{Key: FinishNotes, Label: "Also built differently", Hint: "what the survey does not show", Group: groupBuilt, Type: TypeText})
	fields = append(fields, testFields(r)...)
	for _, q := range leftQuestions() {
		fields = append(fields, Field{Key: finishLeft + q.key, Label: q.label, Hint: q.hint, Group: groupLeft, Type: TypeChoice, Required: true, Options: q.options()})
	}
	return append(fields, Field{Key: FinishBy, Label: "Your name", Group: groupFinish, Type: TypeText, Required: true},
		Field{Key: FinishAlthough, Label: "Why it is finished although something is open", Group: groupFinish, Type: TypeText})
}

// options are the answers to a line of the check list.
func (q leftQuestion) options() []Option {
	list := []Option{{LeftYes, "Yes"}, {LeftNo, "No"}}
	if q.none {
		list = append(list, Option{LeftNone, "None here"})
	}
	return list
}

// The headings of the fields.
const (
	groupBuilt  = "As built"
	groupTest   = "Hose test"
	groupLeft   = "Left in order"
	groupFinish = "Finish"
)

func whyField(key, what string) Field {
	return Field{Key: key, Label: "Why: " + what, Group: groupBuilt, Type: TypeText}
}

func testFields(r Record) []Field {
	var photos []Option
	for _, p := range r.Photos {
		photos = append(photos, Option{strconv.Itoa(p.Number), strings.TrimSuffix("Photo "+strconv.Itoa(p.Number)+": "+p.Caption, ": ")})
	}
	return []Field{
		{Key: FinishResult, Label: "Result", Group: groupTest, Type: TypeChoice, Required: true, Options: []Option{
			{string(TestNone), "No drip seen"}, {string(TestRepaired), "Dripped, repaired, tested again: no drip seen"}, {string(TestDrips), "Still drips"}, {string(TestNotMade), "No test made"}}},
		{Key: FinishTestAt, Label: "When", Hint: "day and time, as 2026-06-04 14:10", Group: groupTest, Type: TypeText},
		{Key: FinishMinutes, Label: "How long the water ran", Unit: "minutes", Group: groupTest, Type: TypeText},
		{Key: FinishWhere, Label: "Where it dripped, and what was done", Group: groupTest, Type: TypeText},
		{Key: FinishPhoto, Label: "Photo of the test", Group: groupTest, Type: TypeChoice, Options: photos},
		{Key: FinishPhotoToo, Label: "Second photo", Group: groupTest, Type: TypeChoice, Options: photos},
	}
}

// finishField finds a field of a finishing by its key. Why a line was built otherwise has a field although the line is not known here.
func finishField(r Record, key string) (Field, bool) {
	if !strings.HasPrefix(key, finishPrefix) {
		return Field{}, false
	}
	if strings.HasPrefix(key, finishWhyPrefix) && len(key) == len(finishWhyPrefix)+16 {
		return whyField(key, "built otherwise"), true
	}
	for _, f := range FinishFields(r, []Built{{}}) {
		if f.Key == key {
			return f, true
		}
	}
	return Field{}, false
}

// ReadWork reads a finishing from the facts in which it was put together. built are the differences from the approved revision, by whom it is finished; issued and made are the
// survey's revisions and decisions, now the time by the server. Invalid names every fact that is missing or cannot be read, by its key.
func ReadWork(r Record, built []Built, issued []Revision, made []Approval, by string, now time.Time) (Work, error) {
	d := finishDraft{r, map[string]string{}}
	w := Work{Notes: d.text(FinishNotes), By: by, Built: d.built(built), Test: d.test(now), Left: d.left()}
	if a, ok := NewestApproved(made); ok {
		w.Approved = a.Number
	}
	if w.Open = w.OpenPoints(issued, made); len(w.Open) > 0 {
		if w.Although = d.text(FinishAlthough); w.Although == "" || len(w.Although) > maxAlthough {
			d.wrong[FinishAlthough] = "Say why it is finished although something is open, in at most 1,000 characters."
		}
	}
	if by == "" || len(by) > maxSignedName {
		d.wrong[FinishBy] = "Say who finishes it, in at most 200 characters."
	}
	if len(d.wrong) > 0 {
		return w, &Error{Kind: Invalid, Message: "What you typed is saved. It is not finished yet.", Fields: d.wrong}
	}
	return w, nil
}

// ForgetTest are the facts that take back what was said of the hose test, of the check list and of what was open, for work that goes on: it is tested and looked at anew.
// Reasons and notes of what was built otherwise stay.
func ForgetTest(r Record) []Fact {
	var facts []Fact
	for _, f := range FinishFields(r, nil) {
		old := r.Facts[f.Key]
		if (f.Group == groupTest || f.Group == groupLeft || f.Key == FinishAlthough) && old.Text != "" {
			facts = append(facts, Fact{Survey: r.Survey.ID, Key: f.Key, Version: old.Version})
		}
	}
	return facts
}

// finishDraft reads the facts and gathers what is wrong with them.
type finishDraft struct {
	record Record
	wrong  map[string]string
}

func (d finishDraft) text(key string) string { return strings.TrimSpace(d.record.Facts[key].Text) }

func (d finishDraft) built(lines []Built) []Built {
	list := []Built{}
	for _, b := range lines {
		key := FinishWhy(b)
		if b.Why = d.text(key); b.Why == "" {
			b.Why = d.text(FinishWhyAll)
		}
		if b.Why == "" {
			d.wrong[key] = "Say in a word why, here or for all lines at once. Without a reason write: none."
		}
		list = append(list, b)
	}
	return list
}

func (d finishDraft) test(now time.Time) HoseTest {
	t := HoseTest{Result: TestResult(d.text(FinishResult)), Photos: []int{}}
	switch t.Result {
	case TestNone, TestRepaired, TestDrips:
	case TestNotMade:
		return t
	default:
		d.wrong[FinishResult] = "Say how the hose test came out."
		return t
	}
	t.Where = d.text(FinishWhere)
	if t.Result == TestNone {
		t.Where = ""
	} else if t.Where == "" {
		d.wrong[FinishWhere] = "Say where it dripped and what was done."
	}
	t.At, t.Minutes = d.when(now), d.minutes()
	for _, key := range []string{FinishPhoto, FinishPhotoToo} {
		if n, err := strconv.Atoi(d.text(key)); err == nil && d.shows(n) && (len(t.Photos) == 0 || t.Photos[0] != n) {
			t.Photos = append(t.Photos, n)
		}
	}
	if len(t.Photos) == 0 {
		d.wrong[FinishPhoto] = "Choose a photo of the test that can be shown, or send one."
	}
	return t
}

// shows tells whether there is a photo of this number that can be shown.
func (d finishDraft) shows(number int) bool {
	for _, p := range d.record.Photos {
		if p.Number == number {
			return p.Shown()
		}
	}
	return false
}

// when reads the time of the test. A browser's own control puts a T between day and time. A day may pass between clocks of two zones.
func (d finishDraft) when(now time.Time) string {
	at, err := time.Parse(testLayout, strings.Replace(d.text(FinishTestAt), "T", " ", 1))
	switch {
	case err != nil:
		d.wrong[FinishTestAt] = "Write the day and the time as 2026-06-04 14:10."
		return ""
	case at.After(now.UTC().Add(24 * time.Hour)):
		d.wrong[FinishTestAt] = "This is still to come. Write when the test was made."
	}
	return at.Format(testLayout)
}

func (d finishDraft) minutes() int {
	n, err := strconv.Atoi(d.text(FinishMinutes))
	if err != nil || n < 1 || n > maxTestMinutes {
		d.wrong[FinishMinutes] = fmt.Sprintf("Write whole minutes, 1 to %d.", maxTestMinutes)
		return 0
	}
	return n
}

func (d finishDraft) left() []LeftItem {
	var list []LeftItem
	for _, q := range leftQuestions() {
		answer := d.text(finishLeft + q.key)
		if !slices.ContainsFunc(q.options(), func(o Option) bool { return o.Value == answer }) {
			d.wrong[finishLeft+q.key] = "Answer this before you finish."
		}
		list = append(list, LeftItem{q.key, answer})
	}
	return list
}
