package plane

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
)

const fourRefs = `{"id":"R1","px":3090,"py":1768,"x":72,"y":12},{"id":"R2","px":1188,"py":1870,"x":200,"y":12},
 {"id":"R3","px":1069,"py":923,"x":168,"y":120},{"id":"R4","px":2936,"py":799,"x":104,"y":120}`

// TestAnswerRefuses: strict input, and a code and a place in what is said.
func TestAnswerRefuses(t *testing.T) {
	for _, c := range []struct{ document, code, says string }{
		{``, "bad_input", "too early"},
		{`{`, "bad_input", "too early"},
		{`[]`, "bad_input", ""},
		{`null`, "too_few", ""},
		{`{}`, "too_few", "4 reference"},
		{`{"refs":[` + fourRefs + `]} x`, "bad_input", ""},
		{`{"refs":[` + fourRefs + `]} {}`, "bad_input", "after the document"},
		{`{"refs":[` + fourRefs + `],"pinz":[]}`, "bad_input", "pinz"},
		{`{"refs":[` + fourRefs + `],"Pins":[]}`, "bad_input", "Pins"},
		{`{"refs":[` + fourRefs + `],"refs":[]}`, "bad_input", "twice"},
		{`{"refs":[` + fourRefs + `],"pins":[{"id":"P","px":1}]}`, "bad_input", "P: py is missing"},
		{`{"refs":[` + fourRefs + `],"pins":[{"id":"P","px":NaN,"py":1}]}`, "bad_input", "not JSON"},
		{`{"refs":[` + fourRefs + `],"pins":[{"id":"P","px":1e999,"py":1}]}`, "bad_input", "px"},
		{`{"refs":[` + fourRefs + `],"pins":[{"id":"P","px":"1","py":1}]}`, "bad_input", "px"},
		{`{"refs":[` + fourRefs + `],"pins":[{"id":"P","px":1,"py":1,"sigma_px":0}]}`, "bad_input", "P"},
		{`{"refs":[` + fourRefs + `],"pins":[{"id":"P","px":1,"py":1},{"id":"P","px":2,"py":1}]}`, "bad_input", "two pins"},
		{`{"refs":[` + fourRefs + `],"options":{"model":"X"}}`, "bad_input", "X"},
		{`{"refs":[` + fourRefs + `],"options":{"model":"HDK"},"image":{"w":4000,"h":3000}}`, "bad_input", "focal"},
		{`{"refs":[` + fourRefs + `],"image":{"w":4000}}`, "bad_input", "image.h"},
		{`{"refs":[` + fourRefs + `],"image":{"w":4000,"h":3000,"f35":0}}`, "bad_input", "f35"},
		{`{"refs":[` + fourRefs + `],"options":{"sigma_z":-1}}`, "bad_input", "uneven"},
		{`{"refs":[` + fourRefs + `],"options":{"sigma_f":0}}`, "bad_input", "sigma_f"},
		{`{"refs":[` + fourRefs + `],"options":{"mirror":true,"handedness":"same"}}`, "bad_input", "contradict"},
		{`{"refs":[` + fourRefs + `],"options":{"length_in":32}}`, "bad_input", "length_in"},
		{`{"refs":[` + fourRefs + `],"points":[]}`, "bad_input", "photos"},
		{`{"refs":[` + fourRefs + `],"distances":[["P","Q"]]}`, "bad_input", "P"},
		{`{"refs":[` + fourRefs + `,{"id":"R1","px":1,"py":2,"x":3,"y":4}]}`, "bad_input", "two references"},
		{`{"refs":[` + strings.Replace(fourRefs, `"x":200,`, ``, 1) + `]}`, "bad_input", "R2: x is missing"},
		{`{"photos":[],"refs":[]}`, "bad_input", "refs"},
		{`{"photos":[]}`, "bad_input", "photos"},
		{`{"photos":[{"obs":[{"px":1,"py":2}]}]}`, "bad_input", "id"},
		{strings.Repeat(`[`, 100), "bad_input", "nested"},
	} {
		answer, err := Answer([]byte(c.document))
		if answer != nil || string(codeOf(err)) != c.code || !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%.80s: got %v, want %s and %q in one line", c.document, err, c.code, c.says)
		}
	}
}

func answered(t *testing.T, document string) map[string]any {
	t.Helper()
	data, err := Answer([]byte(document))
	if err != nil {
		t.Fatal(err)
	}
	return decoded(t, data).(map[string]any)
}

// TestAnswerDefaults: what is left out has the usual value, so that v1 without its sigmas, ids and model gives the same positions.
func TestAnswerDefaults(t *testing.T) {
	pins := `"pins":[{"px":1973,"py":1382},{"id":"late","px":2000,"py":2960}]`
	got := answered(t, `{"refs":[`+fourRefs+`],`+pins+`}`)
	pin := got["pins"].([]any)[0].(map[string]any)
	if pin["id"] != "P1" || got["model"] != "H" {
		t.Errorf("id %v, model %v", pin["id"], got["model"])
	}
	near(t, "x", pin["x"].(float64), 140.24544698, 1e-8)
	near(t, "var x", pin["cov"].([]any)[0].([]any)[0].(float64), 0.0850819379, 1e-9)
	if late := got["pins"].([]any)[1].(map[string]any); late["error"] != "horizon" || len(late) != 2 {
		t.Errorf("beyond the horizon: %v", late)
	}
	if got := codes(got); len(got) != 2 || got[0] != "no_check" || got[1] != "horizon" {
		t.Errorf("warnings %v", got)
	}
	sized := answered(t, `{"refs":[`+fourRefs+`],"image":{"w":4000,"h":3000}}`)
	if sized["model"] != "HD" || sized["focal"] == nil || sized["pose"] != nil || len(sized["pins"].([]any)) != 0 {
		t.Errorf("with a size: model %v, focal %v, pose %v", sized["model"], sized["focal"], sized["pose"])
	}
	full := answered(t, `{"refs":[`+fourRefs+`],"image":{"w":4000,"h":3000,"f35":26},"options":{"sigma_z":0.125}}`)
	if full["model"] != "HDK" || full["pose"] == nil || full["lambda"] == nil {
		t.Errorf("with a focal length: model %v, pose %v", full["model"], full["pose"])
	}
}

// TestAnswerExtras: distances, things that hang, and a known length alone.
func TestAnswerExtras(t *testing.T) {
	v3, err := os.ReadFile(vectors + "v3.json")
	if err != nil {
		t.Fatal(err)
	}
	document := strings.Replace(string(v3), `"options"`, `"distances": [["P1", "P2"]], "options"`, 1)
	document = strings.Replace(document, `"px": 1953.0,`, `"px": 1953.0, "drop_in": 9.25, "sigma_drop_in": 0.25,`, 1)
	got := answered(t, document)
	d := got["distances"].([]any)[0].(map[string]any)
	near(t, "distance", d["in"].(float64), math.Hypot(255.71987856-224.35520010, 95.78682297-29.53833721), 1e-6)
	if s := d["sigma_in"].(float64); s <= 0 || s > math.Sqrt(0.1237+0.6602) {
		t.Errorf("sigma of the distance %v", s)
	}
	pin := got["pins"].([]any)[1].(map[string]any)
	near(t, "apparent x", pin["apparent"].([]any)[0].(float64), 224.35520010, 1e-6)
	near(t, "x", pin["x"].(float64), 224.35520010+(249.53413695-224.35520010)*9.25/59.92167687, 1e-6)

	length := `{"refs":[{"px":1000,"py":1000},{"px":1100,"py":1000}],"options":{"length_in":10},"pins":[{"id":"A","px":1000,"py":1000},{"id":"B","px":1000,"py":1300}],"distances":[["A","B"]]}`
	got = answered(t, length)
	if got["mode"] != "distance" || got["pins"] != nil || got["label"] != "scale guess" {
		t.Errorf("%v", got)
	}
	near(t, "distance", got["distances"].([]any)[0].(map[string]any)["in"].(float64), 30, 1e-9)
	if _, err := Answer([]byte(strings.Replace(length, `"px":1100`, `"x":3,"px":1100`, 1))); codeOf(err) != CodeBadInput {
		t.Errorf("a place and a length: %v", err)
	}
}

// TestAnswerBundle: ties are read, a misspelled one is refused.
func TestAnswerBundle(t *testing.T) {
	v8, err := os.ReadFile(vectors + "v8.json")
	if err != nil {
		t.Fatal(err)
	}
	free := answered(t, string(v8))
	tied := answered(t, strings.TrimSuffix(strings.TrimSpace(string(v8)), "}")+`,"same_x":[{"a":"T1","b":"T2"}],"dist":[{"a":"Q","b":"T3","in":112}],"same_y":[]}`)
	if free["dof"].(float64)+2 != tied["dof"].(float64) {
		t.Errorf("%v and %v degrees of freedom", free["dof"], tied["dof"])
	}
	for _, bad := range []string{`"same_x":[{"a":"T1","b":"T1"}]`, `"same_x":[{"a":"T1","b":"T2","in":3}]`, `"dist":[{"a":"T1","b":"T2"}]`, `"same_y":[{"a":"T1","b":"nobody"}]`} {
		if _, err := Answer([]byte(strings.TrimSuffix(strings.TrimSpace(string(v8)), "}") + `,` + bad + `}`)); codeOf(err) != CodeBadInput {
			t.Errorf("%s: %v, want bad_input", bad, err)
		}
	}
}

// FuzzAnswer: any bytes give an error of the package or a document of finite numbers in which every position has a covariance that is one.
func FuzzAnswer(f *testing.F) {
	for _, name := range []string{"v1", "v2", "v3", "v3bad", "v4", "v8"} {
		data, err := os.ReadFile(vectors + name + ".json")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte(`{"refs":[` + fourRefs + `],"pins":[{"px":1,"py":2,"drop_in":9}],"image":{"w":4000,"h":3000,"f35":26},"options":{"sigma_z":0.1}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 8192 {
			return
		}
		answer, err := Answer(data)
		if err != nil {
			if codeOf(err) == "" || answer != nil {
				t.Fatalf("%v with %d bytes", err, len(answer))
			}
			return
		}
		again, err := Answer(data)
		if err != nil || !bytes.Equal(answer, again) {
			t.Fatalf("a second answer differs: %v", err)
		}
		var got struct {
			Pins, Points []struct {
				X, Y *float64
				Cov  *[2][2]*float64
			}
			Omega *float64
		}
		if err := json.Unmarshal(answer, &got); err != nil {
			t.Fatal(err)
		}
		for _, p := range append(got.Pins, got.Points...) {
			if p.X == nil {
				continue
			}
			c := p.Cov
			if p.Y == nil || c == nil || c[0][0] == nil || c[1][1] == nil || c[0][1] == nil {
				t.Fatalf("a position without a covariance in %s", answer)
			}
			if *c[0][0] < 0 || *c[1][1] < 0 || *c[0][1]**c[0][1] > *c[0][0]**c[1][1]*(1+1e-6)+1e-300 {
				t.Fatalf("no covariance: %v %v %v", *c[0][0], *c[0][1], *c[1][1])
			}
		}
	})
}
