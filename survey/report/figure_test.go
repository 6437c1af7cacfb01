package report

import (
	"testing"

	"undercroft/survey/report/draw"
)

// TestDrawnKeepsEveryShape: a path, a circle and a text come out with their numbers, colours and tones.
func TestDrawnKeepsEveryShape(t *testing.T) {
	d := &draw.Drawing{Title: "T", Desc: "D", View: draw.Box{X0: 0, Y0: 0, X1: 100, Y1: 50}}
	d.Polygon([]draw.Point{{X: 1, Y: 2}, {X: 3.125, Y: 4}, {X: -0.001, Y: 6}}, draw.Style{Pen: draw.Thin, Fill: draw.WaterPale, Dash: []float64{3, 2}})
	d.Circle(draw.Point{X: 5, Y: 6}, 7, draw.Style{Pen: draw.Medium, Ink: draw.Alert})
	d.Text(draw.Text{At: draw.Point{X: 8, Y: 9}, S: "12′", Bold: true, Anchor: draw.Middle, Up: true})
	got := drawn(d)
	if got.Box != "0 0 100 50" || got.Title != "T" || got.Desc != "D" || len(got.Shapes) != 3 {
		t.Fatalf("got %+v", got)
	}
	path, circle, text := got.Shapes[0], got.Shapes[1], got.Shapes[2]
	if path.D != "M1 2L3.13 4L0 6Z" && path.D != "M1 2L3.12 4L0 6Z" {
		t.Errorf("path: %q", path.D)
	}
	if path.Fill != "#dbe7f1" || path.Ink != "#000000" || path.Dash != "3 2" || path.Class != "f-waterpale s-black" {
		t.Errorf("path: %+v", path)
	}
	if circle.X != "5" || circle.R != "7" || circle.Fill != "none" || circle.Ink != "#b3261e" || circle.Class != "f-none s-alert" {
		t.Errorf("circle: %+v", circle)
	}
	if text.S != "12′" || text.Transform != "rotate(-90 8 9)" || text.Anchor != "middle" || !text.Bold || text.Width == "0" || text.Class != "t-black" {
		t.Errorf("text: %+v", text)
	}
	if drawn(nil) != nil {
		t.Error("no drawing became one")
	}
}

// TestDrawingsOfTheDemo: plan and section in both widths, each with a title for those who cannot see it.
func TestDrawingsOfTheDemo(t *testing.T) {
	d := demoModel(t).Drawings
	for name, figure := range map[string]*Drawn{"plan": d.Plan, "plan on a phone": d.PlanPhone, "section": d.Section, "section on a phone": d.SectionPhone} {
		if figure == nil || figure.Title == "" || len(figure.Shapes) < 20 {
			t.Errorf("%s: %v", name, figure)
			continue
		}
		for _, s := range figure.Shapes {
			if s.Tag == "text" && (s.S == "" || s.Width == "") {
				t.Errorf("%s: an empty text %+v", name, s)
			}
			if s.Class == "f-other" || s.Class == "t-other" {
				t.Errorf("%s: a colour that no style knows: %+v", name, s)
			}
		}
	}
}
