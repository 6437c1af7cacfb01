package report

import (
	"strings"
	"testing"

	"undercroft/survey"
)

// photographed is the demo with the size and focal length of its fourth photo, by which its four references hold it. The camera that rendered
// the picture stood 108 in along and 112 in out, 48 in below the joists.
func photographed(t *testing.T, change func(p *survey.Pin)) Model {
	t.Helper()
	r := demoRecord(t)
	r.Photos[3].Width, r.Photos[3].Height, r.Photos[3].Meta.Focal35 = 3024, 4032, 25
	for i := range r.Pins {
		if change != nil && r.Pins[i].Photo == r.Photos[3].ID {
			change(&r.Pins[i])
		}
	}
	return Build(r, survey.Compute(r), WithinReport(), made())
}

func TestPhotosCarryTheCeiling(t *testing.T) {
	m := photographed(t, nil)
	if len(m.Photos[3].Ceiling) == 0 || len(m.Photos[4].Ceiling) != 0 {
		t.Fatalf("photo 4 has %d shapes, photo 5 %d", len(m.Photos[3].Ceiling), len(m.Photos[4].Ceiling))
	}
}

func TestWhereTheCameraStood(t *testing.T) {
	_, doc := file(t, photographed(t, nil))
	row := flat(doc.Find(`#sources td:first-child a[href="#photo-4"]`).Closest("tr").Text())
	for _, want := range []string{"9′ 0″ along, 9′ 4″ out ± ", "4′ 0″ ± ", "typed · pins 24, 25 and 2 more"} {
		if !strings.Contains(row, want) {
			t.Errorf("the table says %q, want %q in it", row, want)
		}
	}
}

// A hanger without a typed place, at 116 and 64 3/4 in: the list says where its photo has it, and it is to be verified on site.
func TestLocatedPinInTheReport(t *testing.T) {
	m := photographed(t, func(p *survey.Pin) {
		if p.Number == 20 {
			delete(p.Values, "x")
			delete(p.Values, "y")
		}
	})
	_, doc := file(t, m)
	if got := flat(doc.Find("#pin-20").Text()); !strings.Contains(got, "at 9′ 8″ along, 5′ 4 3/4″ out ± ") || !strings.Contains(got, "located · photo 4") {
		t.Errorf("the list says %q", got)
	}
	if got := flat(doc.Find("#verify").Text()); !strings.Contains(got, "Hanger 20") || !strings.Contains(got, "located ± ") {
		t.Errorf("what to verify on site lacks it: %q", got)
	}
	place := m.Places[0]
	for _, p := range m.Places {
		if p.Number == 20 {
			place = p
		}
	}
	if place.Source.Kind != survey.SourceLocated || !strings.HasPrefix(place.PM, "±") || place.Place == "" {
		t.Errorf("among the places: %+v", place)
	}
}

// A typed place that its photo contradicts says so, whether or not a person has said that it stands.
func TestPhotosWordAgainstTheTypedPlace(t *testing.T) {
	for stands, want := range map[string]string{"": "1′\u00a00″ apart, to be settled", "yes": "1′\u00a00″ apart; the typed place stands"} {
		m := photographed(t, func(p *survey.Pin) {
			if p.Number == 20 {
				p.Values["x"], p.Values["typed_stands"] = "128", stands
			}
		})
		found := false
		for _, line := range m.Photos[3].Pins {
			found = found || line.Number == 20 && strings.HasSuffix(line.Says, want) && strings.Contains(line.Position, "10′")
		}
		if !found {
			t.Errorf("typed_stands %q: the list does not say %q", stands, want)
		}
	}
}

// A level without a typed place is verified on site.
func TestLocatedLevelIsVerified(t *testing.T) {
	m := photographed(t, func(p *survey.Pin) {
		if p.Number == 21 {
			p.Kind, p.Values = survey.PinLevel, map[string]string{"height": `8' 10"`}
		}
	})
	for _, v := range m.Verify {
		if v.What == "Level 21" {
			if v.PM < doubtful || !strings.Contains(v.Value, "along") {
				t.Errorf("got %+v", v)
			}
			return
		}
	}
	t.Error("the level is not among what to verify")
}

// A reference that is named by its joist has its place in the report, with the ± of joists, and no English name of its own; the record stays as it was.
// Joist 14 of the demo stands 28′ 4″ less 16″ less 13 times 16″ along: 9′ 8″; a ledger's face is 1 1/2″ out (PS 20 lumber, from memory).
func TestReferenceByStructureInTheReport(t *testing.T) {
	r := demoRecord(t)
	for i, p := range r.Pins {
		if p.Number == 24 {
			r.Pins[i].Values = map[string]string{"joist": "14", "at": survey.AtLedger}
		}
	}
	m := Build(r, survey.Compute(r), WithinReport(), made())
	_, doc := file(t, m)
	got := flat(doc.Find("#pin-24").Text())
	for _, want := range []string{"9′ 8″ along, 1 1/2″ out", "± 3/8″", "which joist: 14", "where on it: at the ledger"} {
		if !strings.Contains(got, want) {
			t.Errorf("the list says %q, want %q in it", got, want)
		}
	}
	if strings.Contains(got, "joist 14 at the ledger") || len(r.Pins[23].Values) != 2 {
		t.Errorf("the list says %q of %v", got, r.Pins[23].Values)
	}
}

// A row from joist to joist says in the report which joists it is on.
func TestJoistRowInTheReport(t *testing.T) {
	r := demoRecord(t)
	for i, p := range r.Pins {
		if p.Values["row_count"] == "13" {
			r.Pins[i].Values = map[string]string{"drop": "0.06", "wx": "1.66", "wy": "2", "row_at": survey.AtLedger, "row_from": "1", "row_to": "13", "row_out": "4"}
		}
	}
	_, doc := file(t, Build(r, survey.Compute(r), WithinReport(), made()))
	got := flat(doc.Find("body").Text())
	for _, want := range []string{"row: at every joist along the ledger", "from joist: 1", "to joist: 13", "left out: 4"} {
		if !strings.Contains(got, want) {
			t.Errorf("the photos lack %q", want)
		}
	}
}
