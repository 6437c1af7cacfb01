package survey

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undercroft/calc"
)

// Every condition that the calculator knows is asked about, under one key, on the page and in the deck's form alike; every question says what must be
// done, and where that comes from.
func TestCoverQuestions(t *testing.T) {
	r := deckRecord(plainFacts())
	keys := map[string]bool{}
	for _, q := range CoverQuestions() {
		if keys[q.Key] || q.Label == "" || q.Group == "" || q.Caution.Text == "" || q.Caution.Source == "" || q.Caution.Rule == "" {
			t.Errorf("%+v comes twice or lacks something", q)
		}
		if text := strings.ToLower(q.Caution.Text); !strings.Contains(text, "local code") {
			t.Errorf("%s does not defer to local code: %q", q.Key, q.Caution.Text)
		}
		keys[q.Key] = true
		condition, ofCalc := strings.CutPrefix(q.Key, conditionPrefix)
		if want, _ := calc.CautionAbout(condition); ofCalc && !cmp.Equal(q.Caution, want) {
			t.Errorf("%s has the caution %+v, the calculator %+v", q.Key, q.Caution, want)
		}
	}
	asked := 0
	for _, f := range FactFields(r) {
		if strings.HasPrefix(f.Key, conditionPrefix) {
			asked++
			if !keys[f.Key] {
				t.Errorf("%s is asked in the deck's form only", f.Key)
			}
		}
	}
	if asked != 7 {
		t.Errorf("the deck's form asks about %d conditions, want the calculator's 7", asked)
	}
	for _, f := range CoverFields(r) {
		if _, ok := FactField(r, f.Key); !ok {
			t.Errorf("%s is no field of the survey", f.Key)
		}
	}
	if err := ValidateFacts(r, []Fact{{Key: "cover.rot", Text: "perhaps"}}); KindOf(err) != Invalid {
		t.Errorf("perhaps: %v", err)
	}
	if err := ValidateFacts(r, []Fact{{Key: "cover.rot", Text: AnswerNotSeen}, {Key: "cover.rot.photo", Text: "4"}, {Key: "around.hot-tub", Text: AnswerNotSeen}}); err != nil {
		t.Error(err)
	}
	if err := ValidateFacts(r, []Fact{{Key: "cover.rot.photo", Text: "9"}}); KindOf(err) != Invalid {
		t.Errorf("a photo that is not there: %v", err)
	}
}

// A flue is judged by where its pin says that it ends against the lowest part of the ceiling. The settled survey's ceiling falls 1/4" or less a foot
// over 14 feet and its carriers are 1 1/2" deep: its underside is between 2" and 6" below the joists.
func TestVents(t *testing.T) {
	flue := func(values map[string]string) Pin {
		values["sort"] = "flue"
		return Pin{Kind: PinFixture, Values: values}
	}
	for _, test := range []struct {
		name     string
		answer   string
		pin      map[string]string
		severity Severity
		text     string
	}{
		{"none", AnswerNo, nil, "", ""},
		{"not answered and none pinned", "", nil, "", ""},
		{"yes, and nobody knows where", AnswerYes, nil, SeverityMissing, "nobody has pinned"},
		{"pinned without a height", AnswerYes, map[string]string{"at": "wall", "state": "existing"}, SeverityMissing, "Nobody has said"},
		{"above the ceiling", AnswerYes, map[string]string{"at": "wall", "state": "existing", "drop": "1"}, SeverityMissing, "would end above"},
		{"above it, whatever was answered", AnswerNo, map[string]string{"at": "ceiling", "state": "planned", "drop": "1"}, SeverityMissing, "would end above"},
		{"below it", AnswerYes, map[string]string{"at": "wall", "state": "existing", "drop": "13"}, SeverityCheck, "under the ceiling"},
		{"through it", AnswerYes, map[string]string{"at": "ceiling", "state": "existing", "drop": "1", "through": "yes"}, SeverityCheck, "below the ceiling"},
		{"to be moved", AnswerYes, map[string]string{"at": "wall", "state": "moved", "drop": "1"}, SeverityCheck, "to be moved"},
		{"nobody looked", AnswerNotSeen, nil, SeverityCheck, "nobody could look"},
	} {
		t.Run(test.name, func(t *testing.T) {
			var pins []Pin
			if test.pin != nil {
				pins = append(pins, flue(test.pin))
			}
			r := settledSurvey(say("cover.flue", test.answer), pins...)
			got := Covered(r, Compute(r))[0]
			if got.Key != "cover.flue" || got.Finding.Severity != test.severity || !strings.Contains(got.Finding.Text, test.text) || (got.Finding.Text == "") != (test.text == "") {
				t.Errorf("got %+v", got.Finding)
			}
		})
	}
	worst := settledSurvey(say("cover.flue", AnswerYes), flue(map[string]string{"at": "wall", "state": "existing", "drop": "30"}), flue(map[string]string{"at": "wall", "state": "existing", "drop": "1"}))
	if got := Covered(worst, Compute(worst))[0].Finding; got.Pin != "p8" || got.Severity != SeverityMissing {
		t.Errorf("of two the worst counts: got %+v", got)
	}
	early := settledSurvey(func(f map[string]string) { f["cover.flue"] = AnswerYes; delete(f, "width") }, flue(map[string]string{"at": "wall", "state": "existing", "drop": "30"}))
	if got := Covered(early, Compute(early))[0].Finding; got.Severity != SeverityCheck || !strings.Contains(got.Text, "cannot be judged") {
		t.Errorf("without a ceiling: got %+v", got)
	}
}

func TestAPhotoThatIsGoneShowsNothing(t *testing.T) {
	r := settledSurvey(say("cover.rot.photo", "4"))
	find := func() CoverState {
		for _, s := range Covered(r, Compute(r)) {
			if s.Key == "cover.rot" {
				return s
			}
		}
		return CoverState{}
	}
	if got := find().Photo; got != 4 {
		t.Errorf("got photo %d, want 4", got)
	}
	r.Photos = nil
	if got := find().Photo; got != 0 {
		t.Errorf("got photo %d, which is not there", got)
	}
}
