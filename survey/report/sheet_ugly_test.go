package report

import (
	"fmt"
	"strconv"
	"strings"
	"testing"
)

// box4 is an outline of w by h inches with a wood wall at the house, joists out from it.
func box4(w, h float64, more string) string {
	return fmt.Sprintf(`{"outline": [[0,0],[%g,0],[%g,%g],[0,%g]], "edges": [{"kind":"wall","surface":"wood"},{"kind":"open"},{"kind":"open"},{"kind":"open"}],
		"joists": {"direction":"y","spacing":16,"depth":9.25}%s}`, w, w, h, h, more)
}

const manyThings = 30

const levelHeights = `, "heights": [{"x":0,"y":0,"height":106}]`

// row4 is a list of n like obstructions, step inches apart along x.
func row4(kind string, n int, x, step, y, drop float64) string {
	parts, wide := make([]string, 0, n), 1.9
	if n == manyThings {
		wide = 10 // no layout of the seams avoids them
	}
	for i := range n {
		parts = append(parts, fmt.Sprintf(`{"id":"%s-%d","kind":"%s","x":%g,"y":%g,"wx":%g,"wy":2.5,"drop":%g,"sx":0.5,"sy":0.5}`, kind, i+1, kind, x+step*float64(i), y, wide, drop))
	}
	return strings.Join(parts, ",")
}

// beamsAt are beams across the whole deck.
func beamsAt(w float64, ys ...float64) string {
	parts := make([]string, 0, len(ys))
	for i, y := range ys {
		parts = append(parts, fmt.Sprintf(`{"id":"b%d","x0":0,"x1":%g,"y0":%g,"y1":%g,"drop":9.25}`, i+1, w, y, y+3))
	}
	return `, "beams": [` + strings.Join(parts, ",") + `]`
}

// uglyDecks are decks that draw badly: each is known by what is wrong with it.
func uglyDecks() map[string]string {
	names := strings.Repeat("a very long name of a thing ", 4)
	corners, edges := []string{}, []string{}
	for i, s := range []string{"vinyl siding", "fiber-cement", "brick", "concrete block", "poured concrete", "stucco", "stone veneer", "exterior insulation finish", "log", "metal siding", "unknown"} {
		corners = append(corners, fmt.Sprintf("[%d,0]", i*40))
		edges = append(edges, fmt.Sprintf(`{"kind":"wall","surface":"%s"}`, s))
	}
	return map[string]string{
		"many-notches": box4(400, 160, levelHeights+`, "obstructions": [`+strings.Join([]string{row4("hanger", manyThings, 8, 12.0625, 2, .3), row4("bracket", manyThings, 10, 12.0625, 30, .8),
			row4("pipe", manyThings, 9, 12.0625, 70, 1.1), row4("other", manyThings, 11, 12.0625, 110, 1.5)}, ",")+`]`),
		"narrow":          box4(40, 300, levelHeights+`, "obstructions": [`+row4("hanger", 3, 8, 12, 2, .3)+`]`),
		"very-narrow":     box4(14, 200, levelHeights),
		"no-heights":      box4(240, 120, ""),
		"clearances":      box4(240, 120, `, "heights": [{"x":0,"y":0,"height":20},{"x":0,"y":120,"height":20.5},{"x":240,"y":0,"height":20.25}], "clearances": [{"x":0,"y":0,"clearance":98},{"x":0,"y":120,"clearance":101}]`),
		"only-clearances": box4(240, 120, `, "clearances": [{"x":0,"y":0,"clearance":80}]`),
		"huge":            box4(1200, 480, levelHeights+`, "obstructions": [`+row4("hanger", 60, 20, 16, 2, .4)+`]`),
		"huge-deep":       box4(480, 1200, levelHeights+beamsAt(480, 400, 800)),
		"fascia":          box4(240, 120, levelHeights+`, "system": {"name":"vinyl-12","gutter_mount":"fascia"}`),
		"tiny":            box4(48, 48, levelHeights),
		"five-zones":      box4(300, 400, levelHeights+beamsAt(300, 80, 160, 240, 320)),
		"five-narrow":     box4(300, 110, levelHeights+beamsAt(300, 19, 41, 63, 85)),
		"short-zone":      box4(300, 110, levelHeights+beamsAt(300, 95)),
		"tilted-across":   box4(300, 200, `, "heights": [{"x":0,"y":0,"height":106},{"x":300,"y":0,"height":109},{"x":0,"y":200,"height":104},{"x":300,"y":200,"height":107}]`),
		"steep":           box4(200, 200, levelHeights+`, "fall": {"direction":"-x","per_foot":1}`),
		"turned":          box4(200, 150, levelHeights+`, "fall": {"direction":"+x","per_foot":0.25}, "beams": [{"id":"b","x0":100,"x1":103,"y0":0,"y1":150,"drop":8}], "obstructions": [`+row4("hanger", 8, 8, 16, 2, .9)+`]`),
		"low":             box4(200, 150, `, "heights": [{"x":0,"y":0,"height":40}]`),
		"hole":            box4(300, 200, levelHeights+`, "holes": [[[100,80],[160,80],[160,130],[100,130]]]`),
		"gaps-and-fixtures": box4(300, 200, levelHeights+`, "openings": [{"id":"door","x0":20,"x1":56,"head":82},{"id":"window-with-a-long-name","x0":200,"x1":224,"head":80}], "obstructions": [
			{"id":"`+names+`","kind":"fixture","x":150,"y":100,"wx":6,"wy":6,"drop":4},{"id":"light-2","kind":"fixture","x":158,"y":100,"wx":6,"wy":6,"drop":4},
			{"id":"post","kind":"other","x":40,"y":150,"wx":6,"wy":6,"drop":90,"through":true},{"id":"far","kind":"pipe","x":900,"y":20,"wx":3,"wy":3,"drop":4}]`),
		"all-walls": `{"outline": [` + strings.Join(corners, ",") + `,[440,0],[440,140],[0,140]], "edges": [` + strings.Join(edges, ",") + `,{"kind":"wall","surface":"brick"},{"kind":"open"},{"kind":"wall","surface":"stucco"}],
			"joists": {"direction":"x","spacing":16,"depth":9.25,"gaps":[{"x0":100,"x1":130,"y0":20,"y1":60}]}` + levelHeights + `}`,
		"blocked": box4(240, 120, `, "fall": {"direction":"+x"}, "obstructions": [`+row4("pipe", 12, 12, 18, 60, 6)+`]`),
	}
}

// TestUglySheets holds the drawings of decks that draw badly to the same rules, on paper and on screens.
func TestUglySheets(t *testing.T) {
	for name, doc := range uglyDecks() {
		t.Run(name, func(t *testing.T) {
			s := sampleOf(t, name, decoded(t, doc))
			sheets, err := sheetSet(s.job, s.in, s.plan)
			if err != nil {
				t.Fatal(err)
			}
			for i, d := range sheets {
				full := name + "-" + strconv.Itoa(i+1)
				checkDrawing(t, full, d)
				keepDrawing(t, full, d)
			}
			named(t, s, sheets)
			for size, word := range map[figureSize]string{desk: "desk", phone: "phone"} {
				plan, err := planFigure(s.job, s.in, s.plan, size)
				if err != nil {
					t.Fatal(err)
				}
				checkDrawing(t, name+"-figure-plan-"+word, plan)
				keepDrawing(t, name+"-figure-plan-"+word, plan)
				section, err := sectionFigure(s.job, s.in, s.plan, size)
				if err != nil {
					t.Fatal(err)
				}
				checkDrawing(t, name+"-figure-section-"+word, section)
				keepDrawing(t, name+"-figure-section-"+word, section)
			}
		})
	}
}
