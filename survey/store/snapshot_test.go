package store

import (
	"strings"
	"testing"
	"time"

	"undercroft/survey"
)

// busySurvey is a survey in which photos and pins came and went, and of which a revision was issued.
func busySurvey(t *testing.T, s *Store) survey.SurveyID {
	t.Helper()
	ctx := t.Context()
	house := must(s.CreateSurvey(ctx, survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Larkmoor house", Access: "side gate"}))(t)
	var photos []survey.Photo
	for _, text := range []string{"first photo", "second photo", "third photo"} {
		b := must(s.ReceiveBlob(ctx, strings.NewReader(text), 100))(t)
		photos = append(photos, must(s.AddPhoto(ctx, survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: house.ID, Name: text + ".jpg", SHA256: b.SHA256, Bytes: b.Bytes}))(t))
	}
	var pins []survey.Pin
	for i, p := range []survey.Photo{photos[0], photos[0], photos[1]} {
		pins = append(pins, must(s.PutPin(ctx, survey.Pin{ID: survey.PinID(survey.NewID()), Survey: house.ID, Photo: p.ID, Kind: survey.PinNote, X: 0.1 * float64(i), Y: 0.5, Note: "n", By: "Ana"}))(t))
	}
	if err := s.DeletePin(ctx, house.ID, pins[2].ID, 1); err != nil {
		t.Fatal(err)
	}
	if err := s.DeletePhoto(ctx, house.ID, photos[2].ID, 1); err != nil {
		t.Fatal(err)
	}
	must(s.PutFacts(ctx, house.ID, []survey.Fact{{Key: "width", Text: "28'"}, {Key: "projection", Text: "14'"}}))(t)
	must(s.PutFacts(ctx, house.ID, []survey.Fact{{Key: "projection", Text: "", Version: 1}}))(t)
	v := survey.NextRevision(house.ID, nil)
	v.SHA256, v.By, v.At = frozen(t, s, `{"number":1}`), "Ana", time.UnixMilli(1000).UTC()
	must(s.Issue(ctx, v))(t)
	must(s.KeepRendition(ctx, v, "crew-en-letter.pdf", frozen(t, s, "%PDF")))(t)
	for _, act := range []survey.FilingAct{survey.Archived, survey.Returned} {
		must(s.File(ctx, house.ID, act))(t)
	}
	return house.ID
}

func TestASurveyIsTheSameElsewhere(t *testing.T) {
	s, other := newStore(t), newStore(t)
	id := busySurvey(t, s)
	want := must(s.Snapshot(t.Context(), id))(t)
	if err := other.Restore(t.Context(), want); survey.KindOf(err) != survey.NotFound {
		t.Errorf("without the photos' bytes: got %v", err)
	}
	busySurvey(t, other) // has the same bytes, and its sequence runs on
	for range 2 {        // the second time changes nothing
		if err := other.Restore(t.Context(), want); err != nil {
			t.Fatal(err)
		}
		got := must(other.Snapshot(t.Context(), id))(t)
		if d := difference(got, want); d != "" {
			t.Fatalf("they differ in %s", d)
		}
	}
	if got := must(other.Surveys(t.Context()))(t)[0]; got.ID != id || got.Photos != 2 || got.Pins != 2 {
		t.Errorf("in the list it is %+v", got)
	}
	// Numbers go on where they were, also after those that are deleted.
	r := must(other.Record(t.Context(), id))(t)
	pin := must(other.PutPin(t.Context(), survey.Pin{ID: survey.PinID(survey.NewID()), Survey: id, Photo: r.Photos[0].ID, Kind: survey.PinNote, X: 0.5, Y: 0.5}))(t)
	if pin.Number != 4 {
		t.Errorf("the next pin is %d, want 4", pin.Number)
	}
	err := other.Restore(t.Context(), want)
	if survey.KindOf(err) != survey.Conflict || !strings.Contains(survey.Message(err), "its pins") {
		t.Errorf("over a survey that was changed: got %v, want a conflict about its pins", err)
	}
}

func TestRestoreRefusesWhatBelongsElsewhere(t *testing.T) {
	s, other := newStore(t), newStore(t)
	id := busySurvey(t, s)
	v := must(s.Snapshot(t.Context(), id))(t)
	busySurvey(t, other)
	if err := other.Restore(t.Context(), v); err != nil {
		t.Fatal(err)
	}
	moved := v
	moved.Record.Survey.ID = survey.SurveyID(survey.NewID())
	if err := other.Restore(t.Context(), moved); survey.KindOf(err) != survey.Invalid && survey.KindOf(err) != survey.Conflict {
		t.Errorf("the photos of another survey: got %v", err)
	}
	broken := must(s.Snapshot(t.Context(), id))(t)
	broken.Record.Survey.ID, broken.History = survey.SurveyID(survey.NewID()), nil
	if err := other.Restore(t.Context(), broken); err == nil {
		t.Error("photos that no history has brought were taken")
	}
	if list := must(other.Surveys(t.Context()))(t); len(list) != 2 {
		t.Errorf("something of a refused survey stays: %d surveys", len(list))
	}
}
