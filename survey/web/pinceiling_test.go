package web

import (
	"math"
	"net/http"
	"strings"
	"testing"

	"undercroft/calc/length"
	"undercroft/survey"
)

// levelDeck is a survey of a level deck of 28' 4" by 14' with a wall at the house, vinyl-12: fall 1/8 inch per foot away from the house.
func (w *site) levelDeck() survey.Photo {
	w.t.Helper()
	v := w.survey("Larkmoor house")
	w.facts(v.ID, map[string]string{
		"width": "28' 4", "projection": "14'", "joist.direction": "y", "joist.spacing": "16", "built_before_1978": "no",
		"edge.0.kind": "wall", "edge.0.surface": "fiber-cement", "edge.1.kind": "open", "edge.2.kind": "open", "edge.3.kind": "open",
	})
	return w.photo(v.ID)
}

func (w *site) hangerAt(photo survey.Photo, x, y, drop string) survey.Pin {
	w.t.Helper()
	return w.pin(survey.Pin{Survey: photo.Survey, Photo: photo.ID, Kind: survey.PinHanger, X: 0.5, Y: 0.5, Values: map[string]string{"x": x, "y": y, "drop": drop, "wx": "1 7/8", "wy": "2 1/2"}})
}

// By hand: 5' 4 3/4" from the high edge at 1/8 inch per foot the furring is 64.75/12 * 1/8 = 0.674 thick; less 7/16 and 1/8 leaves 0.112,
// 1/16 rounded down.
func TestVerdictByHand(t *testing.T) {
	w := newSite(t)
	photo := w.levelDeck()
	p := w.hangerAt(photo, "9' 8", "5' 4 3/4", "7/16")
	page := w.get(photoPath(photo) + "?pin=" + string(p.ID)).wants(http.StatusOK).page()
	var cells []string
	for i := range 4 {
		cells = append(cells, page.Find(chosenForm+" .verdict td.r").Eq(i).Text())
	}
	if got := strings.Join(cells, " "); got != "11/16″ 7/16″ 1/8″ 1/16″" {
		t.Errorf("got %s", got)
	}
	if got := page.Find("#p1 .state").Text(); got != "clear" {
		t.Errorf("the list says %q", got)
	}
}

// The sum must agree with the calculator's own notches: drop less thickness plus clearance is the depth that the plan lists.
func TestVerdictAgreesWithThePlansNotches(t *testing.T) {
	w := newSite(t)
	photo := w.levelDeck()
	for _, y := range []string{"2 1/2", "1' 6", "4'"} { // a row at every joist: no seams every 12 inches can miss them all
		w.pin(survey.Pin{Survey: photo.Survey, Photo: photo.ID, Kind: survey.PinHanger, Values: map[string]string{
			"x": "16", "y": y, "drop": "3/4", "wx": "1 7/8", "wy": "2 1/2", "row_count": "20", "row_step": "16"}})
	}
	for _, heights := range [][4]string{{"106", "106 1/4", "105 3/4", "106"}, {"106", "106", "106", "106"}} {
		for i, at := range [][2]string{{"0", "0"}, {"28' 4", "0"}, {"0", "14'"}, {"28' 4", "14'"}} {
			w.pin(survey.Pin{Survey: photo.Survey, Photo: photo.ID, Kind: survey.PinLevel, Values: map[string]string{"x": at[0], "y": at[1], "height": heights[i]}})
		}
		ceiling := survey.Compute(w.record(photo.Survey))
		if ceiling.Plan == nil {
			t.Fatalf("no plan: %s %v", ceiling.Refusal, ceiling.Findings)
		}
		found := 0
		for number := range 4 {
			for _, h := range hangingsOf(ceiling, number) {
				for _, n := range h.notches {
					found++
					if want := float64(length.Inches(-h.room).Up16()); math.Abs(want-n.Depth) > 1e-9 {
						t.Errorf("%s: too low by %.4f, the plan cuts %.4f", h.item.ID, -h.room, n.Depth)
					}
				}
			}
		}
		if found == 0 {
			t.Error("the plan has no notch to compare with")
		}
		for _, p := range w.record(photo.Survey).Pins {
			if p.Kind == survey.PinLevel {
				if err := w.store.DeletePin(t.Context(), p.Survey, p.ID, p.Version); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}

func TestVerdictWithoutPlan(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor").ID)
	p := w.hangerAt(photo, "9' 8", "5' 4 3/4", "7/16")
	page := w.get(photoPath(photo) + "?pin=" + string(p.ID)).page()
	if got := page.Find(chosenForm + " .verdict p").Text(); !strings.Contains(got, "computed once the deck's size") {
		t.Errorf("says %q", got)
	}
}
