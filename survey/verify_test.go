package survey

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// keptAs is a record in which a verification was kept as a store keeps it.
func keptAs(r Record, v Verification, id string, at time.Time) Record {
	v.ID, v.At, v.Seq = id, at, len(r.Verified)+1
	p, facts := v.Apply(r)
	r.Pins = append([]Pin{}, r.Pins...)
	for i := range r.Pins {
		if r.Pins[i].ID == p.ID && v.Pin != "" {
			r.Pins[i] = p
		}
	}
	known := map[string]Fact{}
	for key, f := range r.Facts {
		known[key] = f
	}
	for _, f := range facts {
		f.Version++
		known[f.Key] = f
	}
	r.Facts = known
	r.Verified = append(append([]Verification{}, r.Verified...), v)
	return r
}

// TestVerifiedPlaceReplacesTheLocatedOne: the camera of the tests, which is written down independently of the geometry, sees the hanger at 120, 60; the installer tapes it 1 1/4 in
// further right. Expected values follow from these by hand.
func TestVerifiedPlaceReplacesTheLocatedOne(t *testing.T) {
	r := photographed(plainFacts(), append(references(demoCamera), demoCamera.pin(PinHanger, 120, 60, 1.5, hangerValues()))...)
	c := Compute(r)
	pin, _ := r.Pin("p7")
	located := c.Input.Obstructions[0]
	v, err := VerifyPin(r, c, pin, map[string]string{"x": `10' 1 1/4"`, "y": "60"}, "B. Quill")
	if err != nil {
		t.Fatal(err)
	}
	if want := map[string]string{"x": `10' 1 1/4"`, "y": "60", "pm": "1/8", "typed_stands": "yes"}; !cmp.Equal(v.Set, want) {
		t.Errorf("set: %s", cmp.Diff(want, v.Set))
	}
	if !strings.Contains(v.Before, "located by photo 4, ±") || !strings.Contains(v.Before, "10′") {
		t.Errorf("before: got %q", v.Before)
	}
	at := time.Date(2026, 6, 4, 8, 0, 0, 0, time.UTC)
	now := keptAs(r, v, "v1", at)
	a := Compute(now)
	o := a.Input.Obstructions[0]
	if float64(o.X) != 121.25 || float64(o.Y) != 60 || math.Abs(float64(o.SX)*1.96-0.125) > 1e-9 {
		t.Errorf("got %+v", o)
	}
	if got := a.Sources[o.ID]; got.Kind != SourceVerified || got.By != "B. Quill" || got.At != at || got.PinNumber != 7 || got.String() != "verified by B. Quill, pin 7 on photo 4" {
		t.Errorf("source: got %+v, %q", got, got)
	}
	if l := a.Located["p7"]; math.Hypot(l.X-120, l.Y-60) > 0.01 {
		t.Errorf("the photo's word is not readable any more: %+v", l)
	}
	if undone := Compute(v.Undone(now)).Input.Obstructions[0]; undone != located {
		t.Errorf("undone: got %+v, want %+v", undone, located)
	}
	back, err := Withdraw(now, "v1", "B. Quill")
	if err != nil {
		t.Fatal(err)
	}
	now = keptAs(now, back, "v2", at)
	if got := Compute(now); got.Input.Obstructions[0] != located || got.Sources[o.ID].Kind != SourceLocated {
		t.Errorf("taken back: got %+v, %+v", got.Input.Obstructions[0], got.Sources[o.ID])
	}
	if _, err := Withdraw(now, "v1", "B. Quill"); KindOf(err) != NotFound {
		t.Errorf("taken back twice: got %v", err)
	}
}

func TestVerifyPinRefuses(t *testing.T) {
	r := photographed(plainFacts(), append(references(demoCamera), demoCamera.pin(PinHanger, 120, 60, 1.5, hangerValues()))...)
	c := Compute(r)
	hanger, _ := r.Pin("p7")
	reference, _ := r.Pin("p1")
	for _, test := range []struct {
		name  string
		pin   Pin
		typed map[string]string
		by    string
		field string
	}{
		{"nothing", hanger, nil, "B. Quill", "measured"},
		{"how well alone", hanger, map[string]string{"pm": "1/4"}, "B. Quill", "measured"},
		{"one of two", hanger, map[string]string{"x": "121"}, "B. Quill", "y"},
		{"no length", hanger, map[string]string{"drop": "deep"}, "B. Quill", "drop"},
		{"a very long length", hanger, map[string]string{"drop": strings.Repeat("0", 100) + "1"}, "B. Quill", "drop"},
		{"nobody", hanger, map[string]string{"drop": "1/2"}, "", "by"},
		{"a reference", reference, map[string]string{"x": "121", "y": "60"}, "B. Quill", "measured"},
	} {
		_, err := VerifyPin(r, c, test.pin, test.typed, test.by)
		e, ok := err.(*Error)
		if !ok || e.Kind != Invalid || e.Fields[test.field] == "" {
			t.Errorf("%s: got %v", test.name, err)
		}
	}
	if v, err := VerifyPin(r, c, hanger, map[string]string{"drop": "1/2"}, "B. Quill"); err != nil || v.Was["drop"] != "1 1/2" || !strings.Contains(strings.ReplaceAll(v.Before, "\u00a0", " "), "1 1/2″ (typed, pin 7 on photo 4)") {
		t.Errorf("got %+v, %v", v, err)
	}
}

// TestVerifiedFactStandsAgainstThePins: a width that was typed and one that was pinned disagree by a foot, so that a person must choose; the measured one stands.
func TestVerifiedFactStandsAgainstThePins(t *testing.T) {
	facts := plainFacts()
	facts["width"] = "24'"
	x := 0.5
	r := deckRecord(facts, Pin{Kind: PinDimension, X: .1, Y: .1, X2: &x, Y2: &x, Values: map[string]string{"names": "width", "length": "25'"}})
	if got := ResolveFacts(r).Get("width").State; got != FactConflict {
		t.Fatalf("got %s", got)
	}
	v, err := VerifyFact(r, "width", `24' 11 1/2"`, "B. Quill")
	if err != nil {
		t.Fatal(err)
	}
	if want := "Deck width: 24′ 0″ (typed), 25′ 0″ (taped, pin 1 on photo 4)"; strings.ReplaceAll(v.Before, "\u00a0", " ") != want {
		t.Errorf("before: got %q, want %q", v.Before, want)
	}
	now := keptAs(r, v, "v1", time.Unix(1_800_000_000, 0))
	got := ResolveFacts(now).Get("width")
	if got.State != FactKnown || got.Value.Number != 299.5 || got.Source.Kind != SourceVerified || len(got.Candidates) != 2 {
		t.Errorf("got %+v", got)
	}
	back, err := Withdraw(now, "v1", "B. Quill")
	if err != nil {
		t.Fatal(err)
	}
	if got := ResolveFacts(keptAs(now, back, "v2", time.Unix(1_800_000_000, 0))).Get("width").State; got != FactConflict {
		t.Errorf("taken back: got %s", got)
	}
	// What was typed since is no longer the measured value, and nothing is taken back over it.
	f := now.Facts["width"]
	f.Text = "26'"
	now.Facts["width"] = f
	if _, stands := now.VerifiedValue("", "width"); stands || ResolveFacts(now).Get("width").Source.Kind != SourceTyped || now.Stands(now.Verified[0]) {
		t.Error("a later text is called verified")
	}
	if _, err := Withdraw(now, "v1", "B. Quill"); KindOf(err) != Conflict {
		t.Errorf("got %v", err)
	}
	for _, key := range []string{"joist.wood", "nothing"} {
		if _, err := VerifyFact(r, key, "1", "B. Quill"); KindOf(err) != NotFound {
			t.Errorf("%s: got %v", key, err)
		}
	}
}

// TestVerifiedTwice: the second of two verified values is taken back and the first stands again; one that only confirmed what was typed leaves it typed when it is taken back.
func TestVerifiedTwice(t *testing.T) {
	facts := plainFacts()
	facts["width"] = "24'"
	r := deckRecord(facts)
	verify := func(r Record, id, text string) Record {
		t.Helper()
		v, err := VerifyFact(r, "width", text, "B. Quill")
		if err != nil {
			t.Fatal(err)
		}
		return keptAs(r, v, id, time.Unix(1_800_000_000, 0))
	}
	back := func(r Record, id string) Record {
		t.Helper()
		v, err := Withdraw(r, id, "B. Quill")
		if err != nil {
			t.Fatal(err)
		}
		return keptAs(r, v, "not "+id, time.Unix(1_800_000_000, 0))
	}
	stands := func(r Record) string {
		f := ResolveFacts(r).Get("width")
		v, _ := r.VerifiedValue("", "width")
		return f.Text + " " + string(f.Source.Kind) + " " + v.ID
	}
	r = verify(verify(r, "one", "24' 1\""), "two", "24' 2\"")
	if got := stands(r); got != "24' 2\" verified two" {
		t.Errorf("got %s", got)
	}
	r = back(r, "two")
	if got := stands(r); got != "24' 1\" verified one" {
		t.Errorf("the second taken back: got %s", got)
	}
	r = back(r, "one")
	if got := stands(r); got != "24' typed " {
		t.Errorf("both taken back: got %s", got)
	}
	r = verify(r, "same", "24'")
	if got := stands(r); got != "24' verified same" {
		t.Errorf("confirmed: got %s", got)
	}
	if got := stands(back(r, "same")); got != "24' typed " {
		t.Errorf("the confirmation taken back: got %s", got)
	}
}
