package survey

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"undercroft/annotate"
)

// settledSurvey is a survey about which no rule has anything to say: a rectangle of 28' 4" by 14' against one wall, a photo with six references of
// a known camera, four levels, a clearance, a place for the water, and no to every question about what will be covered.
func settledSurvey(change func(facts map[string]string), pins ...Pin) Record {
	facts := plainFacts()
	facts[confirmedKey] = "yes"
	for _, q := range CoverQuestions() {
		facts[q.Key] = AnswerNo
	}
	if change != nil {
		change(facts)
	}
	all := append(references(demoCamera), pins...)
	r := photographed(facts, append(all, usualPins()...)...)
	r.Photos[0].Screen = "a picture"
	return r
}

func usualPins() []Pin {
	var pins []Pin
	for _, at := range [][2]string{{"10", "10"}, {"330", "10"}, {"10", "160"}, {"330", "160"}} {
		pins = append(pins, Pin{Kind: PinLevel, Values: map[string]string{"x": at[0], "y": at[1], "height": "106", "typed_stands": "yes"}})
	}
	return append(pins, Pin{Kind: PinClearance, Values: map[string]string{"x": "170", "y": "80", "clearance": "106", "typed_stands": "yes"}},
		Pin{Kind: PinWater, Values: map[string]string{"what": "downspout"}})
}

// without is a record without its pins of some kinds.
func without(r Record, kinds ...PinKind) Record {
	r.Pins = slices.DeleteFunc(slices.Clone(r.Pins), func(p Pin) bool { return slices.Contains(kinds, p.Kind) })
	return r
}

func say(key, text string) func(map[string]string) {
	return func(facts map[string]string) { facts[key] = text }
}

func unsay(keys ...string) func(map[string]string) {
	return func(facts map[string]string) {
		for _, key := range keys {
			delete(facts, key)
		}
	}
}

func TestNothingIsLeftOfASettledSurvey(t *testing.T) {
	r := settledSurvey(nil)
	check := Leave(r, Compute(r))
	if len(check.Items) > 0 {
		t.Errorf("got %+v", check.Items)
	}
	if len(check.Fine) < 10 {
		t.Errorf("in order: %q", check.Fine)
	}
}

// Of a survey in which there is nothing, nothing is in order.
func TestNothingIsInOrderOfAnEmptySurvey(t *testing.T) {
	r := Record{Survey: Survey{ID: "s"}}
	if check := Leave(r, Compute(r)); len(check.Fine) > 0 || check.Count(SeverityMissing) < 5 {
		t.Errorf("in order: %q; %d stops", check.Fine, check.Count(SeverityMissing))
	}
}

// Each rule speaks when its one thing is wrong, with its severity, and leads to where that is settled.
func TestLeaveRules(t *testing.T) {
	vent := func(values ...string) Pin {
		p := Pin{Kind: PinFixture, Values: map[string]string{"sort": "flue", "state": "existing", "at": "wall"}}
		for i := 0; i+1 < len(values); i += 2 {
			p.Values[values[i]] = values[i+1]
		}
		return p
	}
	rough := Pin{Kind: PinHanger, Values: map[string]string{"drop": "1", "wx": "2", "wy": "2", "x": "97", "y": "90", "pm": "5", "typed_stands": "yes"}}
	for _, test := range []struct {
		rule     string
		severity Severity
		record   Record
		text     string // of the sentence
		where    string // the fact, pin, photo or screen
	}{
		{"fact-missing", SeverityMissing, settledSurvey(unsay("joist.spacing")), "Joist spacing is not known.", "joist.spacing"},
		{"built-before-1978", SeverityMissing, settledSurvey(unsay("built_before_1978")), "1978", "built_before_1978"},
		{"dispute", SeverityMissing, settledSurvey(nil, taped("width", "342")), "two sources disagree", "width"},
		{"dispute", SeverityMissing, settledSurvey(nil, demoCamera.pin(PinHanger, 108, 60, 1.5, hangerValues("x", "100", "y", "60", "pm", "1/8"))), "apart", "p7"},
		{"sources-differ", SeverityCheck, settledSurvey(nil, taped("width", "340 1/4")), "two sources differ", "width"},
		{"wall-surface", SeverityMissing, settledSurvey(unsay("edge.0.surface")), "House side", "edge.0.surface"},
		{"wall-surface", SeverityMissing, settledSurvey(say("edge.0.surface", "unknown")), "House side", "edge.0.surface"},
		{"no-level", SeverityMissing, without(settledSurvey(nil), PinLevel), "No level", "photos"},
		{"few-levels", SeverityCheck, lessLevels(settledSurvey(nil), 2), "Only 2 levels were", "photos"},
		{"no-clearance", SeverityCheck, without(settledSurvey(nil), PinClearance), "No clearance", "photos"},
		{"profile-confirmed", SeverityCheck, settledSurvey(unsay(confirmedKey)), "supplier", confirmedKey},
		{"profile-confirmed", SeverityCheck, settledSurvey(say(confirmedKey, "no")), "supplier", confirmedKey},
		{"ceiling-refused", SeverityMissing, settledSurvey(say("outline", "0, 0\n340, 168\n340, 0\n0, 168")), "", "deck"},
		{"ceiling-blocked", SeverityMissing, settledSurvey(say("edge.2.kind", "wall")), "low edge stands against a wall", "ceiling"},
		{"no-downspout", SeverityMissing, without(settledSurvey(nil), PinWater), "downspout", "photos"},
		{"no-photo", SeverityMissing, func() Record { r := settledSurvey(nil); r.Photos = nil; return r }(), "no photo", "photos"},
		{"photo-unshown", SeverityCheck, ofPhoto(settledSurvey(nil), func(p *Photo) { p.Screen = "" }), "Photo 4 cannot be shown", "ph"},
		{"photo-doubtful", SeverityCheck, ofPhoto(settledSurvey(nil), func(p *Photo) { p.Meta.Warnings = []string{"This photo is blurred."} }), "Photo 4", "ph"},
		{"photo-doubtful", SeverityCheck, onDay(settledSurvey(nil)), "Photo 4", "ph"},
		{"photo-without-pin", SeverityNote, morePhotos(settledSurvey(nil)), "Photo 5 has no pin", "other"},
		{"references-contradict", SeverityCheck, wrongReference(settledSurvey(nil)), "Photo 4", "ph"},
		{"references-no-check", SeverityCheck, fewReferences(settledSurvey(nil), 0, 2, 3, 5), "Photo 4", "ph"},
		{"references-few", SeverityNote, fewReferences(settledSurvey(nil), 0, 2), "Photo 4", "ph"},
		{"pin-left-out", SeverityCheck, settledSurvey(nil, Pin{Kind: PinHanger, Values: map[string]string{"drop": "1"}}), "left out", "p7"},
		{"seam-near", SeverityCheck, settledSurvey(nil, rough), "± 5″ and a seam is near", "p7"},
		{"vent-above", SeverityMissing, settledSurvey(nil, vent("drop", "2")), "would end above the ceiling", "cover.flue"},
		{"vent-above", SeverityMissing, settledSurvey(nil, vent()), "Nobody has said", "cover.flue"},
		{"vent-above", SeverityMissing, settledSurvey(say("cover.flue", AnswerYes)), "nobody has pinned where it ends", "cover.flue"},
		{"cover-contradicted", SeverityCheck, settledSurvey(nil, vent("drop", "20")), "answered no, but pin 7", "cover.flue"},
		{"cover-unanswered", SeverityMissing, settledSurvey(unsay("cover.rot")), "Rot or soft wood", "cover.rot"},
		{"cover-unanswered", SeverityMissing, settledSurvey(unsay("cover.rot", "around.hot-tub")), "2 questions", "around.hot-tub"},
		{"cover-not-seen", SeverityCheck, settledSurvey(say("cover.ledger-flashing", AnswerNotSeen)), "nobody could look", "cover.ledger-flashing"},
		{"cover-yes", SeverityNote, settledSurvey(say("cover.rot", AnswerYes)), "Rot or soft wood: yes", "cover.rot"},
	} {
		t.Run(test.rule, func(t *testing.T) {
			check := Leave(test.record, Compute(test.record))
			i := slices.IndexFunc(check.Items, func(item LeaveItem) bool { return item.Rule == test.rule })
			if i < 0 {
				t.Fatalf("the rule is silent; others say %+v", check.Items)
			}
			item := check.Items[i]
			if item.Severity != test.severity || !strings.Contains(strings.ReplaceAll(item.Text, "\u00a0", " "), test.text) || item.Text == "" {
				t.Errorf("got %s %q, want %s %q", item.Severity, item.Text, test.severity, test.text)
			}
			if item.Do == "" && test.rule != "photo-unshown" {
				t.Error("nothing says what to do")
			}
			places := []string{item.Fact, string(item.Pin), string(item.Photo), item.Screen}
			if !slices.Contains(places, test.where) {
				t.Errorf("it leads to %q, want %q", places, test.where)
			}
			if !slices.IsSortedFunc(check.Items, func(a, b LeaveItem) int { return severityOrder(a.Severity) - severityOrder(b.Severity) }) {
				t.Error("stops do not come first")
			}
		})
	}
}

func lessLevels(r Record, left int) Record {
	r.Pins = slices.DeleteFunc(slices.Clone(r.Pins), func(p Pin) bool {
		if p.Kind == PinLevel {
			left--
		}
		return p.Kind == PinLevel && left < 0
	})
	return r
}

func ofPhoto(r Record, change func(*Photo)) Record {
	change(&r.Photos[0])
	return r
}

// onDay is a record whose photo was taken on another day than the visit's.
func onDay(r Record) Record {
	r.Survey.VisitDate, r.Photos[0].Meta.Taken = "2026-05-31", "2026-05-30T12:00:00"
	return r
}

func morePhotos(r Record) Record {
	r.Photos = append(r.Photos, Photo{ID: "other", Number: 5, Screen: "a picture", Width: 3024, Height: 4032, Meta: annotate.Meta{}})
	return r
}

// wrongReference moves a reference's typed place by two feet.
func wrongReference(r Record) Record {
	r.Pins[0].Values = maps.Clone(r.Pins[0].Values)
	r.Pins[0].Values["x"] = "84"
	return r
}

// fewReferences keeps the references with the given indices.
func fewReferences(r Record, keep ...int) Record {
	var pins []Pin
	for i, p := range r.Pins {
		if p.Kind != PinReference || slices.Contains(keep, i) {
			pins = append(pins, p)
		}
	}
	r.Pins = pins
	return r
}

// Every finding that keeps the ceiling from being computed is a stop, whatever rule tells it.
func TestWhatKeepsTheCeilingFromBeingComputedIsAStop(t *testing.T) {
	for name, r := range map[string]Record{
		"nothing at all": {Survey: Survey{ID: "s"}}, "a conflict": settledSurvey(nil, taped("width", "400")),
		"temperatures": settledSurvey(func(f map[string]string) { f["temperature.min"], f["temperature.max"] = "90", "80" }),
	} {
		c := Compute(r)
		missing := 0
		for _, f := range c.Findings {
			if f.Severity == SeverityMissing {
				missing++
			}
		}
		stops := Leave(r, c).Count(SeverityMissing)
		if c.Ready() || stops < missing {
			t.Errorf("%s: %d stops for %d findings", name, stops, missing)
		}
	}
}
