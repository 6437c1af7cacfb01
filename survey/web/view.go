package web

import (
	"encoding/json"
	"fmt"
	"strings"

	"undercroft/survey"
)

// The weights of cautions and states, by which their sign, word and edge go.
const (
	weightStop = "stop"
	weightWarn = "warn"
	weightNote = "note"
	weightFine = "fine"
)

// cautionView is one caution: Head is complete by itself, Body says what to do, Rule names the rule and what it is about.
type cautionView struct {
	Weight, Head, Body, Rule string
	Actions                  []action
}

// Word is what stands for the weight.
func (v cautionView) Word() string { return weightWord(v.Weight) }

func weightWord(weight string) string {
	switch weight {
	case weightStop:
		return "Stop."
	case weightWarn:
		return "Check."
	}
	return "Note."
}

// stateView is a state in words with its sign.
type stateView struct{ Weight, Text string }

// sourceView says where a value came from; an empty Kind shows nothing.
type sourceView struct{ Kind, Words, Href string }

// viewSource turns a source into its badge, linked to the pin when there is one.
func viewSource(in survey.SurveyID, src survey.Source) sourceView {
	v := sourceView{Kind: string(src.Kind), Words: string(src.Kind)}
	if src.Kind == survey.SourceVerified {
		v.Words = "verified by " + src.By + ", " + src.At.Format("2 Jan 2006")
	}
	if src.PinNumber > 0 {
		v.Words = fmt.Sprintf("%s · pin %d, photo %d", v.Words, src.PinNumber, src.PhotoNumber)
		v.Href = fmt.Sprintf("%s#p%d", photoPathOf(in, src.Photo), src.PinNumber)
	}
	return v
}

// problemView is what is wrong with a form as a whole; an empty Head shows nothing.
type problemView struct {
	Weight, Head string
	Fields       []problemField
}

// Word is what stands for the weight.
func (v problemView) Word() string { return weightWord(v.Weight) }

// problemField is what is wrong with one field: ID is that of its control.
type problemField struct{ ID, Name, Text string }

// fieldView is one field of a form with its control, the line below it and its source.
type fieldView struct {
	survey.Field
	Name, ID     string // of the control
	Control      string // input, area, select, seg, or fixed: shown and not asked
	InputType    string
	InputMode    string
	LookupKey    string // what /api/length is asked with; empty when the text needs no reading
	Text         string // as typed
	Problem      string // what is wrong with Text
	ReadWord     string // "read as", or "is" for a value that a pin gave
	Read, Exact  string // Text as it was understood
	Accepts      string // what the line says when nothing was read
	NothingLabel string // of a choice that was not made
	Source       sourceView

	WasName, Was string // the saved text that Text was made from, sent along

	Dispute    stateView       // what stands while the sources disagree
	Candidates []candidateView // the sources that disagree

	Conflict                bool // someone else changed the field meanwhile
	PickName, Pick, AskName string
	TextLabel, WasLabel     string // the two values in words
	TheirsWhen              string
	emptyLine               bool

	Check  *checkView // the question about a length that was not said to be right yet
	Seldom bool       // not shown as long as there is no reason to ask
}

// candidateView is one of the sources that disagree about a fact.
type candidateView struct {
	Letter, Read, Choice string
	Source               sourceView
	Used                 bool
}

// checkView is the question about a length that does not suit what it names. Name is that of the control that says that Text is right.
type checkView struct{ Head, Why, Keep, Name, Text string }

// Pad is the sort of keys that a length is typed with under the thumb; empty for what is no length.
func (v fieldView) Pad() string {
	if v.LookupKey != "" && (v.Type == survey.TypeLength || v.Type == survey.TypePosition) {
		return string(v.Type)
	}
	return ""
}

// RangesJSON are the ranges of a length by what it measures, as [low, high, why]; empty when it measures one thing.
func (v fieldView) RangesJSON() string {
	if len(v.LikelyAs) == 0 {
		return ""
	}
	ranges := map[string][3]any{}
	for names, r := range v.LikelyAs {
		ranges[names] = [3]any{r.Low, r.High, r.Why}
	}
	text, err := json.Marshal(ranges)
	if err != nil { // numbers and texts only
		return ""
	}
	return string(text)
}

// Aside is what stands beside the label: the unit and the hint.
func (v fieldView) Aside() string {
	var parts []string
	for _, part := range []string{v.Unit, v.Hint} {
		if part != "" {
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, " · ")
}

// HasLine tells whether the line below the control is shown: always where something is read or has a source.
func (v fieldView) HasLine() bool { return !v.emptyLine || v.Problem != "" }

// newFieldView makes the view of a field whose control has the given name. lookup is the field's key for /api/length.
func newFieldView(f survey.Field, name, lookup string) fieldView {
	v := fieldView{Field: f, Name: name, ID: controlID(name), Control: "input", InputType: "text", ReadWord: "read as"}
	switch f.Type {
	case survey.TypeLength, survey.TypePosition:
		v.InputMode, v.LookupKey = "text", lookup // a phone's number pad has no marks for feet, inches and fractions
		v.Accepts = "feet, inches, fractions; a bare number is inches"
	case survey.TypeNumber:
		v.InputMode, v.LookupKey, v.Accepts = "decimal", lookup, "a number"
	case survey.TypeCount:
		v.InputMode, v.LookupKey, v.Accepts = "numeric", lookup, "a whole number"
	case survey.TypeJoists:
		v.InputMode, v.LookupKey, v.Accepts = "text", lookup, "numbers of joists, as 14, 15"
	case survey.TypeCorners:
		v.Control, v.LookupKey, v.Accepts = "area", lookup, `one corner a line, as 28' 4", 5'`
	case survey.TypeYesNo:
		v.Control, v.Options = "seg", []survey.Option{{Value: "yes", Label: "Yes"}, {Value: "no", Label: "No"}}
	case survey.TypeChoice:
		v.Control = "select"
		if fitsSegments(f.Options) {
			v.Control = "seg"
		}
	default:
		v.emptyLine = true
	}
	v.NothingLabel = "Not said"
	if f.Assumed != "" {
		v.assume()
	}
	return v
}

// assume says what stands as long as nothing is said.
func (v *fieldView) assume() {
	value, err := survey.ReadValue(v.Field, v.Assumed)
	if err != nil {
		return
	}
	v.NothingLabel = "Not said: " + value.Read
	if v.Control == "seg" {
		v.NothingLabel = "Not said"
	}
	v.Accepts = "assumed " + value.Read + " until it is said"
}

// controlID makes an element's id of a control's name.
func controlID(name string) string { return "c-" + strings.ReplaceAll(name, ".", "-") }

// fitsSegments tells whether the answers of a choice fit side by side on a phone.
func fitsSegments(options []survey.Option) bool {
	letters := 0
	for _, o := range options {
		letters += len(o.Label)
	}
	return len(options) <= 2 && letters <= 14
}

// setText fills in what was typed and how it reads. A problem that is known already is kept.
func (v *fieldView) setText(text string) {
	v.Text = text
	if q, ok := survey.Question(v.Field, text); ok && v.Problem == q.Head {
		v.Problem, v.Check = "", &checkView{Head: q.Head, Why: q.Why, Keep: q.Reads, Name: rightPrefix + v.Name, Text: text}
	}
	if text == "" || v.Problem != "" {
		return
	}
	if v.LookupKey == "" {
		v.Accepts = "" // a choice says itself what it is
		return
	}
	value, err := survey.ReadValue(v.Field, text)
	if err != nil {
		v.Problem = survey.Message(err)
		return
	}
	v.Read, v.Exact = splitRead(value.Read)
}

// splitRead parts "9 1/4″ (9.252 in)" into the length and its exact value.
func splitRead(read string) (main, exact string) {
	if before, after, ok := strings.Cut(read, " ("); ok {
		return before, "(" + after
	}
	return read, ""
}

// label is a field's text in words: a choice's label, a length as read, other text as it is.
func label(f survey.Field, text string) string {
	if f.Type == survey.TypeText || text == "" {
		return text
	}
	value, err := survey.ReadValue(f, text)
	if err != nil || value.Read == "" {
		return text
	}
	return value.Read
}
