package survey

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"undercroft/calc/length"
)

// Verification is values that somebody measured on site in place of what stood there: of a pin, or of a fact of the deck, then Pin is empty. Set is what was typed and Was
// what stood before, both by the keys of the fields, "" for nothing; Before says what that was and how it was got. A Verification that Withdraws another takes it back: then
// its Set is what stood before that one. Seq counts a survey's verifications from 1. Nothing of a verification ever changes.
type Verification struct {
	ID        string // a UUID
	Survey    SurveyID
	Seq       int
	Pin       PinID
	Set, Was  map[string]string
	Before    string
	Withdraws string
	By        string
	At        time.Time
}

// MaxVerifications is how many values can be verified, and taken back, in one survey.
const MaxVerifications = 2000

// maxMeasured is the most bytes of one measured text.
const maxMeasured = 100

// measuredPM is how well a measured place is known when nobody says otherwise: as well as any taped place.
const measuredPM = "1/8"

// VerifiableFields are the lengths of a pin that can be measured on site in place of what stands: none of a reference, whose place is corrected on its pin, and no place of
// what is named by the joists.
func VerifiableFields(r Record, p Pin) []Field {
	if p.Kind == PinReference {
		return nil
	}
	_, row := p.Row()
	return slices.DeleteFunc(PinFields(r, p.Kind), func(f Field) bool {
		place := f.Key == "x" || f.Key == "y" || f.Key == "pm"
		return f.Type != TypeLength && f.Type != TypePosition || f.Key == "row_step" || row && (place || f.Key == markKey)
	})
}

// VerifiableFact finds a length or number of the deck that can be measured on site in place of what stands.
func VerifiableFact(r Record, key string) (Field, bool) {
	for _, f := range FactFields(r) {
		if f.Key == key {
			return f, slices.Contains([]FieldType{TypeLength, TypePosition, TypeNumber, TypeCount}, f.Type)
		}
	}
	return Field{}, false
}

// VerifyPin makes a verification of a pin's values, without its id and time. Texts that are empty are left alone. A measured place takes both its lengths, stands whatever the
// photo says, and is known within what was typed, else an eighth of an inch. An Invalid error names the fields, and "by".
func VerifyPin(r Record, c Ceiling, p Pin, typed map[string]string, by string) (Verification, error) {
	fields := VerifiableFields(r, p)
	set, problems := readMeasured(fields, typed)
	_, x := set["x"]
	_, y := set["y"]
	for _, key := range []string{"x", "y"} {
		if x != y && set[key] == "" && problems[key] == "" {
			problems[key] = "Measure both: along the house and out from it."
		}
	}
	if x && y && set["pm"] == "" {
		set["pm"] = measuredPM
	}
	if x && y {
		set["typed_stands"] = "yes"
	}
	v := Verification{Survey: r.Survey.ID, Pin: p.ID, Set: set, Was: map[string]string{}, Before: stoodAt(r, c, p, fields, set), By: by}
	for key := range set {
		v.Was[key] = p.Values[key]
	}
	if err := v.check(problems); err != nil {
		return Verification{}, err
	}
	changed, _ := v.Apply(r)
	return v, ValidatePin(r, changed)
}

// VerifyFact makes a verification of a fact of the deck, without its id and time: what was measured stands against what pins say. An Invalid error names the field by its key,
// and "by".
func VerifyFact(r Record, key, text, by string) (Verification, error) {
	f, ok := VerifiableFact(r, key)
	if !ok {
		return Verification{}, Errorf(NotFound, "There is no such length to measure.")
	}
	set, problems := readMeasured([]Field{f}, map[string]string{key: text})
	fact := ResolveFacts(r).Get(key)
	v := Verification{Survey: r.Survey.ID, Set: set, Was: map[string]string{key: r.Facts[key].Text}, Before: f.Label + ": nothing was known", By: by}
	if len(fact.Candidates) > 0 {
		var said []string
		for _, c := range fact.Candidates {
			said = append(said, c.Value.Read+" ("+c.Source.String()+")")
			if c.Source.PinNumber > 0 {
				set[settlePrefix+key] = string(SourceTyped)
				v.Was[settlePrefix+key] = r.Facts[settlePrefix+key].Text
			}
		}
		v.Before = f.Label + ": " + strings.Join(said, ", ")
	} else if fact.State == FactAssumed {
		v.Before = f.Label + ": " + fact.Value.Read + " (assumed)"
	}
	return v, v.check(problems)
}

// readMeasured reads what was typed under the keys of the fields; the rest is left out.
func readMeasured(fields []Field, typed map[string]string) (set, problems map[string]string) {
	set, problems = map[string]string{}, map[string]string{}
	for _, f := range fields {
		text := typed[f.Key]
		if text == "" {
			continue
		}
		set[f.Key] = text
		if len(text) > maxMeasured {
			problems[f.Key] = "A length is shorter than that: at most 100 characters."
		} else if _, err := ReadValue(f, text); err != nil {
			problems[f.Key] = Message(err)
		}
	}
	if measured := len(set); measured == 0 || measured == 1 && set["pm"] != "" {
		problems["measured"] = "Type at least one length that you measured."
	}
	return set, problems
}

// check is the error of what was typed; nil when there is none.
func (v Verification) check(problems map[string]string) error {
	if v.By == "" || len(v.By) > maxRemarkers {
		problems["by"] = "Say who measured it, in at most 200 characters."
	}
	if len(problems) > 0 {
		return &Error{Kind: Invalid, Message: "Nothing was verified yet.", Fields: problems}
	}
	return nil
}

// stoodAt says what stood where the values of set are going to stand, and how it was got.
func stoodAt(r Record, c Ceiling, p Pin, fields []Field, set map[string]string) string {
	var said []string
	photo, _ := r.Photo(p.Photo)
	at, located := c.Located[p.ID]
	through := fmt.Sprintf("located by photo %d, ±\u00a0%s", photo.Number, length.Inches(at.PM()).Up16().Typeset())
	for _, f := range fields {
		if _, measured := set[f.Key]; !measured || f.Key == "pm" {
			continue
		}
		value, typed := p.Value(fields, f.Key)
		where, onPhoto := map[string]float64{"x": at.X, "y": at.Y, "y0": at.Y}[f.Key]
		switch {
		case typed && p.Values[f.Key] == "":
			said = append(said, f.Label+": "+value.Read+" ("+string(SourceAssumed)+")")
		case typed:
			said = append(said, f.Label+": "+value.Read+" ("+r.sourceOf(p, f.Key, SourceTyped).String()+")")
		case onPhoto && located:
			said = append(said, f.Label+": "+length.Inches(where).Typeset()+" ("+through+")")
		default:
			said = append(said, f.Label+": nothing was known")
		}
	}
	return clipText(strings.Join(said, "; "), maxRemark)
}

// Withdraw makes the verification that takes another back, without its id and time. NotFound when there is no such one that stands; Conflict when what it set was changed since.
func Withdraw(r Record, id, by string) (Verification, error) {
	i := slices.IndexFunc(r.Verified, func(v Verification) bool { return v.ID == id && v.Withdraws == "" })
	if i < 0 || r.withdrawn(id) {
		return Verification{}, Errorf(NotFound, "There is no such measured value, or it was taken back already.")
	}
	v := r.Verified[i]
	if !r.Holds(v) {
		return Verification{}, Errorf(Conflict, "What was measured was changed since. Correct it on its pin, or under Site and deck.")
	}
	back := Verification{Survey: r.Survey.ID, Pin: v.Pin, Set: maps.Clone(v.Was), Was: maps.Clone(v.Set), Before: "verified by " + v.By, Withdraws: id, By: by}
	return back, back.check(map[string]string{})
}

// Standing is the text that stands under a key of a pin, or of the deck when pin is empty.
func (r Record) Standing(pin PinID, key string) string {
	if pin == "" {
		return r.Facts[key].Text
	}
	p, _ := r.Pin(pin)
	return p.Values[key]
}

func (r Record) withdrawn(id string) bool {
	return slices.ContainsFunc(r.Verified, func(v Verification) bool { return v.Withdraws == id })
}

// VerifiedValue finds the verification whose text stands under a key of a pin, or of the deck when pin is empty; false when none does: nobody measured it, it was taken back, or
// something else was typed since.
func (r Record) VerifiedValue(pin PinID, key string) (Verification, bool) {
	for _, v := range slices.Backward(r.Verified) {
		text, has := v.Set[key]
		if v.Pin != pin || !has || v.Withdraws != "" || r.withdrawn(v.ID) {
			continue
		}
		return v, text == r.Standing(pin, key)
	}
	return Verification{}, false
}

// Stands tells whether a verification still holds: it takes nothing back, was not taken back, and nothing else was typed since under any of its keys.
func (r Record) Stands(v Verification) bool {
	return v.Withdraws == "" && !r.withdrawn(v.ID) && r.Holds(v)
}

// Holds tells whether everything that a verification, or its taking back, set is what stands now.
func (r Record) Holds(v Verification) bool {
	for key, text := range v.Set {
		if r.Standing(v.Pin, key) != text {
			return false
		}
	}
	return true
}

// sourceOf is the source of what a pin says under a key: the kind given, unless it was verified on site.
func (r Record) sourceOf(p Pin, key string, kind SourceKind) Source {
	source := pinSource(r, p, kind)
	if v, ok := r.VerifiedValue(p.ID, key); ok {
		source.Kind, source.By, source.At = SourceVerified, v.By, v.At
	}
	return source
}

// Apply is the pin with the verification's values, or the facts when it is of the deck; each in the version that stands in r.
func (v Verification) Apply(r Record) (p Pin, facts []Fact) {
	if v.Pin != "" {
		p, _ = r.Pin(v.Pin)
		p.Values = maps.Clone(p.Values)
		if p.Values == nil {
			p.Values = map[string]string{}
		}
		for key, text := range v.Set {
			if p.Values[key] = text; text == "" {
				delete(p.Values, key)
			}
		}
		return p, nil
	}
	for _, key := range slices.Sorted(maps.Keys(v.Set)) {
		facts = append(facts, Fact{Survey: r.Survey.ID, Key: key, Text: v.Set[key], Version: r.Facts[key].Version})
	}
	return p, facts
}

// Undone is the record as it would stand without what a verification set: for saying what that changed.
func (v Verification) Undone(r Record) Record {
	before := v
	before.Set = v.Was
	p, facts := before.Apply(r)
	r.Pins, r.Facts = slices.Clone(r.Pins), maps.Clone(r.Facts)
	for i := range r.Pins {
		if r.Pins[i].ID == p.ID {
			r.Pins[i] = p
		}
	}
	for _, f := range facts {
		r.Facts[f.Key] = f
	}
	return r
}
