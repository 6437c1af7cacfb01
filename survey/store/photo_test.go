package store

import (
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

func TestAddPhoto(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	sent := samplePhoto(v.ID, putBlob(t, s, content(1, 500)), putBlob(t, s, content(2, 50)), Blob{})
	first := must(s.AddPhoto(t.Context(), sent))(t)
	want := sent
	want.Number, want.Version, want.AddedAt, want.Sequence = 1, 1, first.AddedAt, 2
	if diff := gocmp.Diff(want, first); diff != "" {
		t.Error(diff)
	}
	sent.Caption = "typed on the phone since"
	if diff := gocmp.Diff(first, must(s.AddPhoto(t.Context(), sent))(t)); diff != "" {
		t.Error("repeated:", diff)
	}
	second := addTestPhoto(t, s, v.ID, 5)
	if second.Number != 2 || second.Sequence <= first.Sequence {
		t.Errorf("number %d, sequence %d", second.Number, second.Sequence)
	}
	other := sent
	blob := putBlob(t, s, content(9, 77))
	other.SHA256, other.Bytes = blob.SHA256, blob.Bytes
	_, err := s.AddPhoto(t.Context(), other)
	if e := wantKind(t, err, survey.Conflict); !gocmp.Equal(e.Current, any(first)) {
		t.Errorf("current is %+v, want %+v", e.Current, first)
	}
	if got := must(s.Record(t.Context(), v.ID))(t).Photos; len(got) != 2 {
		t.Errorf("%d photos, want 2", len(got))
	}
}

func TestAddPhotoIsRefused(t *testing.T) {
	s := newStore(t)
	v, elsewhere := addSurvey(t, s), addSurvey(t, s)
	blob := putBlob(t, s, content(1, 500))
	good := samplePhoto(v.ID, blob, Blob{}, Blob{})
	must(s.AddPhoto(t.Context(), good))(t)

	moved := good
	moved.Survey = elsewhere.ID
	_, err := s.AddPhoto(t.Context(), moved)
	wantKind(t, err, survey.Invalid)

	lost := samplePhoto(sampleSurvey().ID, blob, Blob{}, Blob{})
	_, err = s.AddPhoto(t.Context(), lost)
	wantKind(t, err, survey.NotFound)

	noID := good
	noID.ID = ""
	_, err = s.AddPhoto(t.Context(), noID)
	wantKind(t, err, survey.Invalid)

	// A row must never name bytes that are not there.
	for _, p := range []survey.Photo{
		samplePhoto(v.ID, Blob{SHA256: strings.Repeat("a", 64), Bytes: 500}, Blob{}, Blob{}),
		samplePhoto(v.ID, Blob{SHA256: blob.SHA256, Bytes: 501}, Blob{}, Blob{}),
		samplePhoto(v.ID, blob, Blob{SHA256: strings.Repeat("b", 64)}, Blob{}),
		samplePhoto(v.ID, blob, Blob{}, Blob{SHA256: "../../undercroft.db"}),
	} {
		if _, err := s.AddPhoto(t.Context(), p); err == nil {
			t.Errorf("a photo without its bytes was taken: %+v", p)
		}
	}
	if next := addTestPhoto(t, s, v.ID, 50); next.Number != 2 {
		t.Errorf("what was refused used up a number: the next is %d, want 2", next.Number)
	}
}

func TestPhotoAlone(t *testing.T) {
	s := newStore(t)
	v, elsewhere := addSurvey(t, s), addSurvey(t, s)
	want := addTestPhoto(t, s, v.ID, 1)
	if diff := gocmp.Diff(want, must(s.Photo(t.Context(), v.ID, want.ID))(t)); diff != "" {
		t.Error(diff)
	}
	_, err := s.Photo(t.Context(), elsewhere.ID, want.ID)
	wantKind(t, err, survey.NotFound)
	if err := s.DeletePhoto(t.Context(), v.ID, want.ID, want.Version); err != nil {
		t.Fatal(err)
	}
	_, err = s.Photo(t.Context(), v.ID, want.ID)
	wantKind(t, err, survey.NotFound)
}

func TestUpdatePhoto(t *testing.T) {
	s := newStore(t)
	v, elsewhere := addSurvey(t, s), addSurvey(t, s)
	first := addTestPhoto(t, s, v.ID, 1)
	sent := survey.Photo{ID: first.ID, Survey: v.ID, Caption: "left wall", Version: 1, SHA256: "ignored", Name: "ignored"}
	second := must(s.UpdatePhoto(t.Context(), sent))(t)
	want := first
	want.Caption, want.Version = "left wall", 2
	if diff := gocmp.Diff(want, second); diff != "" {
		t.Error(diff)
	}
	if diff := gocmp.Diff(second, must(s.UpdatePhoto(t.Context(), sent))(t)); diff != "" {
		t.Error("repeated:", diff)
	}
	sent.Caption = "right wall"
	_, err := s.UpdatePhoto(t.Context(), sent)
	if e := wantKind(t, err, survey.Conflict); !gocmp.Equal(e.Current, any(second)) {
		t.Errorf("current is %+v", e.Current)
	}
	sent.Version, sent.Survey = 2, elsewhere.ID
	_, err = s.UpdatePhoto(t.Context(), sent)
	wantKind(t, err, survey.NotFound)
	if got := historyOf(t, s, string(first.ID)); !gocmp.Equal(got, []string{"create 1", "update 2"}) {
		t.Errorf("history %q", got)
	}
}

func TestDeletePhoto(t *testing.T) {
	s := newStore(t)
	v, elsewhere := addSurvey(t, s), addSurvey(t, s)
	photo, other := addTestPhoto(t, s, v.ID, 1), addTestPhoto(t, s, v.ID, 10)
	pin, kept := addTestPin(t, s, photo), addTestPin(t, s, other)

	wantKind(t, s.DeletePhoto(t.Context(), elsewhere.ID, photo.ID, 1), survey.NotFound)
	wantKind(t, s.DeletePhoto(t.Context(), v.ID, survey.PhotoID(survey.NewID()), 1), survey.NotFound)
	wantKind(t, s.DeletePhoto(t.Context(), v.ID, photo.ID, 2), survey.Conflict)
	for range 2 {
		if err := s.DeletePhoto(t.Context(), v.ID, photo.ID, 1); err != nil {
			t.Fatal(err)
		}
	}
	r := must(s.Record(t.Context(), v.ID))(t)
	if len(r.Photos) != 1 || r.Photos[0].ID != other.ID || len(r.Pins) != 1 || r.Pins[0].ID != kept.ID {
		t.Errorf("left: %d photos, %d pins", len(r.Photos), len(r.Pins))
	}
	for _, sum := range []string{photo.SHA256, photo.Screen, photo.Thumb} {
		if _, err := s.BlobPath(sum); err != nil {
			t.Error("its bytes are gone:", err)
		}
	}
	// The phone sends the photo again because the answer was lost: it stays deleted.
	if got := must(s.AddPhoto(t.Context(), photo))(t); got.Number != 1 {
		t.Errorf("got %+v", got)
	}
	if got := must(s.Record(t.Context(), v.ID))(t).Photos; len(got) != 1 {
		t.Error("a repeated request brought the photo back")
	}
	_, err := s.UpdatePhoto(t.Context(), survey.Photo{ID: photo.ID, Survey: v.ID, Version: 1, Caption: "x"})
	wantKind(t, err, survey.Conflict)
	_, err = s.PutPin(t.Context(), pin) // its photo is gone
	wantKind(t, err, survey.NotFound)
	_, err = s.PutPin(t.Context(), samplePin(photo))
	wantKind(t, err, survey.NotFound)
	if next := addTestPhoto(t, s, v.ID, 20); next.Number != 3 {
		t.Errorf("the next photo has number %d, want 3", next.Number)
	}
	for id, want := range map[string][]string{string(photo.ID): {"create 1", "delete 1"}, string(pin.ID): {"create 1", "delete 1"}} {
		if got := historyOf(t, s, id); !gocmp.Equal(got, want) {
			t.Errorf("history %q, want %q", got, want)
		}
	}
}
