package draw

import (
	"bytes"
	"encoding/json"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// TestJSONRoundTrip: any drawing is read back as it was, and written again it is the same text.
func TestJSONRoundTrip(t *testing.T) {
	number := rapid.Float64Range(-1e4, 1e4)
	point := rapid.Custom(func(t *rapid.T) Point { return Point{number.Draw(t, "x"), number.Draw(t, "y")} })
	style := rapid.Custom(func(t *rapid.T) Style {
		return Style{Pen: rapid.SampledFrom([]Pen{0, Hair, Cut}).Draw(t, "pen"), Ink: rapid.SampledFrom([]Color{None, Black, Alert}).Draw(t, "ink"),
			Fill: rapid.SampledFrom([]Color{None, Pale}).Draw(t, "fill"), Dash: rapid.SampledFrom([][]float64{nil, {3, 2}}).Draw(t, "dash")}
	})
	rapid.Check(t, func(t *rapid.T) {
		d := &Drawing{Title: rapid.String().Draw(t, "title"), View: Box{0, 0, number.Draw(t, "w"), number.Draw(t, "h")}}
		for range rapid.IntRange(0, 8).Draw(t, "parts") {
			switch rapid.IntRange(0, 3).Draw(t, "part") {
			case 0:
				d.Polyline(rapid.SliceOfN(point, 2, 5).Draw(t, "line"), style.Draw(t, "style"))
			case 1:
				d.Segments(rapid.SliceOfN(rapid.SliceOfN(point, 2, 3), 1, 3).Draw(t, "segments"), style.Draw(t, "style"))
			case 2:
				d.Circle(point.Draw(t, "center"), 3, style.Draw(t, "style"))
			default:
				d.Text(Text{At: point.Draw(t, "at"), S: rapid.String().Draw(t, "text"), Size: 9, Bold: rapid.Bool().Draw(t, "bold"), Anchor: Anchor(rapid.IntRange(0, 2).Draw(t, "anchor")),
					Up: rapid.Bool().Draw(t, "up"), Halo: rapid.Bool().Draw(t, "halo")})
			}
		}
		first, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		var back Drawing
		if err := json.Unmarshal(first, &back); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(&back, d) {
			t.Fatalf("got %+v, want %+v", back, *d)
		}
		if second, err := json.Marshal(&back); err != nil || !bytes.Equal(first, second) {
			t.Fatalf("%v: written again it is another text", err)
		}
	})
}

func TestJSONThatIsNoDrawing(t *testing.T) {
	for _, text := range []string{`[]`, `{"ops":[{}]}`, `{"ops":[{"circle":[1,2]}]}`, `{"ops":[{"path":[[1,2,3]]}]}`, `{"ops":[{"path":[],"circle":[1,2,3]}]}`, `{"view":[1,"x"]}`} {
		var d Drawing
		if err := json.Unmarshal([]byte(text), &d); err == nil {
			t.Errorf("%s was read as a drawing", text)
		}
	}
}
