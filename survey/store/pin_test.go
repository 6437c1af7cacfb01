package store

import (
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

func TestPutPin(t *testing.T) {
	s := newStore(t)
	photo := addTestPhoto(t, s, addSurvey(t, s).ID, 1)
	sent := samplePin(photo)
	first := must(s.PutPin(t.Context(), sent))(t)
	want := sent
	want.Number, want.Version, want.CreatedAt, want.UpdatedAt = 1, 1, first.CreatedAt, first.CreatedAt
	if diff := gocmp.Diff(want, first); diff != "" {
		t.Error(diff)
	}
	if diff := gocmp.Diff(first, must(s.PutPin(t.Context(), sent))(t)); diff != "" {
		t.Error("repeated:", diff)
	}
	sent.Values["what"] = "changed by the caller later"
	if first.Values["what"] != "nail" {
		t.Error("the result shares the caller's map")
	}

	x2, y2 := 0.9, 1.0
	next := first
	next.X2, next.Y2, next.Values, next.Note, next.Kind = &x2, &y2, nil, "", survey.PinDimension
	second := must(s.PutPin(t.Context(), next))(t)
	if second.Version != 2 || second.Number != 1 || second.Values == nil || *second.X2 != 0.9 || !second.CreatedAt.Equal(first.CreatedAt) {
		t.Errorf("got %+v", second)
	}
	next.Values = map[string]string{} // an empty map says the same as none
	if diff := gocmp.Diff(second, must(s.PutPin(t.Context(), next))(t)); diff != "" {
		t.Error("repeated:", diff)
	}
	for _, version := range []int{0, 1, 3} {
		stale := first
		stale.Version, stale.X = version, 0.5
		_, err := s.PutPin(t.Context(), stale)
		if e := wantKind(t, err, survey.Conflict); !gocmp.Equal(e.Current, any(second)) {
			t.Errorf("version %d: current is %+v, want %+v", version, e.Current, second)
		}
	}
	if got := historyOf(t, s, string(first.ID)); !gocmp.Equal(got, []string{"create 1", "update 2"}) {
		t.Errorf("history %q", got)
	}
}

func TestPutPinIsRefused(t *testing.T) {
	s := newStore(t)
	v, elsewhere := addSurvey(t, s), addSurvey(t, s)
	photo, second, foreign := addTestPhoto(t, s, v.ID, 1), addTestPhoto(t, s, v.ID, 10), addTestPhoto(t, s, elsewhere.ID, 20)
	pin := addTestPin(t, s, photo)
	change := func(f func(*survey.Pin)) survey.Pin {
		p := pin
		f(&p)
		return p
	}
	fresh := survey.PinID(survey.NewID())
	for name, c := range map[string]struct {
		pin  survey.Pin
		kind survey.Kind
	}{
		"no id":                       {change(func(p *survey.Pin) { p.ID = "x" }), survey.Invalid},
		"unknown with a version":      {change(func(p *survey.Pin) { p.ID = fresh }), survey.NotFound},
		"no such survey":              {change(func(p *survey.Pin) { p.ID, p.Version, p.Survey = fresh, 0, sampleSurvey().ID }), survey.NotFound},
		"no such photo":               {change(func(p *survey.Pin) { p.ID, p.Version, p.Photo = fresh, 0, survey.PhotoID(survey.NewID()) }), survey.NotFound},
		"photo of another survey":     {change(func(p *survey.Pin) { p.ID, p.Version, p.Photo = fresh, 0, foreign.ID }), survey.NotFound},
		"moved to another photo":      {change(func(p *survey.Pin) { p.Photo = second.ID }), survey.Invalid},
		"moved to another survey":     {change(func(p *survey.Pin) { p.Survey, p.Photo = elsewhere.ID, foreign.ID }), survey.NotFound},
		"id taken in another survey":  {change(func(p *survey.Pin) { p.Survey, p.Photo, p.Version = elsewhere.ID, foreign.ID, 0 }), survey.Invalid},
		"created again, other values": {change(func(p *survey.Pin) { p.Version, p.Values = 0, map[string]string{"what": "screw"} }), survey.Conflict},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := s.PutPin(t.Context(), c.pin)
			wantKind(t, err, c.kind)
		})
	}
	if next := addTestPin(t, s, photo); next.Number != 2 {
		t.Errorf("what was refused used up a number: the next is %d, want 2", next.Number)
	}
	if got := addTestPin(t, s, foreign).Number; got != 1 {
		t.Errorf("the first pin of the other survey has number %d, want 1", got)
	}
}

func TestDeletePin(t *testing.T) {
	s := newStore(t)
	v, elsewhere := addSurvey(t, s), addSurvey(t, s)
	photo := addTestPhoto(t, s, v.ID, 1)
	first := addTestPin(t, s, photo)
	edited := first
	edited.Note = "second"
	pin := must(s.PutPin(t.Context(), edited))(t)

	wantKind(t, s.DeletePin(t.Context(), elsewhere.ID, pin.ID, 2), survey.NotFound)
	wantKind(t, s.DeletePin(t.Context(), v.ID, survey.PinID(survey.NewID()), 1), survey.NotFound)
	if e := wantKind(t, s.DeletePin(t.Context(), v.ID, pin.ID, 1), survey.Conflict); !gocmp.Equal(e.Current, any(pin)) {
		t.Errorf("current is %+v", e.Current)
	}
	for range 2 {
		if err := s.DeletePin(t.Context(), v.ID, pin.ID, 2); err != nil {
			t.Fatal(err)
		}
	}
	if got := must(s.Record(t.Context(), v.ID))(t).Pins; len(got) != 0 {
		t.Errorf("left: %+v", got)
	}
	// Late repetitions of what was done before the deletion do not bring it back.
	if got := must(s.PutPin(t.Context(), edited))(t); got.Version != 2 {
		t.Errorf("got %+v", got)
	}
	stale := first
	stale.Note = "a change that never arrived"
	_, err := s.PutPin(t.Context(), stale)
	wantKind(t, err, survey.Conflict)
	if got := must(s.Record(t.Context(), v.ID))(t).Pins; len(got) != 0 {
		t.Errorf("it is back: %+v", got)
	}
	if next := addTestPin(t, s, photo); next.Number != 2 {
		t.Errorf("the next pin has number %d, want 2", next.Number)
	}

	back := must(s.PutPin(t.Context(), pin))(t)
	if back.Version != 3 || back.Number != 1 || back.Note != "second" {
		t.Errorf("brought back: %+v", back)
	}
	if again := must(s.PutPin(t.Context(), pin))(t); again.Version != 3 {
		t.Errorf("repeated: %+v", again)
	}
	wantKind(t, s.DeletePin(t.Context(), v.ID, pin.ID, 2), survey.Conflict) // the first deletion, come late
	if got := must(s.Record(t.Context(), v.ID))(t).Pins; len(got) != 2 {
		t.Errorf("%d pins, want 2", len(got))
	}
	if got := historyOf(t, s, string(pin.ID)); !gocmp.Equal(got, []string{"create 1", "update 2", "delete 2", "restore 3"}) {
		t.Errorf("history %q", got)
	}
}
