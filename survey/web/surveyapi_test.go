package web

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"undercroft/survey"
)

// A pin that is sent again is answered as the first time, a deletion too, and a pin waits for its photo.
func TestPinSentAgain(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	photo := w.photo(v.ID)
	address := "/api/surveys/" + string(v.ID) + "/pins/" + survey.NewID()
	body := func(in survey.PhotoID) *strings.Reader {
		text, err := json.Marshal(survey.Pin{Photo: in, Kind: survey.PinNote, X: 0.25, Y: 0.5, Note: "joist 3"})
		if err != nil {
			t.Fatal(err)
		}
		return strings.NewReader(string(text))
	}
	w.put(address, body(survey.PhotoID(survey.NewID()))).wants(http.StatusNotFound)
	var first, again survey.Pin
	w.put(address, body(photo.ID)).wants(http.StatusOK).json(&first)
	w.put(address, body(photo.ID)).wants(http.StatusOK).json(&again)
	if first.Number != 1 || again.Number != 1 || again.Version != first.Version || len(w.record(v.ID).Pins) != 1 {
		t.Errorf("first %+v, again %+v", first, again)
	}
	for range 2 {
		w.do(httptest.NewRequest(http.MethodDelete, address+"?version=1", nil)).wants(http.StatusNoContent)
	}
	if n := len(w.record(v.ID).Pins); n != 0 {
		t.Errorf("%d pins are left", n)
	}
}
