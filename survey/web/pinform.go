package web

import (
	"encoding/json"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"undercroft/survey"
	"undercroft/templates"
)

// The names of a pin form's controls: values by field key, and the typed place in percent of the picture.
const (
	valuePrefix = "v."
	atX         = "at.x"
	atY         = "at.y"
	atX2        = "at.x2"
	atY2        = "at.y2"
)

// pinForm is the form of one pin.
type pinForm struct {
	Kind                 survey.PinKind
	Label                string
	Number, Version      int
	ID                   survey.PinID
	Action, DeleteAction string
	Save                 string // the words of its main button
	Placed               string
	HistoryHref          string // of a saved pin
	AskHref, MeasureHref string // of a saved pin: where one asks about it, and where what was measured on site is typed; empty for none
	AskWords             string // of the button that asks
	Problem              problemView
	Conflict             *pinConflict
	Sections             []pinSection
	Note                 fieldView
	Verdict              *verdictView
	Where                *whereView
	Two, PlaceOpen       bool
	StructureJSON        string // survey.Structure for the script, of what is named by its joists only
	Opens                string // the control whose keys open with the form
	LastJSON             string // the survey's last pin of this kind, for its sizes
	Place                [][]fieldView
}

// pinSection is fields under one heading, in rows of one or two. Fold marks what is seldom asked: nothing of it is needed or there.
type pinSection struct {
	Name string
	Fold bool
	Rows [][]fieldView
}

// pinConflict is two versions of a pin side by side. KeepAction is where the button that keeps one's own sends the form, empty for where
// the form goes anyway.
type pinConflict struct {
	Head, KeepAction, KeepMine, TheirsHref, KeepTheirs string
	Rows                                               []versionRow
}

// versionRow is one thing that the versions say differently.
type versionRow struct{ Label, Mine, Theirs string }

// pinTyped is a pin with what a form sent for its place, which may be no number.
type pinTyped struct {
	pin   survey.Pin
	place map[string]string // by control name
}

// typedAs shows a pin as a form would send it.
func typedAs(p survey.Pin) pinTyped {
	t := pinTyped{p, map[string]string{atX: percentText(p.X), atY: percentText(p.Y)}}
	if p.X2 != nil && p.Y2 != nil {
		t.place[atX2], t.place[atY2] = percentText(*p.X2), percentText(*p.Y2)
	}
	return t
}

// percentText writes a fraction in percent, to a millionth: finer than any photo's pixel.
func percentText(f float64) string {
	text := strconv.FormatFloat(f*100, 'f', 6, 64)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}

// newPinForm makes the form of a pin, new or saved. texts are problems by field key.
func (s *Server) newPinForm(r survey.Record, photo survey.Photo, t pinTyped, texts map[string]string) pinForm {
	p := t.pin
	info, _ := survey.KindInfo(p.Kind)
	f := pinForm{Kind: p.Kind, Label: info.Label, Number: p.Number, Version: p.Version, ID: p.ID, Two: info.Ends == 2, Action: photoPath(photo) + "/pins", Save: "Place pin"}
	if p.Number > 0 {
		f.Action, f.Save = pinPath(p), "Save pin"
		f.DeleteAction = f.Action + "/delete"
		f.Placed = "placed " + templates.When(s.now(), p.CreatedAt)
		if p.By != "" {
			f.Placed += " by " + p.By
		}
		f.HistoryHref = historyPath(p.Survey, "pin", string(p.ID))
		f.AskHref, f.AskWords = askPath(r, survey.SubjectPin, string(p.ID), ""), askWords(r, survey.SubjectPin, string(p.ID))
		if len(survey.VerifiableFields(r, p)) > 0 {
			f.MeasureHref = measurePath(r.Survey.ID, "pin", string(p.ID))
		}
	}
	f.Sections = pinSections(r, p, texts)
	f.Opens, f.LastJSON = f.opens(), lastJSON(r, p.Kind)
	switch p.Kind {
	case survey.PinReference:
		structure := survey.StructureOf(r)
		f.StructureJSON = structureJSON(structure, structure.Begin(r, photo.ID), survey.LastMark(r))
		f.foldPlace(structure.Count > 0)
	case survey.PinHanger, survey.PinBracket:
		f.StructureJSON = structureJSON(survey.StructureOf(r), 0, "")
	}
	f.Note = fieldView{Field: survey.Field{Key: "note", Label: "Note", Type: survey.TypeText}, Name: "note", ID: "c-note", Control: "area", Text: p.Note, Problem: texts["note"], ReadWord: "read as"}
	f.Note.emptyLine = true
	f.Place = placeViews(t, info.Ends, texts)
	f.PlaceOpen = p.Number == 0 || texts["end"] != "" || texts["end2"] != ""
	if len(texts) > 0 {
		f.Problem = problemView{Weight: weightStop, Head: "The pin was not saved: some of it could not be read.", Fields: f.problems()}
	}
	return f
}

// place tells the form where its pin is. The question whether the typed place stands is only asked where there is reason to.
func (f *pinForm) place(at pinPlace) {
	f.Where = at.where()
	for _, s := range f.Sections {
		for _, row := range s.Rows {
			for i := range row {
				row[i].Seldom = row[i].Seldom && at.dispute == nil
			}
		}
	}
}

// problems lists the fields that need another look, in the form's order.
func (f pinForm) problems() []problemField {
	var views []fieldView
	for _, s := range f.Sections {
		views = append(views, slices.Concat(s.Rows...)...)
	}
	views = append(views, f.Note)
	return problems(append(views, slices.Concat(f.Place...)...))
}

// mostSegments is how many answers of a pin's choice stand side by side.
const mostSegments = 3

// opens is the control of the length that a form asks first of all that it needs; empty when it asks another thing first, or offers answers.
func (f pinForm) opens() string {
	for _, s := range f.Sections {
		for _, v := range slices.Concat(s.Rows...) {
			if v.Required {
				if v.Pad() != "" && len(v.Offers) == 0 {
					return v.Name
				}
				return ""
			}
		}
	}
	return ""
}

// lastJSON is the survey's last pin of a kind for the script; empty when there is none.
func lastJSON(r survey.Record, kind survey.PinKind) string {
	for _, p := range slices.Backward(r.Pins) {
		if p.Kind != kind || len(p.Values) == 0 {
			continue
		}
		text, err := json.Marshal(map[string]any{"kind": p.Kind, "number": p.Number, "values": p.Values})
		if err != nil { // numbers and texts only
			return ""
		}
		return string(text)
	}
	return ""
}

// pinSections are the fields of a pin's kind under their headings. Two lengths that belong together, along the house and out from it,
// stand in one row.
func pinSections(r survey.Record, p survey.Pin, texts map[string]string) []pinSection {
	var sections []pinSection
	var before fieldView
	for _, field := range survey.PinFields(r, p.Kind) {
		v := newFieldView(p.Assumes(field.As(p.Values["names"])), valuePrefix+field.Key, "pin."+string(p.Kind)+"."+field.Key)
		v.Problem = texts[field.Key]
		v.setText(p.Values[field.Key])
		if v.Control == "select" && (field.Required && len(field.Options) <= mostSegments || p.Kind == survey.PinReference) {
			v.Control = "seg" // one tap
		}
		if field.Key == keyRowAt {
			v.Control, v.NothingLabel, v.emptyLine = "seg", "only here, or by count", true
		}
		v.Seldom = field.Key == keyStands && v.Text == "" && v.Problem == ""
		if len(sections) == 0 || sections[len(sections)-1].Name != field.Group {
			sections, before = append(sections, pinSection{Name: field.Group, Fold: field.Group != "" && field.Group != groupPlace}), fieldView{}
		}
		section := &sections[len(sections)-1]
		section.Fold = section.Fold && !field.Required && v.Text == "" && v.Problem == ""
		rows := &section.Rows
		if pairs(before.Key, field.Key) {
			(*rows)[len(*rows)-1] = append((*rows)[len(*rows)-1], v)
		} else {
			*rows = append(*rows, []fieldView{v})
		}
		before = v
	}
	return sections
}

// foldPlace folds the typed place of a reference that can be named by the structure, unless something of it was typed.
func (f *pinForm) foldPlace(structured bool) {
	for i := range f.Sections {
		s := &f.Sections[i]
		typed := slices.ContainsFunc(slices.Concat(s.Rows...), func(v fieldView) bool { return v.Text != "" || v.Problem != "" || v.Check != nil })
		s.Fold = s.Fold || s.Name == groupPlace && structured && !typed
	}
}

// structureJSON is what names points by their joist, for the script that says at once where such a point is.
func structureJSON(s survey.Structure, begin int, out string) string {
	text, err := json.Marshal(map[string]any{"begin": begin, "out": out, "count": s.Count, "width": s.Width, "first": s.First, "spacing": s.Spacing, "at": s.At, "stops": s.Stops, "words": s.Words, "why": s.Why})
	if err != nil { // numbers and texts only
		return ""
	}
	return string(text)
}

// groupPlace is the heading under which a pin's plan position is asked.
const groupPlace = "Where on the plan"

// keyRowAt is the field that makes a pin a row from joist to joist.
const keyRowAt = "row_at"

// pairs tells whether two keys name one thing's two directions or ends: x and y, wx and wy, x0 and x1, the first joist and the last.
func pairs(a, b string) bool {
	return slices.Contains([]string{"x y", "wx wy", "x0 x1", "y0 y1", "row_from row_to"}, a+" "+b)
}

// placeViews are the typed place: percent across and down, for each end.
func placeViews(t pinTyped, ends int, texts map[string]string) [][]fieldView {
	view := func(name, words, problem string) fieldView {
		return fieldView{Field: survey.Field{Key: name, Label: words, Unit: "%", Type: survey.TypeNumber}, Name: name, ID: controlID(name), Control: "input", InputType: "text",
			InputMode: "decimal", Text: t.place[name], Problem: problem, ReadWord: "read as", emptyLine: true}
	}
	if ends == 1 {
		return [][]fieldView{{view(atX, "Across", texts["end"]), view(atY, "Down", texts["end"])}}
	}
	return [][]fieldView{
		{view(atX, "First end, across", texts["end"]), view(atY, "First end, down", texts["end"])},
		{view(atX2, "Second end, across", texts["end2"]), view(atY2, "Second end, down", texts["end2"])},
	}
}

// readPinForm takes what a form sent into a copy of the pin. A place that still reads as it was shown keeps its exact fraction; one that is no
// number from 0 to 100 is a problem of "end" or "end2".
func readPinForm(form url.Values, was survey.Pin) (pinTyped, map[string]string) {
	t := pinTyped{was, map[string]string{}}
	texts := map[string]string{}
	t.pin.Values = map[string]string{}
	for name := range form {
		if key, ok := strings.CutPrefix(name, valuePrefix); ok {
			if text := cleanText(form.Get(name)); text != "" {
				t.pin.Values[key] = text
			}
		}
	}
	t.pin.Note = cleanText(form.Get("note"))
	read := func(name, problem string, old float64) float64 {
		t.place[name] = cleanText(form.Get(name))
		if was.Version > 0 && t.place[name] == percentText(old) {
			return old
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(t.place[name], "%")), 64)
		if err != nil || !(v >= 0 && v <= 100) {
			texts[problem] = "Write where it is in the picture, from 0 to 100 percent."
			return old
		}
		return v / 100
	}
	t.pin.X, t.pin.Y = read(atX, "end", was.X), read(atY, "end", was.Y)
	if info, _ := survey.KindInfo(was.Kind); info.Ends == 2 {
		old := survey.Pin{X2: new(float64), Y2: new(float64)}
		if was.X2 != nil && was.Y2 != nil {
			old = was
		}
		x2, y2 := read(atX2, "end2", *old.X2), read(atY2, "end2", *old.Y2)
		t.pin.X2, t.pin.Y2 = &x2, &y2
	}
	return t, texts
}

// pinPath is the address of a pin's forms.
func pinPath(p survey.Pin) string { return surveyPath(p.Survey) + "/pins/" + string(p.ID) }

// lowerFirst writes a label inside a sentence.
func lowerFirst(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToLower(text[:1]) + text[1:]
}
