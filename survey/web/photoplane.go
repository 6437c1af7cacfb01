package web

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undercroft/calc/length"
	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/templates"
)

// geometryView is what a photo's page is told of the photo's geometry besides what is drawn.
type geometryView struct {
	Why        string // why no ceiling is drawn, empty when one is
	Aim        string // survey.Aim as JSON, empty when there is none
	References int    // those that hold the photo
	Spare      string // the sentence that asks for one more, empty when they are checked
	Placed     int    // reference pins on it, with a place or without
	Ellipses   []ellipseView
	Rows       []rowView
}

// rowView is a row of hangers or brackets on the picture: its dots and the line through them, in percent of the picture.
type rowView struct {
	ID             survey.PinID
	X1, Y1, X2, Y2 string
	Dots           []rowDot
}

// rowDot is one of the things; Text is its joist's number, empty for every second one and where the joists are not known.
type rowDot struct{ X, Y, Text string }

// viewRow places a row's dots; false when none of it shows.
func viewRow(id survey.PinID, dots []survey.RowDot) (rowView, bool) {
	v := rowView{ID: id}
	at := func(f float64) string { return strconv.FormatFloat(f*100, 'f', 2, 64) + "%" }
	for i, d := range dots {
		dot := rowDot{X: at(d.X), Y: at(d.Y)}
		if d.Number > 0 && (i%2 == 0 || i == len(dots)-1) {
			dot.Text = strconv.Itoa(d.Number)
		}
		v.Dots = append(v.Dots, dot)
	}
	if len(dots) == 0 {
		return v, false
	}
	first, last := v.Dots[0], v.Dots[len(dots)-1]
	v.X1, v.Y1, v.X2, v.Y2 = first.X, first.Y, last.X, last.Y
	return v, true
}

// ellipseView is the 95 % ellipse of a pin known to worse than largeEllipse, in pixels of the picture.
type ellipseView struct {
	ID     survey.PinID
	Points string
}

// largeEllipse is the ± from which a pin's ellipse is drawn, in inches.
const largeEllipse = 2

// layCeiling draws the ceiling below a photo's pins and says what the page must know of its geometry.
func layCeiling(r survey.Record, ceiling survey.Ceiling, photo survey.Photo, picture templates.PinnedPhoto) (templates.PinnedPhoto, geometryView, error) {
	shapes, why := report.CeilingShapes(ceiling, photo, catalogue.English)
	if p := ceiling.Geometry[photo.ID]; p.Fit != nil && p.Trusted && ceiling.Plan == nil {
		why = noPlanWords(ceiling)
	}
	g := geometryView{Why: why, References: ceiling.Geometry[photo.ID].References}
	if !photo.Shown() {
		return picture, g, nil
	}
	g.Spare = spareWords(r, ceiling, photo)
	if aim, ok := ceiling.Geometry.Aim(photo); ok {
		body, err := json.Marshal(aim)
		if err != nil {
			return picture, g, fmt.Errorf("write the photo's geometry: %w", err)
		}
		g.Aim = string(body)
	}
	structure := survey.StructureOf(r)
	for _, p := range r.PinsOn(photo.ID) {
		if row, shown := viewRow(p.ID, survey.RowDots(ceiling, structure, photo, p)); shown {
			g.Rows = append(g.Rows, row)
		}
		if p.Kind == survey.PinReference {
			g.Placed++
		}
		if at, ok := ceiling.Located[p.ID]; ok && at.PM() > largeEllipse {
			if ring := ceiling.Geometry.EllipseOn(photo, p, at); ring != nil {
				g.Ellipses = append(g.Ellipses, ellipseView{p.ID, ringText(ring, picture)})
			}
		}
	}
	return picture.LayCeiling(shapes, smallestStage), g, nil
}

// ringText writes fractions of a picture as an SVG points attribute in its pixels.
func ringText(ring [][2]float64, picture templates.PinnedPhoto) string {
	texts := make([]string, len(ring))
	for i, f := range ring {
		texts[i] = fmt.Sprintf("%.1f,%.1f", f[0]*float64(picture.Width), f[1]*float64(picture.Height))
	}
	return strings.Join(texts, " ")
}

// noCheck is the geometry's warning that a wrong reference cannot be noticed. The page asks for a spare one in its own words.
const noCheck = "no_check"

// spareWords ask for one more reference where a wrong one among those of a photo would not show, and say where it would be best; empty otherwise.
func spareWords(r survey.Record, ceiling survey.Ceiling, photo survey.Photo) string {
	g := ceiling.Geometry[photo.ID]
	if !g.Unchecked() {
		return ""
	}
	if at := survey.Spare(r, photo, g); at != "" {
		return "A wrong one would not show. One more, far from these, would tell: " + at + "."
	}
	return "A wrong one would not show. One more, far from these, would tell."
}

// planeCautions is what to know of the geometry of a photo with references, and what to do about it.
func planeCautions(p survey.PhotoPlane, placed int, spare string) []cautionView {
	switch {
	case placed == 0:
		return nil
	case p.Fit == nil && p.References < leastReferences:
		v := cautionView{Weight: weightNote, Head: fmt.Sprintf("%d of %d references.", p.References, leastReferences),
			Body: "Pin points whose place on the plan is known, well apart and not on one line: then every pin on this photo gets its place from them. One spare more lets a typing error show."}
		if without := placed - p.References; without > 0 {
			v.Body = fmt.Sprintf("%s on this photo %s its place on the plan or how well it is known. %s", countOf(without, "reference", "references"), lacks(without), v.Body)
		}
		return []cautionView{v}
	case p.Fit == nil:
		return []cautionView{{Weight: weightWarn, Head: p.Problem, Body: "Nothing on this photo gets its place from it until then. Compare each reference’s place on the plan and on the picture with the tape.", Rule: "photo geometry"}}
	}
	var list []cautionView
	for i, w := range p.Fit.Warnings {
		if w.Code != noCheck {
			list = append(list, doubtCaution(string(w.Code), p.Doubts[i]))
		}
	}
	if spare != "" {
		list = append(list, cautionView{Weight: weightNote, Head: fmt.Sprintf("%d references fit: none is spare.", p.References), Body: spare, Rule: "photo geometry"})
	}
	return list
}

func lacks(n int) string {
	if n == 1 {
		return "lacks"
	}
	return "lack"
}

// countOf is "1 reference" or "2 references".
func countOf(n int, one, many string) string {
	if n == 1 {
		return "1\u00a0" + one
	}
	return strconv.Itoa(n) + "\u00a0" + many
}

// leastReferences hold a photo; one more shows a typing error.
const leastReferences = 4

// doubtCaution is one doubt about a whole photo with what to do; code is that of the geometry's warning.
func doubtCaution(code, doubt string) cautionView {
	v := cautionView{Weight: weightWarn, Head: doubt, Rule: "photo geometry"}
	switch code {
	case "misfit":
		v.Body = "Nothing on this photo gets its place from it until they agree. Tape the suspected one again, or move its point on the picture."
	case "mirrored":
		v.Body = "Nothing on this photo gets its place from it until then. Left and right are as one sees them facing the house."
	case "weak_layout", "weak_fit":
		v.Body = "Places from this photo are less certain than their ± says until then."
	case "focal":
		v.Body = "Its camera’s figures were left out. Look at the references again, and take photos as the camera makes them, not cropped."
	}
	return v
}

// planPlace is the words for a plan position, "9′ 8″, 5′ 4 3/4″", with no-break spaces.
func planPlace(x, y float64) string { return lengthText(x) + ", " + lengthText(y) }

// lengthText prints inches to the nearest sixteenth.
func lengthText(inches float64) string { return length.Inches(inches).Nearest16().Typeset() }

// pmText is "± 13/16″", rounded up.
func pmText(pm float64) string { return "±\u00a0" + length.Inches(pm).Up16().Typeset() }

// residual says how far a reference lies off where the others put it; empty when its photo has no geometry.
func residual(p survey.PhotoPlane, pin survey.Pin) string {
	if p.Fit == nil || pin.Kind != survey.PinReference {
		return ""
	}
	for _, t := range p.Fit.References {
		if t.ID != survey.InputID(pin.Number) {
			continue
		}
		along, out := length.Inches(t.ResIn.X).Nearest16(), length.Inches(t.ResIn.Y).Nearest16()
		if along == 0 && out == 0 {
			return "fits within 1/16″"
		}
		return fmt.Sprintf("off by %s along, %s out", abs(along).Typeset(), abs(out).Typeset())
	}
	return ""
}

func abs(l length.Inches) length.Inches { return max(l, -l) }

// suspected tells whether a reference seems to be the one that is wrong.
func suspected(p survey.PhotoPlane, pin survey.Pin) bool {
	return slices.Contains(p.Suspects, pin.Number)
}
