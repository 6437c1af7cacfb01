package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"undercroft/survey/report/draw"
	"undercroft/templates"
)

// sheetsDir is where the tests write what they drew, for looking: go test ./survey/report -run Sheets -sheets DIR
var sheetsDir = flag.String("sheets", "", "write the drawings of the tests into this folder")

// pageSet is the templates that pages are made with, parsed once for all drawings of the tests.
var pageSet = sync.OnceValues(templates.Load)

// svgOf paints a drawing with the template that every page and file paints it with.
func svgOf(t *testing.T, d *draw.Drawing) string {
	t.Helper()
	set, err := pageSet()
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := set.Template("sheets").ExecuteTemplate(&out, "drawn", drawn(d)); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// keepDrawing writes a drawing for looking when a folder was asked for, at its true size and in the print's font.
func keepDrawing(t *testing.T, name string, d *draw.Drawing) {
	t.Helper()
	if *sheetsDir == "" {
		return
	}
	alone := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="%.2fpt" height="%.2fpt" font-family="'DejaVu Sans Condensed',sans-serif"`, d.View.W(), d.View.H())
	svg := strings.Replace(svgOf(t, d), "<svg", alone, 1)
	if err := os.WriteFile(filepath.Join(*sheetsDir, name+".svg"), []byte(svg), 0o644); err != nil {
		t.Fatal(err)
	}
}

// element is one element of an SVG with its attributes and the text in it.
type element struct {
	name  string
	attrs map[string]string
	text  string
}

// elements reads an SVG as XML, strictly.
func elements(t *testing.T, svg string) []element {
	t.Helper()
	var list []element
	dec := xml.NewDecoder(strings.NewReader(svg))
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return list
		}
		if err != nil {
			t.Fatal(err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			e := element{name: tok.Name.Local, attrs: map[string]string{}}
			for _, a := range tok.Attr {
				e.attrs[a.Name.Local] = a.Value
			}
			list = append(list, e)
		case xml.CharData:
			if len(list) > 0 {
				list[len(list)-1].text += string(tok)
			}
		}
	}
}

// TestSVG: what a page shows of a drawing is well-formed XML, says what it shows, and styles by presentation attributes and classes alone.
func TestSVG(t *testing.T) {
	d := &draw.Drawing{Title: "A <plan> & \"more\"", Desc: "What it shows", View: draw.Box{X1: 200, Y1: 100}}
	d.Rect(draw.Box{X0: 10, Y0: 10, X1: 100, Y1: 50}, draw.Style{Pen: draw.Medium, Fill: draw.Pale, Dash: []float64{3, 2}})
	d.Circle(draw.Point{X: 50, Y: 50}, 9, draw.Style{Pen: draw.Thin, Ink: draw.Water})
	d.Text(draw.Text{At: draw.Point{X: 20, Y: 30}, S: "R1  1/2″ <&>", Size: 7.5, Bold: true, Anchor: draw.Middle, Up: true, Ink: draw.Alert})
	list := elements(t, svgOf(t, d))
	var order []string
	byName := map[string]element{}
	for _, e := range list {
		order, byName[e.name] = append(order, e.name), e
		for name := range e.attrs {
			if name == "style" || strings.HasPrefix(name, "on") {
				t.Errorf("%s has the attribute %s", e.name, name)
			}
		}
	}
	if got, want := strings.Join(order, " "), "svg title desc path circle text"; got != want {
		t.Fatalf("the SVG is made of %s, want %s", got, want)
	}
	if title, text := byName["title"].text, byName["text"].text; title != d.Title || text != "R1  1/2″ <&>" {
		t.Errorf("texts came out as %q and %q", title, text)
	}
	for _, c := range []struct{ element, attr, want string }{
		{"svg", "role", "img"}, {"svg", "viewBox", "0 0 200 100"}, {"svg", "space", "preserve"}, {"svg", "aria-label", d.Title},
		{"path", "d", "M10 10L100 10L100 50L10 50Z"}, {"path", "fill", "#dddddd"}, {"path", "stroke", "#000000"}, {"path", "stroke-width", "0.8"}, {"path", "stroke-dasharray", "3 2"},
		{"circle", "r", "9"}, {"circle", "stroke", "#1c5d99"}, {"circle", "fill", "none"},
		{"text", "font-size", "7.5"}, {"text", "font-weight", "bold"}, {"text", "text-anchor", "middle"}, {"text", "transform", "rotate(-90 20 30)"}, {"text", "fill", "#b3261e"},
		{"text", "lengthAdjust", "spacingAndGlyphs"}, {"text", "textLength", points(draw.Measure("R1  1/2″ <&>", 7.5, true))},
	} {
		if got := byName[c.element].attrs[c.attr]; got != c.want {
			t.Errorf("%s %s=%q, want %q", c.element, c.attr, got, c.want)
		}
	}
}

// TestPoints: to the hundredth, without trailing zeros or a negative zero.
func TestPoints(t *testing.T) {
	for v, want := range map[float64]string{0: "0", -0.001: "0", 1.5: "1.5", 100: "100", -2.255: "-2.25", 510.004: "510"} {
		if got := points(v); got != want {
			t.Errorf("points(%v) = %q, want %q", v, got, want)
		}
	}
}
