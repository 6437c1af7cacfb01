package survey

import "testing"

// deckRecord is a survey with one photo, some typed facts and pins.
func deckRecord(facts map[string]string, pins ...Pin) Record {
	r := Record{Survey: Survey{ID: "s"}, Photos: []Photo{{ID: "ph", Number: 4, Width: 3024, Height: 4032}}, Facts: map[string]Fact{}}
	for key, text := range facts {
		r.Facts[key] = Fact{Key: key, Text: text, Version: 1}
	}
	for i, p := range pins {
		p.Number, p.Photo = i+1, "ph"
		p.ID = PinID(InputID(p.Number))
		r.Pins = append(r.Pins, p)
	}
	return r
}

func taped(names, text string) Pin {
	return Pin{Kind: PinDimension, Values: map[string]string{"names": names, "length": text}}
}

func TestSourcesOfAWidth(t *testing.T) {
	for _, test := range []struct {
		name   string
		record Record
		state  FactState
		width  float64
		source string
	}{
		{"nobody said", deckRecord(nil), FactMissing, 0, ""},
		{"typed", deckRecord(map[string]string{"width": "28'"}), FactKnown, 336, "typed"},
		{"taped", deckRecord(nil, taped("width", `28' 4"`)), FactKnown, 340, "taped, pin 1 on photo 4"},
		{"an eighth apart agrees, the tape stands", deckRecord(map[string]string{"width": "340 1/8"}, taped("width", "340")), FactKnown, 340, "taped, pin 1 on photo 4"},
		{"under half an inch: the tape stands, marked", deckRecord(map[string]string{"width": "340 7/16"}, taped("width", "340")), FactDiffers, 340, "taped, pin 1 on photo 4"},
		{"half an inch must be settled", deckRecord(map[string]string{"width": "340 1/2"}, taped("width", "340")), FactConflict, 0, ""},
		{"settled for the typed one", deckRecord(map[string]string{"width": "341", "settle.width": "typed"}, taped("width", "340")), FactKnown, 341, "typed"},
		{"settled for the pin", deckRecord(map[string]string{"width": "341", "settle.width": "p1"}, taped("width", "340")), FactKnown, 340, "taped, pin 1 on photo 4"},
		{"two tapes disagree", deckRecord(nil, taped("width", "340"), taped("width", "338")), FactConflict, 0, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			got := ResolveFacts(test.record).Get("width")
			source := ""
			if got.Known() {
				source = got.Source.String()
			}
			if got.State != test.state || got.Value.Number != test.width || source != test.source {
				t.Errorf("got %s %v %q; want %s %v %q", got.State, got.Value.Number, source, test.state, test.width, test.source)
			}
		})
	}
}

func TestAssumedFactsSaySo(t *testing.T) {
	set := ResolveFacts(deckRecord(nil))
	for key, want := range map[string]string{"rain.inches_per_hour": "7", "system": "vinyl-12", "edge.0.kind": "wall", "edge.2.kind": "open"} {
		if got := set.Get(key); got.State != FactAssumed || got.Text != want || got.Source.Kind != SourceAssumed {
			t.Errorf("%s: got %s %q from %s, want %q assumed", key, got.State, got.Text, got.Source, want)
		}
	}
	if got := set.Get("edge.0.surface"); got.State != FactMissing {
		t.Errorf("what the house wall is faced with: got %s %q, want it missing: nothing may be assumed", got.State, got.Text)
	}
}

func TestValidateFacts(t *testing.T) {
	r := deckRecord(nil)
	err := ValidateFacts(r, []Fact{{Key: "width", Text: "-3'"}, {Key: "projection", Text: "12'"}, {Key: "hue", Text: "red"}, {Key: "joist.spacing"}})
	e, ok := err.(*Error)
	if !ok || e.Kind != Invalid || len(e.Fields) != 2 || e.Fields["width"] == "" || e.Fields["hue"] == "" {
		t.Errorf("got %+v, want width and hue refused and the others taken", err)
	}
}
