package web

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"undercroft/calc"
	"undercroft/survey"
)

// The drawing of the outline: as wide as a phone, with room round the deck for the sides' lengths; px of its viewBox.
const (
	outlineWide = 360
	outlinePad  = 34
	outlineTall = 300
	labelOff    = 13  // of a side's label from its side
	letterWide  = 6.3 // of one letter of a label
)

// outlineView is the outline as it is drawn and edited.
type outlineView struct {
	Action, State string
	Known         bool // there is an outline to draw
	Drawn         bool // its corners were drawn, and are not width and projection
	ViewBox, Ring string
	Sides         []sideView
	Corners       []cornerView
	Holes         []shapeView
	Zones         []zoneView
	Beams         []string // as points
	Chosen        *sideForm
	Hole          []fieldView
	Square        []cautionView
	SquareFields  []fieldView
	DeckAction    string
	CanTake       bool // sides and diagonals make an outline
	Slanted       bool // a side is neither along nor out
	Problem       problemView
	SquareOpen    bool // something was taped besides width and projection
	HoleOpen      bool
}

// sideView is one side of the outline.
type sideView struct {
	Index          int
	Number         int
	Name, Label    string
	X1, Y1, X2, Y2 string
	LX, LY, Turn   string
	Kind, Surface  string
	Href           string
	Current        bool
}

// cornerView is one corner of the outline.
type cornerView struct {
	Index, Number int
	Name          string
	X, Y          string
}

// shapeView is an opening in the deck.
type shapeView struct{ Key, Name, Points string }

// zoneView is a zone of the ceiling, built or not.
type zoneView struct {
	ID, Name, Area, Points, X, Y string
	Built                        bool
}

// sideForm is what may be done to the chosen side.
type sideForm struct {
	sideView
	Length fieldView
	Jog    []fieldView
	Way    fieldView
	Facts  []fieldView

	Action, State string
	JogOpen       bool
}

// outlineOf draws the survey's outline; form is what was sent and could not be done, nil for nothing.
func (s *Server) outlineOf(r survey.Record, ceiling survey.Ceiling, side int, form *outlineForm) outlineView {
	home := surveyPath(r.Survey.ID)
	v := outlineView{Action: home + "/outline", DeckAction: home + "/deck", State: outlineState(r), Drawn: r.Facts["outline"].Text != ""}
	g := survey.DrawnOutline(r)
	if form != nil && form.err != nil {
		v.Problem = problemView{Weight: weightStop, Head: survey.Message(form.err)}
		for key, text := range fieldTexts(form.err) {
			v.Problem.Fields = append(v.Problem.Fields, problemField{controlID(fieldPrefix + key), key, text})
		}
		if form.index >= 0 && (form.do == "length" || form.do == "jog" || form.do == "side") {
			side = form.index
		}
	}
	v.addSquare(r)
	if len(g.Corners) < 3 {
		return v
	}
	v.Known = true
	at := newPlanScale(g.Corners)
	v.ViewBox, v.Ring = fmt.Sprintf("0 0 %d %s", outlineWide, px(at.tall)), at.points(g.Corners)
	v.addSides(r, g, at, home, side, form)
	for i, c := range g.Corners {
		p := at.point(c)
		v.Corners = append(v.Corners, cornerView{i, i + 1, fmt.Sprintf("Corner %d: %s along, %s out", i+1, c.X.Typeset(), c.Y.Typeset()), px(p[0]), px(p[1])})
	}
	v.addRest(r, ceiling, at, form)
	return v
}

// addSides lists the sides with their labels, and opens the form of the chosen one.
func (v *outlineView) addSides(r survey.Record, g survey.Ring, at planScale, home string, side int, form *outlineForm) {
	facts := survey.ResolveFacts(r)
	for i, sd := range g.Sides() {
		a, b := at.point(sd.From), at.point(sd.To)
		view := sideView{Index: i, Number: i + 1, Name: g.SideName(i), X1: px(a[0]), Y1: px(a[1]), X2: px(b[0]), Y2: px(b[1]), Current: i == side,
			Href: fmt.Sprintf("%s/plan?side=%d#outline", home, i)}
		view.place(a, b, sd.Length().Typeset(), at.clockwise)
		for _, name := range []string{"kind", "surface"} {
			f := facts.Get(fmt.Sprintf("edge.%d.%s", i, name))
			for _, o := range f.Field.Options {
				if o.Value == f.Value.Choice && f.Known() {
					view.Surface = o.Label
					if name == "kind" {
						view.Kind, view.Surface = o.Label, ""
					}
				}
			}
		}
		if sd.From.X != sd.To.X && sd.From.Y != sd.To.Y {
			v.Slanted = true
		}
		v.Sides = append(v.Sides, view)
		if i == side {
			v.Chosen = newSideForm(r, facts, view, sd, form)
			v.Chosen.Action, v.Chosen.State = v.Action, v.State
		}
	}
}

// place puts the label outside of the side's middle, along it where that is straight up; a short side has only its number.
func (s *sideView) place(a, b [2]float64, length string, clockwise bool) {
	long := math.Hypot(b[0]-a[0], b[1]-a[1])
	s.Label = fmt.Sprintf("%d · %s", s.Number, length)
	if float64(len([]rune(s.Label)))*letterWide > long {
		s.Label = strconv.Itoa(s.Number)
	}
	nx, ny := (b[1]-a[1])/long, -(b[0]-a[0])/long // outside, when the ring goes round clockwise on the screen
	if !clockwise {
		nx, ny = -nx, -ny
	}
	x, y := (a[0]+b[0])/2+nx*labelOff, (a[1]+b[1])/2+ny*labelOff
	s.LX, s.LY = px(x), px(y)
	if math.Abs(b[0]-a[0]) < math.Abs(b[1]-a[1])/4 && s.Label != strconv.Itoa(s.Number) {
		s.Turn = fmt.Sprintf("rotate(-90 %s %s)", px(x), px(y))
	}
}

// newSideForm is the form of one side, with what was typed and what is wrong with it.
func newSideForm(r survey.Record, facts survey.FactSet, view sideView, side survey.Side, form *outlineForm) *sideForm {
	f := &sideForm{sideView: view}
	typed := func(do, key, label, hint string) fieldView {
		return outlineField(form, do, key, label, hint, true)
	}
	f.JogOpen = form != nil && form.do == "jog"
	f.Length = typed("length", "length", "Length of side "+strconv.Itoa(view.Number), "now "+side.Length().Typeset())
	f.Jog = []fieldView{typed("jog", "from", "Jog begins after", "from the side’s first corner"), outlineField(form, "jog", "wide", "It is wide", "empty: to the side’s end, an L", false), typed("jog", "deep", "It goes", "how deep")}
	f.Way = newFieldView(survey.Field{Key: "way", Label: "Which way", Type: survey.TypeChoice, Options: []survey.Option{{Value: "in", Label: "Into the deck"}, {Value: "out", Label: "Out of it"}}}, fieldPrefix+"way", "")
	f.Way.Text = "in"
	if form != nil && form.do == "jog" && form.text["way"] != "" {
		f.Way.Text = form.text["way"]
	}
	for _, name := range []string{"kind", "surface", "wall_end", "member_drop"} {
		key := fmt.Sprintf("edge.%d.%s", view.Index, name)
		field, ok := survey.FactField(r, key)
		if !ok {
			continue
		}
		fv := newFieldView(field, fieldPrefix+key, key)
		text := r.Facts[key].Text
		if form != nil && form.do == "side" && form.index == view.Index {
			text = form.text[key]
		}
		fv.setText(text)
		fv.Was, fv.Problem = r.Facts[key].Text, fieldTexts(formErr(form))[key]
		f.Facts = append(f.Facts, withSources(fv, r, facts.Get(key)))
	}
	return f
}

func formErr(form *outlineForm) error {
	if form == nil {
		return nil
	}
	return form.err
}

// outlineField is a length of the editor, with what was typed into it.
func outlineField(form *outlineForm, do, key, label, hint string, needed bool) fieldView {
	v := newFieldView(survey.Field{Key: key, Label: label, Hint: hint, Type: survey.TypeLength, Required: needed}, fieldPrefix+key, anyPlace)
	v.ID = controlID(do + "-" + key)
	if form != nil && form.do == do && form.err != nil {
		v.setText(form.text[key])
		v.Problem = fieldTexts(form.err)[key]
	}
	return v
}

// addSquare says what the tape tells of the corners.
func (v *outlineView) addSquare(r survey.Record) {
	q := survey.CheckSquare(r)
	for _, l := range q.Lines {
		c := cautionView{Weight: weightWarn, Head: l.Text.String(), Body: l.Do.String(), Rule: "diagonals: Pythagoras and the law of cosines"}
		if c.Body == "" {
			c.Weight = weightFine
		}
		v.Square = append(v.Square, c)
	}
	facts := survey.ResolveFacts(r)
	for _, f := range facts.All() {
		if strings.HasPrefix(f.Field.Key, "square.") {
			view := newFieldView(f.Field, fieldPrefix+f.Field.Key, f.Field.Key)
			view.WasName, view.Was = wasPrefix+f.Field.Key, r.Facts[f.Field.Key].Text
			view.setText(r.Facts[f.Field.Key].Text)
			v.SquareFields = append(v.SquareFields, withSources(view, r, f))
			v.SquareOpen = v.SquareOpen || f.Known()
		}
	}
	v.CanTake = q.Corners != nil
}

// addRest adds openings, beams and zones.
func (v *outlineView) addRest(r survey.Record, ceiling survey.Ceiling, at planScale, form *outlineForm) {
	for key, corners := range survey.Holes(r) {
		v.Holes = append(v.Holes, shapeView{key, fmt.Sprintf("Opening from %s along, %s out", corners[0].X.Typeset(), corners[0].Y.Typeset()), at.points(corners)})
	}
	built := map[string]bool{}
	if ceiling.Plan != nil {
		for _, z := range ceiling.Plan.Zones {
			built[z.ID] = true
		}
	}
	for _, z := range zonesOf(r) {
		view := zoneView{ID: z.ID, Name: "Zone " + strings.TrimPrefix(z.ID, "z"), Area: strconv.FormatFloat(z.AreaFt2, 'f', 1, 64) + "\u00a0ft²", Points: at.pairs(z.Polygon), Built: built[z.ID]}
		middle := at.middle(z.Polygon)
		view.X, view.Y = px(middle[0]), px(middle[1])
		v.Zones = append(v.Zones, view)
	}
	for _, b := range ceiling.Input.Beams {
		v.Beams = append(v.Beams, at.beam(b))
	}
	v.HoleOpen = form != nil && form.do == "hole"
	v.Hole = []fieldView{outlineField(form, "hole", "along", "Begins along the house at", "from its left end", true), outlineField(form, "hole", "out", "Begins out from the house at", "", true),
		outlineField(form, "hole", "wide", "It is wide", "along the house", true), outlineField(form, "hole", "deep", "It is deep", "out from the house", true)}
}

// planScale takes plan inches to px of the drawing.
type planScale struct {
	k, x0, y0, dx, tall float64
	clockwise           bool
}

func newPlanScale(corners []calc.Point) planScale {
	low, high := corners[0], corners[0]
	area := 0.0
	for i, c := range corners {
		low.X, low.Y, high.X, high.Y = min(low.X, c.X), min(low.Y, c.Y), max(high.X, c.X), max(high.Y, c.Y)
		next := corners[(i+1)%len(corners)]
		area += float64(c.X)*float64(next.Y) - float64(next.X)*float64(c.Y)
	}
	w, h := max(1, float64(high.X-low.X)), max(1, float64(high.Y-low.Y))
	k := min((outlineWide-2*outlinePad)/w, outlineTall/h)
	return planScale{k: k, x0: float64(low.X), y0: float64(low.Y), dx: (outlineWide - k*w) / 2, tall: k*h + 2*outlinePad, clockwise: area > 0}
}

func (p planScale) at(x, y float64) [2]float64 {
	return [2]float64{p.dx + (x-p.x0)*p.k, outlinePad + (y-p.y0)*p.k}
}

func (p planScale) point(c calc.Point) [2]float64 { return p.at(float64(c.X), float64(c.Y)) }

func (p planScale) points(corners []calc.Point) string {
	var list [][2]float64
	for _, c := range corners {
		list = append(list, [2]float64{float64(c.X), float64(c.Y)})
	}
	return p.pairs(list)
}

func (p planScale) pairs(corners [][2]float64) string {
	parts := make([]string, len(corners))
	for i, c := range corners {
		q := p.at(c[0], c[1])
		parts[i] = px(q[0]) + "," + px(q[1])
	}
	return strings.Join(parts, " ")
}

// middle is the mean of some corners, where a name stands.
func (p planScale) middle(corners [][2]float64) [2]float64 {
	var x, y float64
	for _, c := range corners {
		x, y = x+c[0]/float64(len(corners)), y+c[1]/float64(len(corners))
	}
	return p.at(x, y)
}

func px(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

// beam is a beam's box as points.
func (p planScale) beam(b calc.Beam) string {
	return p.pairs([][2]float64{{float64(b.X0), float64(b.Y0)}, {float64(b.X1), float64(b.Y0)}, {float64(b.X1), float64(b.Y1)}, {float64(b.X0), float64(b.Y1)}})
}
