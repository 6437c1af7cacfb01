package web

import (
	"fmt"

	"undercroft/survey"
	"undercroft/templates"
)

// The signs of states that only the walk list has.
const (
	signLater = "later"
	signOpen  = "open"
)

// walkStepView is one question: its row in the list and the form below it.
type walkStepView struct {
	Key, ID          string
	Number           int
	Label, Say, Gist string
	State            stateView
	Open, Unsaved    bool
	Thumb            string
	WantsPhoto       bool

	Action      string
	Asked       []walkAsk
	Sum         *walkSum
	Pins        []walkPinView
	None, Later fieldView // buttons; None without a Name is not offered
	Slots       []walkSlotView
	Offers      []survey.Option // photos that may fill the one empty slot as well
	Next        string          // label of the main button
	NextID      string          // of the step that it leads to
}

// walkAsk is one fact with its ready answers. Chosen is the value of the chosen one, "other" when another length was typed.
type walkAsk struct {
	fieldView
	Title    string
	Ready    []survey.Option
	Chosen   string
	OnlyWall bool
}

// ReadyName is the name of the ready answers' controls.
func (a walkAsk) ReadyName() string { return readyPrefix + a.Key }

// Chips tells whether the field's own options are its ready answers.
func (a walkAsk) Chips() bool { return len(a.Ready) == 0 && len(a.Options) > 0 && !a.Conflict }

// walkSum is what the answers about the joists come to. Ask is set as long as nobody has counted.
type walkSum struct {
	Words, Yes, Name string
	Count            int
	Ask              bool
	State            stateView
}

// walkPinView is one sort of pin that a step wants: how many there are, and where the next one goes.
type walkPinView struct {
	Kind, Label, Have, Href, Do string
	State                       stateView
}

// walkSlotView is one view that must be among the photos. Photo is the id that is stored, whether the photo has arrived or not.
type walkSlotView struct {
	Field                     fieldView
	Label, Photo, Href, Thumb string
	Due, Filled               bool
	State                     stateView
}

// fields are all fields of the step's form, for what is wrong with it.
func (v walkStepView) fields() []fieldView {
	var list []fieldView
	for _, a := range v.Asked {
		list = append(list, a.fieldView)
	}
	for _, s := range v.Slots {
		list = append(list, s.Field)
	}
	return append(list, v.None, v.Later)
}

// walkStep makes the view of step i of the list. Only the open step's form is the one that was sent.
func (s *Server) walkStep(in factForm, list []survey.WalkState, i int, open bool) walkStepView {
	state, r := list[i], in.record
	if !open {
		in = factForm{record: r}
	}
	v := walkStepView{
		Key: state.Key, ID: "q-" + state.Key, Number: i + 1, Label: state.Label, Say: state.Say, Gist: state.Gist, Open: open, State: walkStateOf(state),
		Action: surveyPath(r.Survey.ID) + "/walk", Later: s.walkField(in, survey.LaterKey(state.Key)), Next: "Save",
	}
	if next := firstToDo(list, i+1); next != "" && next != state.Key {
		for _, other := range list {
			if other.Key == next {
				v.Next, v.NextID = "Next: "+lowerFirst(other.Label), "q-"+next
			}
		}
	}
	for k, fact := range state.Facts {
		if fact.Key == survey.JoistCount && state.Sum.Count == 0 {
			continue // nothing to compare a count with
		}
		v.Asked = append(v.Asked, s.walkAsk(in, fact, state.Answers[k]))
	}
	if state.Sum.Count > 0 {
		v.Sum = viewSum(state.Sum)
	}
	for k, pin := range state.Pins {
		v.Pins = append(v.Pins, viewWalkPin(r, list, state, pin, state.Found[k]))
	}
	if state.None != "" {
		v.None = s.walkField(in, survey.NoneKey(state.Key))
	}
	due := true
	for k, slot := range state.Slots {
		sv := s.walkSlot(in, slot, state.Photos[k])
		sv.Due = due && !sv.Filled
		due = due && sv.Filled
		if v.Thumb == "" {
			v.Thumb = sv.Thumb
		}
		v.WantsPhoto = v.WantsPhoto || !sv.Filled
		v.Slots = append(v.Slots, sv)
	}
	if len(v.Slots) == 1 && !v.Slots[0].Filled && v.Slots[0].Photo == "" && len(r.Photos) <= mostOffers {
		for _, p := range r.Photos {
			v.Offers = append(v.Offers, survey.Option{Value: string(p.ID), Label: fmt.Sprintf("Photo %d", p.Number)})
		}
	}
	return v
}

// mostOffers is how many photos a slot offers as buttons; more are chosen from a list.
const mostOffers = 6

// walkStateOf says a step's mark in words.
func walkStateOf(state survey.WalkState) stateView {
	switch state.Mark {
	case survey.WalkDone:
		return stateView{weightFine, "done"}
	case survey.WalkLater:
		return stateView{signLater, "put off"}
	case survey.WalkPhoto:
		for k, p := range state.Photos {
			if p.ID == "" {
				return stateView{weightWarn, "photo missing: " + state.Slots[k].Label}
			}
		}
	}
	return stateView{signOpen, "not yet"}
}

// walkField is the view of one of the walk list's own fields.
func (s *Server) walkField(in factForm, key string) fieldView {
	f, _ := survey.FactField(in.record, key)
	return s.walkView(in, f)
}

// walkView fills a field's view with what was sent, else with what is saved.
func (s *Server) walkView(in factForm, f survey.Field) fieldView {
	form := typedForm{}
	if in.form != nil {
		form = *in.form
	}
	saved := in.record.Facts[f.Key]
	return form.view(newFieldView(f, fieldPrefix+f.Key, f.Key), saved.Text, templates.When(s.now(), saved.UpdatedAt), in.texts[f.Key], in.clashes[f.Key])
}

// walkAsk is the view of one fact. A fact that a pin tells is shown with its source.
func (s *Server) walkAsk(in factForm, fact survey.WalkFact, answer survey.Resolved) walkAsk {
	a := walkAsk{fieldView: withSources(s.walkView(in, fact.Field), in.record, answer), Title: fact.Title, Ready: fact.Ready, OnlyWall: fact.OnlyWall}
	if a.Title != "" {
		a.Label = "This side is"
	}
	said := a.Text
	if said == "" && answer.Known() && answer.State != survey.FactAssumed {
		said = answer.Text
	}
	switch {
	case len(a.Ready) == 0:
		a.Chosen = said
	case said != "":
		a.Chosen = readyOther
		for _, o := range a.Ready {
			if sameLength(fact.Field, o.Value, said) {
				a.Chosen = o.Value
			}
		}
	}
	return a
}

// sameLength tells whether two texts are read as the same length.
func sameLength(f survey.Field, a, b string) bool {
	x, errX := survey.ReadValue(f, a)
	y, errY := survey.ReadValue(f, b)
	return errX == nil && errY == nil && x.Number == y.Number
}

// viewSum says what the joists come to and how that was counted.
func viewSum(sum survey.JoistSum) *walkSum {
	v := &walkSum{Words: sum.Words, Count: sum.Count, Name: fieldPrefix + survey.JoistCount, Yes: fmt.Sprintf("Yes, %d", sum.Count), Ask: sum.Counted == 0}
	switch {
	case sum.Differs:
		v.State = stateView{weightWarn, fmt.Sprintf("you counted %d: check first joist, spacing and size, or count again", sum.Counted)}
	case sum.Counted > 0:
		v.State = stateView{weightFine, fmt.Sprintf("%d counted", sum.Counted)}
	}
	return v
}

// viewWalkPin says how many pins of a sort there are and leads to the photo that shows their place: one of the step's own, else one taken at the same
// place, else any.
func viewWalkPin(r survey.Record, list []survey.WalkState, state survey.WalkState, pin survey.WalkPin, found int) walkPinView {
	v := walkPinView{Kind: string(pin.Kinds[0]), Label: pin.Label, Have: fmt.Sprintf("%d of %d", found, pin.Least), Href: surveyPath(r.Survey.ID) + "/photos", Do: "Take a photo to pin on"}
	if found >= pin.Least {
		v.Have = fmt.Sprint(found)
	}
	v.State = stateView{weightFine, "pinned: " + v.Have}
	switch {
	case found < pin.Least:
		v.State = stateView{signOpen, "pinned: " + v.Have}
	case found == 0:
		v.State = stateView{signOpen, "if you like"}
	}
	if photo, ok := photoOfStep(r, list, state); ok {
		v.Href, v.Do = photoPath(photo), fmt.Sprintf("Pin on photo %d", photo.Number)
	}
	return v
}

func photoOfStep(r survey.Record, list []survey.WalkState, state survey.WalkState) (survey.Photo, bool) {
	photos := state.Photos
	for _, other := range list {
		if other.Place == state.Place {
			photos = append(photos[:len(photos):len(photos)], other.Photos...)
		}
	}
	for _, p := range append(photos[:len(photos):len(photos)], r.Photos...) {
		if p.Shown() {
			return p, true
		}
	}
	return survey.Photo{}, false
}

// walkSlot is the view of a slot with its photo.
func (s *Server) walkSlot(in factForm, slot survey.WalkSlot, photo survey.Photo) walkSlotView {
	f := s.walkField(in, survey.SlotKey(slot.Key))
	for _, p := range in.record.Photos {
		f.Options = append(f.Options, survey.Option{Value: string(p.ID), Label: photoChoice(p)})
	}
	f.Control, f.NothingLabel = "select", "No photo"
	v := walkSlotView{Field: f, Label: slot.Label, Photo: in.record.Facts[f.Key].Text, State: stateView{signOpen, "not yet"}}
	if photo.ID == "" {
		return v
	}
	v.Filled, v.Href, v.State = true, photoPath(photo), stateView{weightFine, fmt.Sprintf("photo %d", photo.Number)}
	if photo.Shown() {
		v.Thumb = thumbPath(photo)
	}
	if doubts := photoDoubts(in.record, photo); len(doubts) > 0 {
		v.State = stateView{weightWarn, lowerFirst(firstSentence(doubts[0]))}
	}
	return v
}

// photoChoice names a photo in a list of choices.
func photoChoice(p survey.Photo) string {
	if p.Caption == "" {
		return fmt.Sprintf("Photo %d", p.Number)
	}
	return fmt.Sprintf("Photo %d: %s", p.Number, p.Caption)
}
