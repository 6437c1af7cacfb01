package web

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"undercroft/calc/length"
	"undercroft/survey"
)

// photographedDemo is the demo with its fourth photo, the header and its hangers, as it is, with its own pins; all other pins lie on one plain
// picture. The camera of the rendered photo is known exactly.
func (w *site) photographedDemo() (header, other survey.Photo) {
	w.t.Helper()
	var demo struct {
		Facts map[string]string
		Pins  []struct {
			Photo  int
			Kind   survey.PinKind
			X, Y   float64
			X2, Y2 *float64
			Values map[string]string
		}
	}
	data, err := os.ReadFile("../../cmd/undercroft/demo/survey.json")
	if err != nil {
		w.t.Fatal(err)
	}
	if err := json.Unmarshal(data, &demo); err != nil {
		w.t.Fatal(err)
	}
	picture, err := os.ReadFile("../../cmd/undercroft/demo/photos/04-header-hangers.jpg")
	if err != nil {
		w.t.Fatal(err)
	}
	v := w.survey("Larkmoor house")
	id := survey.NewID()
	w.put("/api/surveys/"+string(v.ID)+"/photos/"+id, bytes.NewReader(picture)).wants(http.StatusCreated)
	header, _ = w.record(v.ID).Photo(survey.PhotoID(id))
	other = w.photo(v.ID)
	for _, p := range demo.Pins {
		on := other.ID
		if p.Photo == 4 {
			on = header.ID
		}
		if p.Photo != 4 && p.Kind == survey.PinReference {
			continue // of other cameras
		}
		w.pin(survey.Pin{Survey: v.ID, Photo: on, Kind: p.Kind, X: p.X, Y: p.Y, X2: p.X2, Y2: p.Y2, Values: p.Values})
	}
	w.facts(v.ID, demo.Facts)
	return header, other
}

// change changes a pin's values as another person would.
func (w *site) change(in survey.SurveyID, number int, values map[string]string) survey.Pin {
	w.t.Helper()
	for _, p := range w.record(in).Pins {
		if p.Number != number {
			continue
		}
		for key, text := range values {
			if p.Values[key] = text; text == "" {
				delete(p.Values, key)
			}
		}
		saved, err := w.store.PutPin(context.Background(), p)
		if err != nil {
			w.t.Fatal(err)
		}
		return saved
	}
	w.t.Fatalf("there is no pin %d", number)
	return survey.Pin{}
}

// numbered finds the first pin of a kind on a photo.
func (w *site) numbered(photo survey.Photo, kind survey.PinKind) survey.Pin {
	w.t.Helper()
	for _, p := range w.record(photo.Survey).PinsOn(photo.ID) {
		if p.Kind == kind {
			return p
		}
	}
	w.t.Fatalf("there is no %s", kind)
	return survey.Pin{}
}

func percentOf(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSuffix(text, "%"), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The demo's fourth photo is rendered by a camera that is known exactly. Its plane must put the hangers along the ledger, at the places of the
// picture where that camera sees them, on the plan where they were made: at the joists' centers, 2 1/2" out. And the rows at 4' and 8' and the
// high edge along the ledger must be drawn where the camera sees those lines. All figures were projected with the camera's own matrix by the
// program that rendered the picture, and typed in here.
func TestCeilingLiesOnTheRenderedPhoto(t *testing.T) {
	w := newSite(t)
	header, other := w.photographedDemo()
	geometry := survey.Compute(w.record(header.Survey)).Geometry
	for x, at := range map[float64][2]float64{68: {0.1360, 0.7632}, 84: {0.2745, 0.7641}, 132: {0.6866, 0.7667}, 148: {0.8228, 0.7676}, 164: {0.9585, 0.7685}} {
		located, problem := geometry.Locate(header, survey.Pin{Number: 1, X: at[0], Y: at[1]}, 0.06)
		if problem != "" || math.Hypot(located.X-x, located.Y-2.5) > 0.1 {
			t.Errorf("the hanger at %v in is located at %.2f, %.2f ± %.2f %s", x, located.X, located.Y, located.PM(), problem)
		}
	}

	page := w.get(photoPath(header)).wants(http.StatusOK).page()
	numbers := page.Find("text.seamt")
	if numbers.Length() < 9 {
		t.Errorf("%d carriers have their number", numbers.Length())
	}
	numbers.Each(func(_ int, label *goquery.Selection) { // the high edge runs from -818, 3093 to 3528, 3129 of 3024 by 4032 pixels
		x, y := percentOf(t, label.Parent().AttrOr("x", "-1")), percentOf(t, label.Parent().AttrOr("y", "-1"))
		if edge := (3093 + (x*30.24+818)*36/4346) / 40.32; math.Abs(y-edge) > 0.3 {
			t.Errorf("carrier %s begins %.2f %% of the picture off the high edge", label.Text(), y-edge)
		}
	})
	page.Find("text.rowt").Each(func(i int, label *goquery.Selection) { // their lower edges leave the picture at 59.68 and 14.10 %
		if y, want := percentOf(t, label.Parent().AttrOr("y", "-1")), []float64{59.68, 14.10}[i]; math.Abs(y-want) > 0.3 {
			t.Errorf("row %d leaves the picture at %.2f %%, want %.2f", i+1, y, want)
		}
	})
	if got := page.Find("text.rowt").Map(func(_ int, s *goquery.Selection) string { return s.Text() }); len(got) != 2 || !strings.HasPrefix(got[0], "row 1 · ") {
		t.Errorf("rows: %q", got)
	}
	for _, shape := range []string{".o-row", ".o-carrier", ".o-seam", ".o-edge", ".o-notch", ".o-grid"} {
		if page.Find("svg.ceil "+shape).Length() == 0 {
			t.Errorf("%s is missing", shape)
		}
	}
	if page.Find("#nodraw[hidden]").Length() != 1 || page.Find(".legend .key-seam").Length() != 1 {
		t.Error("a photo with its ceiling says why there is none, or lacks the key")
	}

	page = w.get(photoPath(other)).wants(http.StatusOK).page()
	if page.Find(".ceil polyline, .ceil polygon, .ceil text").Length() != 0 {
		t.Error("a photo without references has a ceiling")
	}
	if why := page.Find("#nodraw:not([hidden])").Text(); !strings.Contains(why, "0 of the 4 references") {
		t.Errorf("it says %q", why)
	}
}

// A pin without a typed place has the photo's, with its ± and source, in form and list.
func TestLocatedPinInWords(t *testing.T) {
	w := newSite(t)
	header, _ := w.photographedDemo()
	hanger := w.numbered(header, survey.PinHanger)
	w.change(header.Survey, hanger.Number, map[string]string{"x": "", "y": ""})
	page := w.get(photoPath(header) + "?pin=" + string(hanger.ID)).wants(http.StatusOK).page()
	at := flat(page.Find(`[data-part="form"] dl.place`).Text())
	// It hangs at 116, 64 3/4 in: 9' 8" along, 5' 4 3/4" out (the demo's own truth).
	if !strings.Contains(at, "9′ 8″ ± ") || !strings.Contains(at, "5′ 4 3/4″ ± ") || strings.Count(at, "located · photo 1") != 2 {
		t.Errorf("the form says %q", at)
	}
	if row := flat(page.Find("#p" + strconv.Itoa(hanger.Number)).Text()); !strings.Contains(row, "9′ 8″, 5′ 4 3/4″") || !strings.Contains(row, "located ± ") {
		t.Errorf("the list says %q", row)
	}
	if page.Find("[data-ellipse]").Length() != 0 {
		t.Error("a pin known to 9/16 in has an ellipse")
	}
	ledger := w.pin(survey.Pin{Survey: header.Survey, Photo: header.ID, Kind: survey.PinHanger, X: 0.9585, Y: 0.7685, Values: map[string]string{"drop": "1/16", "wx": "1 5/8", "wy": "2"}})
	wide := w.get(photoPath(header)).page().Find(`.ells [data-ellipse="` + string(ledger.ID) + `"] polygon.ell`)
	if wide.Length() != 1 || len(strings.Fields(wide.AttrOr("points", ""))) < 24 {
		t.Error("a pin far from the references, known to worse than 2 in, has no ellipse")
	}
	if page.Find(`[data-part="form"] [data-seldom="typed_stands"][hidden]`).Length() != 1 {
		t.Error("the form asks whether the typed place stands, though there is none")
	}
}

// Two places of one pin are shown side by side, and either button settles it, by form alone.
func TestDisputeByForm(t *testing.T) {
	for choice, want := range map[string]map[string]string{settleTyped: {"x": "128", "typed_stands": "yes"}, settleLocated: {"x": "", "y": "", "typed_stands": ""}} {
		t.Run(choice, func(t *testing.T) {
			w := newSite(t)
			header, _ := w.photographedDemo()
			hanger := w.numbered(header, survey.PinHanger)
			w.change(header.Survey, hanger.Number, map[string]string{"x": "128"})
			page := w.get(photoPath(header) + "?pin=" + string(hanger.ID)).wants(http.StatusOK).page()
			if got := flat(page.Find(".dispute").Text()); !strings.Contains(got, "1′ 0″ apart") || !strings.Contains(got, "10′ 8″, 5′ 4 3/4″ ± 13/16″") || !strings.Contains(got, "9′ 8″, 5′ 4 3/4″ ± ") {
				t.Errorf("the form says %q", got)
			}
			if page.Find(`[data-part="form"] [data-seldom="typed_stands"]:not([hidden])`).Length() != 1 {
				t.Error("the form does not ask whether the typed place stands")
			}
			if row := page.Find("#p" + strconv.Itoa(hanger.Number) + " [data-state]").Text(); row != "two places: choose" {
				t.Errorf("the list says %q", row)
			}
			if why := page.Find("#nodraw").Text(); !strings.Contains(why, "Hanger "+strconv.Itoa(hanger.Number)) {
				t.Errorf("the ceiling's reason does not name the pin: %q", why)
			}
			form := formOf(page.Find(`[data-part="form"] form`))
			form.Set("settle", page.Find(`.dispute button[value="`+choice+`"]`).AttrOr("value", ""))
			w.post(pinPath(hanger), form).wants(http.StatusSeeOther)
			saved, _ := w.record(header.Survey).Pin(hanger.ID)
			for key, text := range want {
				if saved.Values[key] != text {
					t.Errorf("%s is saved as %q, want %q", key, saved.Values[key], text)
				}
			}
			page = w.get(photoPath(header) + "?pin=" + string(hanger.ID)).wants(http.StatusOK).page()
			if page.Find(".dispute").Length() != 0 || page.Find("svg.ceil .o-seam").Length() == 0 {
				t.Error("it is not settled")
			}
			if choice == settleTyped && !strings.Contains(flat(page.Find("#p"+strconv.Itoa(hanger.Number)).Text()), "typed · photo: 9′ 8″, 5′ 4 3/4″ ±") {
				t.Error("the list hides that the photo says otherwise")
			}
		})
	}
}

// A button's choice that is none, or of a kind of pin without a place, changes nothing.
func TestSettleRefusesNonsense(t *testing.T) {
	p := survey.Pin{Kind: survey.PinHanger, Values: map[string]string{"x": "1", "y": "2"}}
	settle(&p, "everything")
	settle(&p, "")
	wall := survey.Pin{Kind: survey.PinWall, Values: map[string]string{"edge": "0"}}
	settle(&wall, settleTyped)
	if len(p.Values) != 2 || len(wall.Values) != 1 {
		t.Errorf("got %v and %v", p.Values, wall.Values)
	}
}

// References say how they fit; one that contradicts the others is named, nothing is drawn, and the page says what to do.
func TestReferencesInWords(t *testing.T) {
	w := newSite(t)
	header, _ := w.photographedDemo()
	ref := w.numbered(header, survey.PinReference)
	row := "#p" + strconv.Itoa(ref.Number)
	if got := flat(w.get(photoPath(header)).page().Find(row).Text()); !strings.Contains(got, "fits within 1/16″") && !strings.Contains(got, "off by ") {
		t.Errorf("the list says %q", got)
	}
	w.change(header.Survey, ref.Number, map[string]string{"y": ""})
	page := w.get(photoPath(header)).page()
	if got := page.Find(row + " [data-state]").Text(); got != "no place yet: not used" {
		t.Errorf("a reference without a place: %q", got)
	}
	if got := flat(page.Find(`[data-part="cautions"]`).Text()); !strings.Contains(got, "3 of 4 references.") || !strings.Contains(got, "1 reference on this photo lacks its place") {
		t.Errorf("the cautions say %q", got)
	}
	if got := page.Find(`[data-part="geometry"]`).AttrOr("data-references", ""); got != "3" {
		t.Errorf("the script is told of %s references", got)
	}

	w.change(header.Survey, ref.Number, map[string]string{"x": "84", "y": "24"}) // two references swapped
	w.change(header.Survey, ref.Number+2, map[string]string{"x": "132"})
	page = w.get(photoPath(header)).page()
	if page.Find("svg.ceil .o-seam").Length() != 0 || page.Find("#nodraw:not([hidden])").Length() != 1 {
		t.Error("a ceiling is drawn through references that contradict each other")
	}
	if got := flat(page.Find(`[data-part="cautions"]`).Text()); !strings.Contains(got, "Two references seem swapped") || !strings.Contains(got, "Nothing on this photo gets its place from it") {
		t.Errorf("the cautions say %q", got)
	}
	if page.Find(`[data-part="geometry"]`).AttrOr("data-aim", "x") != "" {
		t.Error("the magnifier is told a geometry that is not trusted")
	}
}

// What makes one look at a photo again stands in words in the grid and on the photo.
func TestPhotoDoubtsInWords(t *testing.T) {
	w := newSite(t)
	v := w.survey("Twice")
	w.photo(v.ID)
	second := w.photo(v.ID)
	const want = "shows the same view as photo 1"
	if got := w.get(surveyPath(v.ID) + "/photos").page().Find(".shots li").Eq(1).Find(".state").Text(); !strings.Contains(got, want) {
		t.Errorf("the grid says %q", got)
	}
	if got := w.get(photoPath(second)).page().Find("#about .caut").Text(); !strings.Contains(got, want) {
		t.Errorf("the photo says %q", got)
	}
}

// The magnifier's geometry gives the plan positions that the server does, in the same words, and a ± near the server's.
func TestScriptPointsAsTheServerDoes(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("no Node.js here; the browser test points through the same module")
	}
	w := newSite(t)
	header, _ := w.photographedDemo()
	ceiling := survey.Compute(w.record(header.Survey))
	aim, ok := ceiling.Geometry.Aim(header)
	if !ok {
		t.Fatal("the photo has no geometry")
	}
	type vector struct {
		X, Y, Drop float64
		At         []any // x, y in inches, their words, ±; none for no position
	}
	var vectors []vector
	for i := range 20 {
		for j := range 15 {
			for _, drop := range []float64{0, 4.5} {
				v := vector{X: float64(j) / 14, Y: float64(i) / 19, Drop: drop}
				if at, problem := ceiling.Geometry.Locate(header, survey.Pin{Number: 1, X: v.X, Y: v.Y}, drop); problem == "" {
					v.At = []any{at.X, at.Y, length.Inches(at.X).Typeset(), length.Inches(at.Y).Typeset(), at.PM(), length.Inches(at.PM()).Up16().Typeset()}
				}
				vectors = append(vectors, v)
			}
		}
	}
	body, err := json.Marshal(map[string]any{"aim": aim, "vectors": vectors})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	module := func(name string) []byte {
		text, err := os.ReadFile("../../templates/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	for name, text := range map[string][]byte{"vectors.json": body, "aim.mjs": module("photo/aim.js"), "typeset.mjs": module("part/typeset.js"), "run.mjs": []byte(aimChecks)} {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command(node, "run.mjs")
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil || string(out) != "compared\n" {
		t.Errorf("%v\n%s", err, out)
	}
}

const aimChecks = `import { readFileSync } from 'node:fs';
import { planPlace } from './aim.mjs';
import { typeset } from './typeset.mjs';
const { aim, vectors } = JSON.parse(readFileSync('vectors.json', 'utf8'));
let compared = 0;
for (const { X, Y, Drop, At } of vectors) {
  const got = planPlace(aim, { x: X, y: Y }, Drop);
  if (!At && got) console.log('a position beyond the horizon at ' + X + ', ' + Y);
  if (!At || !got) continue;
  const [x, y, xWords, yWords, pm, pmWords] = At;
  if (Math.hypot(got.x - x, got.y - y) > 1e-6) console.log('got ' + JSON.stringify(got) + ' want ' + JSON.stringify(At));
  if (typeset(x) !== xWords || typeset(y) !== yWords || typeset(pm, true) !== pmWords) console.log(typeset(x) + ' is not ' + xWords + ', or ' + typeset(pm, true) + ' not ' + pmWords);
  const inner = X > 0.1 && X < 0.9 && Y > 0.1 && Y < 0.9;
  if (Drop === 0 && inner && Math.abs(got.pm - pm) > 0.15 * pm) console.log('± ' + got.pm + ' for ' + pm + ' at ' + X + ', ' + Y);
  compared++;
}
console.log(compared > 200 ? 'compared' : 'only ' + compared);
for (const [inches, want] of [[0, '0″'], [12, '1′\u00a00″'], [0.75, '3/4″'], [60.75, '5′\u00a00\u00a03/4″'], [-2.5, '-2\u00a01/2″'], [11.99, '1′\u00a00″']]) if (typeset(inches) !== want) console.log(inches + ' printed ' + typeset(inches));
`
