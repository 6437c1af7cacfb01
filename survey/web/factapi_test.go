package web

import (
	"bytes"
	"context"
	"net/http"
	"strings"
	"testing"

	"undercroft/annotate"
	"undercroft/survey"
)

// The same text is no conflict whatever its version, also beside a fact that is changed, and in a conflict only what differs is shown.
func TestFactOfTheSameTextIsNoConflict(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	w.facts(v.ID, map[string]string{"width": "28'", "projection": "14'"})
	address := "/api/surveys/" + string(v.ID) + "/facts"
	for _, version := range []string{"-3", "0", "1", "7"} {
		var saved factsJSON
		w.put(address, strings.NewReader(`{"facts":[{"key":"width","text":"28'","version":`+version+`}]}`)).wants(http.StatusOK).json(&saved)
		if len(saved.Facts) != 1 || saved.Facts[0].Version != 1 {
			t.Errorf("version %s: got %+v", version, saved)
		}
	}
	w.put(address, strings.NewReader(`{"facts":[{"key":"width","text":"28'","version":9},{"key":"projection","text":"15'","version":1}]}`)).wants(http.StatusOK)
	var clash struct{ Current []factJSON }
	w.put(address, strings.NewReader(`{"facts":[{"key":"width","text":"28'","version":9},{"key":"projection","text":"16'","version":1}]}`)).wants(http.StatusConflict).json(&clash)
	if len(clash.Current) != 1 || clash.Current[0].Key != "projection" || clash.Current[0].Text != "15'" {
		t.Errorf("the conflict shows %+v, want the projection alone", clash.Current)
	}
}

// A survey with stops is not marked ready behind the back of the page that looks for them, and nothing else of such a request is saved.
func TestFactsCannotMarkASurveyReady(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	for _, key := range []string{"ready", "ready.by", "ready.reason"} {
		var p problem
		body := `{"facts":[{"key":"width","text":"28'","version":0},{"key":"` + key + `","text":"2026-05-31T09:00:00Z","version":0}]}`
		w.put("/api/surveys/"+string(v.ID)+"/facts", strings.NewReader(body)).wants(http.StatusUnprocessableEntity).json(&p)
		if p.Fields[key] == "" {
			t.Errorf("%s: nothing is said of it: %+v", key, p)
		}
	}
	if r := w.record(v.ID); r.Readiness().Marked || r.Facts["width"].Text != "" {
		t.Errorf("saved: %+v", r.Facts)
	}
}

func TestSurveyUnderAnotherIDIsRefused(t *testing.T) {
	w := newSite(t)
	id := survey.NewID()
	w.put("/api/surveys/"+id, strings.NewReader(`{"id":"`+survey.NewID()+`","title":"Larkmoor house"}`)).wants(http.StatusUnprocessableEntity)
	w.get("/api/surveys/" + id).wants(http.StatusNotFound)
}

// What a photo's file says of the place and the camera stays on the server.
func TestRecordTellsNothingPrivateOfAPhoto(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	blob, err := w.store.ReceiveBlob(context.Background(), bytes.NewReader(gradient(t)), survey.MaxPhotoBytes)
	if err != nil {
		t.Fatal(err)
	}
	latitude, longitude := 12.345678, -98.765432
	photo := survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: v.ID, SHA256: blob.SHA256, Bytes: blob.Bytes, Meta: annotate.Meta{Latitude: &latitude, Longitude: &longitude}}
	if _, err := w.store.AddPhoto(context.Background(), photo); err != nil {
		t.Fatal(err)
	}
	body := w.get("/api/surveys/" + string(v.ID)).wants(http.StatusOK).Body.String()
	if !strings.Contains(body, string(photo.ID)) {
		t.Fatalf("the photo is not in it: %s", body)
	}
	for _, private := range []string{"12.345", "98.765", "latitude", "longitude"} {
		if strings.Contains(strings.ToLower(body), private) {
			t.Errorf("%q is in it", private)
		}
	}
}
