package calc

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"undercroft/calc/length"
)

// least is the smallest document that is accepted.
const least = `{"outline": [[0,0],[240,0],[240,168],[0,168]],
 "edges": [{"kind":"wall","surface":"brick"},{"kind":"open"},{"kind":"open"},{"kind":"open"}],
 "joists": {"direction":"y","spacing":16}}`

// with is the smallest document with further members.
func with(members string) string { return strings.TrimSuffix(least, "}") + ", " + members + "}" }

func decode(document string) (Input, error) { return Decode(strings.NewReader(document)) }

func TestDecodeDefaults(t *testing.T) {
	in, err := decode(least)
	if err != nil {
		t.Fatal(err)
	}
	want := defaultInput()
	want.Outline = []Point{{0, 0}, {240, 0}, {240, 168}, {0, 168}}
	want.Edges = []Edge{{Kind: EdgeWall, Surface: SurfaceBrick}, {Kind: EdgeOpen}, {Kind: EdgeOpen}, {Kind: EdgeOpen}}
	want.Joists.Direction, want.Joists.Spacing = "y", 16
	if !reflect.DeepEqual(in, want) {
		t.Errorf("got %+v\nwant %+v", in, want)
	}
}

func TestDecodeLengthTexts(t *testing.T) {
	in, err := decode(with(`"base": "1/2\"", "fall": {"per_foot": "1/8"}, "heights": [{"x": "1'", "y": "1 m", "height": "9' 2\""}], "system": {"panel_cover": "1'", "panel_gain_sd": "1/64"}`))
	if err != nil {
		t.Fatal(err)
	}
	if in.Base != 0.5 || *in.Fall.PerFoot != 0.125 || in.Heights[0] != (Height{12, length.Inches(1000 / 25.4), 110}) || in.Fall.Direction != FallOut {
		t.Errorf("got %+v", in)
	}
	sys, err := Resolve(in.System)
	if err != nil || sys.PanelCover != 12 || sys.PanelGainSD != 1.0/64 {
		t.Errorf("got %v, %v, %v", sys.PanelCover, sys.PanelGainSD, err)
	}
}

// Every refusal names the place.
func TestDecodeRefuses(t *testing.T) {
	obstruction := func(members string) string {
		return with(`"obstructions": [{"id":"a","kind":"pipe","x":1,"y":1,"wx":1,"wy":1,"drop":1` + members + `}]`)
	}
	for _, c := range []struct{ document, place, reason string }{
		{``, "", "ends too early"}, {`{`, "", "ends too early"}, {`[]`, "", "expected an object"}, {`null`, "", "expected an object"}, {`nul`, "", "ends too early"}, {`nux`, "", "not JSON"},
		{least + ` x`, "", "after the document"}, {least + least, "", "after the document"}, {"\xff", "", "UTF-8"},
		{`{}`, "outline", "missing"}, {with(`"beam": []`), "beam", "no such key"}, {with(`"Beams": []`), "Beams", "no such key"},
		{with(`"base": 1, "base": 2`), "base", "twice"}, {with(`"base": null`), "base", "null"}, {with(`"beams": null`), "beams", "expected a list"},
		{with(`"base": NaN`), "base", "not JSON"}, {with(`"base": 1e999`), "base", "out of range"}, {with(`"base": -1`), "base", "negative"},
		{with(`"base": "1/3"`), "base", "halves"}, {with(`"base": 12001`), "base", "beyond 12000"}, {with(`"base": [1]`), "base", "expected a number of inches"},
		{with(`"max_build_down": -0.1`), "max_build_down", "negative"},
		{strings.Replace(least, "[240,168]", "[240,168,1]", 1), "outline[2]", "expected a point"},
		{strings.Replace(least, "[240,168]", "[240,20000]", 1), "outline[2][1]", "beyond"},
		{strings.Replace(least, "[240,168],[0,168]", "[240,168]", 1), "edges", "there are 4 for 3 corners"},
		{strings.Replace(least, "[240,0],[240,168]", "[240,168],[240,0]", 1), "outline", "crosses"},
		{strings.Replace(least, "[240,168]", "[240,0]", 1), "outline[2]", "repeats corner 1"},
		{strings.Replace(least, "[240,168],[0,168]", "[120,0],[60,0]", 1), "outline", "no area"},
		{strings.Replace(least, "[0,168]]", "[120,0]]", 1), "outline", "touches itself"},
		{`{"outline": [[0,0],[1,1]], "edges": [{"kind":"open"},{"kind":"open"}], "joists": {"direction":"y","spacing":16}}`, "outline", "at least 3"},
		{strings.Replace(least, `,"surface":"brick"`, "", 1), "edges[0].surface", "required"}, {strings.Replace(least, "brick", "mud", 1), "edges[0].surface", "no wall surface"},
		{strings.Replace(least, `{"kind":"open"}`, `{"kind":"open","surface":"brick"}`, 1), "edges[1].surface", "walls only"},
		{strings.Replace(least, `{"kind":"open"}`, `{"kind":"rail"}`, 1), "edges[1].kind", "wall or open"}, {strings.Replace(least, `"kind":"wall",`, "", 1), "edges[0].kind", "missing"},
		{strings.Replace(least, `"spacing":16`, `"spacing":0`, 1), "joists.spacing", "must be from 1"}, {strings.Replace(least, `,"spacing":16`, ``, 1), "joists.spacing", "missing"},
		{strings.Replace(least, `"direction":"y"`, `"direction":"z"`, 1), "joists.direction", "x or y"},
		{strings.Replace(least, `"spacing":16`, `"spacing":16,"specific_gravity":"0.4"`, 1), "joists.specific_gravity", "expected a number"},
		{strings.Replace(least, `"spacing":16`, `"spacing":16,"gaps":[{"x0":1,"x1":1,"y0":0,"y1":1}]`, 1), "joists.gaps[0]", "x1 must be over x0"},
		{with(`"fall": {"direction": "-y"}`), "fall.direction", "+y, +x or -x"}, {with(`"fall": {"per_foot": 0}`), "fall.per_foot", "over 0"},
		{with(`"heights": [{"x":1,"y":1}]`), "heights[0].height", "missing"}, {with(`"clearances": [{"x":1,"y":1,"clearance":-1}]`), "clearances[0].clearance", "negative"},
		{with(`"beams": [{"id":"b","x0":0,"x1":0,"y0":0,"y1":1,"drop":1}]`), "beams[0]", "x1 must be over x0"},
		{with(`"beams": [{"id":"b","x0":0,"x1":1,"y0":0,"y1":1,"drop":-1}]`), "beams[0].drop", "negative"},
		{with(`"beams": [{"id":"b","x0":0,"x1":1,"y0":0,"y1":1,"drop":1,"treatment":"cut"}]`), "beams[0].treatment", "auto, split, under or stop"},
		{with(`"beams": [{"x0":0,"x1":1,"y0":0,"y1":1,"drop":1}]`), "beams[0].id", "missing"},
		{obstruction(`,"sx":-1`), "obstructions[0].sx", "negative"}, {obstruction(`,"colour":"red"`), "obstructions[0].colour", "no such key"},
		{obstruction(`,"through":1`), "obstructions[0].through", "true or false"}, {strings.Replace(obstruction(""), "pipe", "rope", 1), "obstructions[0].kind", "hanger"},
		{strings.Replace(obstruction(""), `"id":"a"`, `"id":""`, 1), "obstructions[0].id", "must have"}, {strings.Replace(obstruction(""), `"id":"a"`, `"id":7`, 1), "obstructions[0].id", "expected a text"},
		{strings.Replace(obstruction(""), `"drop":1`, `"drop":-1`, 1), "obstructions[0].drop", "negative"},
		{obstruction("") + ` `, "", ""},
		{with(`"obstructions": [{"id":"a","kind":"pipe","x":1,"y":1,"wx":1,"wy":1,"drop":1}], "openings": [{"id":"a","x0":1,"x1":2,"head":80}]`), "openings[0].id", "twice"},
		{with(`"openings": [{"id":"a","x0":2,"x1":2,"head":80}]`), "openings[0]", "x1 must be over x0"},
		{with(`"rain": {"inches_per_hour": -1, "roof_ft2": 0}`), "rain.inches_per_hour", "must be from 0"},
		{with(`"temperature": {"install":50,"min":60,"max":50}`), "temperature", "over max"},
		{with(`"low_edge": "open"`), "low_edge", "sealant or drip-channel"}, {with(`"built_before_1978": "yes"`), "built_before_1978", "true or false"},
		{with(`"holes": [[[1,1],[2,2]]]`), "holes[0]", "at least 3"}, {with(`"holes": [[[200,1],[260,1],[260,9]]]`), "holes[0][1]", "outside"},
		{with(`"cover": ["z1","z1"]`), "cover[1]", "twice"}, {with(`"system": "gold-9"`), "system", "vinyl-12, metal-16"}, {with(`"system": 7`), "system", "expected a profile"},
		{with(`"system": {"panel_cover": 0}`), "system.panel_cover", "must be from"}, {with(`"system": {"panel_colour": 0}`), "system.panel_colour", "no such key"},
		{with(`"system": {"panel_stock": []}`), "system.panel_stock", "0 entries"}, {with(`"system": {"cost_notch": -1}`), "system.cost_notch", "must be from 0"},
		{with(`"system": {"panel_alpha": null}`), "system.panel_alpha", "null"}, {with(`"system": {"name": 1}`), "system.name", "expected a text"},
		{with(`"system": {"furring_spacing": 0}`), "system.furring_spacing", "must be from"}, {with(`"system": {"gutter_prefer": "x"}`), "system.gutter_prefer", "no gutter shape"},
		{with(`"system": {"leader": 7}`), "system.leader", "none of"}, {with(`"system": {"name": "metal-16", "name": "vinyl-12"}`), "system.name", "twice"},
		{with(`"joists": {"direction":"y","spacing":16}`), "joists", "twice"},
		{strings.Repeat("[", 100), "", "nested deeper"}, {"[" + strings.Repeat("0,", maxValues) + "0]", "", "values"},
	} {
		_, err := decode(c.document)
		if c.reason == "" {
			if err != nil {
				t.Errorf("%s: got %v", c.document, err)
			}
			continue
		}
		var fault *InputError
		if !errors.As(err, &fault) {
			t.Errorf("%s: got %v, want an InputError", c.document, err)
			continue
		}
		place := fault.Place
		if c.reason == "nested deeper" {
			place = ""
		}
		if place != c.place || !strings.Contains(fault.Reason, c.reason) {
			t.Errorf("%.300s: got %v, want %s: … %s", c.document, err, c.place, c.reason)
		}
	}
}

func TestDecodeRefusesTooManyObstructions(t *testing.T) {
	one := `{"id":"%d","kind":"pipe","x":1,"y":1,"wx":1,"wy":1,"drop":1},`
	var b strings.Builder
	b.WriteString(strings.TrimSuffix(least, "}") + `, "obstructions": [`)
	for i := range maxObstructions + 1 {
		fmt.Fprintf(&b, one, i)
	}
	_, err := decode(strings.TrimSuffix(b.String(), ",") + "]}")
	var fault *InputError
	if !errors.As(err, &fault) || fault.Place != "obstructions" || !strings.Contains(fault.Reason, "100001") {
		t.Errorf("got %v", err)
	}
}

func TestCheckRefusesNumbersThatAreNone(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		in := rectangle(240, 168)
		in.Heights[0].Height = length.Inches(bad)
		if err := Check(in); err == nil {
			t.Errorf("height %v: accepted", bad)
		}
		in = rectangle(240, 168)
		in.Rain.InchesPerHour = bad
		if err := Check(in); err == nil {
			t.Errorf("rain %v: accepted", bad)
		}
		in = rectangle(240, 168)
		in.Outline[2].X = length.Inches(bad)
		if err := Check(in); err == nil {
			t.Errorf("corner at %v: accepted", bad)
		}
	}
}

// An input written as JSON decodes to itself.
func TestInputRoundTrip(t *testing.T) {
	paths, _ := filepath.Glob("../testdata/calc-cases/*.in.json")
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		in, err := Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		again, err := json.Marshal(in)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Decode(bytes.NewReader(again))
		if err != nil || planText(t, back) != planText(t, in) {
			t.Errorf("%s: written as %s it plans otherwise (%v)", path, again, err)
		}
	}
}

func planText(t *testing.T, in Input) string {
	t.Helper()
	data, err := json.Marshal(plan(t, in))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestSelectionJSON(t *testing.T) {
	for _, c := range []struct {
		s    SystemSelection
		want string
	}{
		{SystemSelection{}, `"vinyl-12"`}, {SystemSelection{Name: "metal-16"}, `"metal-16"`},
		{SystemSelection{Name: "metal-16", Overrides: json.RawMessage(`{}`)}, `{"name":"metal-16"}`},
		{SystemSelection{Name: "metal-16", Overrides: json.RawMessage(` {"kerf":"1/8\""}`)}, `{"name":"metal-16","kerf":"1/8\""}`},
		{SystemSelection{Name: "metal-16", Overrides: json.RawMessage(`{"name":"metal-16"}`)}, `{"name":"metal-16"}`},
	} {
		got, err := json.Marshal(c.s)
		if err != nil || string(got) != c.want {
			t.Errorf("got %s, %v; want %s", got, err, c.want)
		}
		var back SystemSelection
		if err := json.Unmarshal(got, &back); err != nil || back.name() != c.s.name() {
			t.Errorf("%s: got %+v, %v", got, back, err)
		}
	}
}

// metal-16 is vinyl-12 except what it names.
func TestBuiltInSystems(t *testing.T) {
	v, m := BuiltInSystems()[0], BuiltInSystems()[1]
	if v.Name != "vinyl-12" || m.Name != "metal-16" {
		t.Fatalf("got %s and %s", v.Name, m.Name)
	}
	for _, s := range []System{v, m} {
		if err := checkSystem(s); err != nil {
			t.Errorf("%s: %v", s.Name, err)
		}
	}
	if m.PanelCover != 16 || m.PanelGain != 0 || m.PanelRib != 1 || m.PanelAlpha != 1.3e-5 || m.CarrierDepth != 2 || m.Fall != 0.25 {
		t.Errorf("got %+v", m)
	}
	m.Name, m.PanelCover, m.PanelGain, m.PanelRib, m.PanelAlpha, m.CarrierDepth, m.Fall = v.Name, v.PanelCover, v.PanelGain, v.PanelRib, v.PanelAlpha, v.CarrierDepth, v.Fall
	if !reflect.DeepEqual(m, v) {
		t.Error("metal-16 differs from vinyl-12 in more than it names")
	}
	v.PanelStock[0] = 1
	if BuiltInSystems()[1].PanelStock[0] == 1 || BuiltInSystems()[0].PanelStock[0] == 1 {
		t.Error("the profiles share their lists")
	}
}

// FuzzPlan: an error, or a consistent plan that is the same again.
func FuzzPlan(f *testing.F) {
	paths, _ := filepath.Glob("../testdata/calc-cases/*.in.json")
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte(least))
	f.Add([]byte(with(`"holes": [[[60,60],[90,60],[90,80]]], "fall": {"direction": "-x"}, "beams": [{"id":"b","x0":0,"x1":240,"y0":60,"y1":70,"drop":9,"treatment":"stop"}]`)))
	f.Fuzz(func(t *testing.T, data []byte) {
		in, err := Decode(bytes.NewReader(data))
		if err != nil {
			var fault *InputError
			if !errors.As(err, &fault) {
				t.Fatalf("got %v, want an InputError", err)
			}
			return
		}
		if fuzzTooLarge(in) {
			return
		}
		p, err := Compute(in)
		if err != nil {
			return
		}
		consistent(t, in, p)
		var sheet bytes.Buffer
		if err := WriteSheet(&sheet, in, p); err != nil || sheet.Len() == 0 {
			t.Fatalf("no sheet: %v", err)
		}
	})
}

// fuzzTooLarge leaves out what is sound but slow: a thousand feet of panels of a tenth of an inch.
func fuzzTooLarge(in Input) bool {
	sys, err := Resolve(in.System)
	return err != nil || sys.PanelCover < 4 || sys.FurringSpacing < 12 || len(in.Obstructions) > 100 || len(in.Beams) > 6
}

// consistent checks what holds of every plan.
func consistent(t *testing.T, in Input, p Plan) {
	t.Helper()
	data, err := json.Marshal(p)
	if err != nil {
		t.Fatalf("the plan is no JSON: %v", err)
	}
	if bytes.Contains(data, []byte(`"pieces":null`)) || bytes.Contains(data, []byte(`"stock":null`)) || bytes.Contains(data, []byte(`"issues":null`)) {
		t.Fatal("an empty list is null")
	}
	for _, z := range p.Zones {
		if z.Panels.Count == 0 {
			continue
		}
		c := float64(p.System.PanelCover + p.System.PanelGain)
		w := z.X1 - z.X0 - 2*float64(p.System.SideClearance)
		sum := z.Panels.First + float64(z.Panels.Count-2)*c + z.Panels.Last
		if z.Panels.Count == 1 {
			sum = z.Panels.First
		}
		near(t, "panels and gaps add up to the width", sum, w, 1e-5)
		for _, q := range z.Panels.Pieces {
			if !(q.Length > 0 && q.Width > 0) || q.Y1 > z.YLow+1e-5 || q.Y0 < z.YHigh-1e-5 {
				t.Fatalf("panel %+v is outside its zone", q)
			}
		}
		for _, r := range z.Furring {
			if min(r.Left, r.Right) < z.Base-1e-4 {
				t.Fatalf("row %+v is thinner than the base %v", r, z.Base)
			}
		}
		for _, n := range z.Notches {
			if n.Carrier < 1 || n.Carrier > len(z.Carriers) || n.From < 0 || n.To > z.Carriers[n.Carrier-1].Length+1e-5 || n.To < n.From {
				t.Fatalf("notch %+v is off its carrier", n)
			}
		}
	}
	for _, c := range p.Cutting {
		if c.Used > c.Bought+1e-9 || c.Bound > c.Bought+1e-9 {
			t.Fatalf("%s: used %v, bound %v, bought %v", c.Material, c.Used, c.Bound, c.Bought)
		}
	}
}
