package survey

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/calc/words"
)

// deviations95 is how many standard deviations a ± of 95 % is, from the normal distribution.
const deviations95 = 1.96

// Assembly is a survey as the calculator's input. Input is whole only when Ready. Sources tells, by the ids of the input (obstructions,
// beams, openings) and by the keys of the facts, where each value came from; levels and clearances are listed in the input's order.
type Assembly struct {
	Input      calc.Input
	Facts      FactSet
	Findings   []Finding
	Sources    map[string]Source
	Levels     []Source
	Clearances []Source
	Ground     []string // the ground under each clearance, "" when not said
	Posts      []Post
	Geometry   Geometry
	Located    map[PinID]Located // pins that their photo's plane locates, whether or not a typed place stands instead
	Disputes   map[PinID]Dispute
}

// Post is a post that has a place on the plan: its middle and its sizes along the house and out from it, inches.
type Post struct{ X, Y, WX, WY float64 }

// Ready tells whether nothing that the calculation needs is missing.
func (a Assembly) Ready() bool {
	for _, f := range a.Findings {
		if f.Severity == SeverityMissing {
			return false
		}
	}
	return true
}

// Assemble gathers the facts and pins of a survey into the calculator's input.
func Assemble(r Record) Assembly {
	a := Assembly{Facts: ResolveFacts(r), Sources: map[string]Source{}, Geometry: fitPhotos(r), Located: map[PinID]Located{}, Disputes: map[PinID]Dispute{}}
	a.Findings = factFindings(a.Facts)
	for _, f := range a.Facts.All() {
		if f.Known() {
			a.Sources[f.Field.Key] = f.Source
		}
	}
	a.addOutline(r)
	a.addFrame()
	a.addCeiling()
	for _, p := range r.Pins {
		a.addPin(r, p)
	}
	a.addOpenings(r)
	return a
}

// number is a fact's number, 0 when it is not known.
func (a *Assembly) number(key string) float64 { return a.Facts.Get(key).Value.Number }

// inches is a fact's length, 0 when it is not known.
func (a *Assembly) inches(key string) length.Inches { return length.Inches(a.number(key)) }

// choice is a fact's chosen answer, empty when it is not known.
func (a *Assembly) choice(key string) string { return a.Facts.Get(key).Value.Choice }

func (a *Assembly) find(severity Severity, text, do words.Phrase, fact string, pin PinID) {
	a.Findings = append(a.Findings, newFinding(severity, text, do, fact, pin))
}

// addOutline writes the corners and edges, cutting a side in two where its wall ends part-way.
func (a *Assembly) addOutline(r Record) {
	list := sides(r)
	if len(corners(r)) == 0 {
		return
	}
	for _, key := range holeKeys() {
		if hole := a.Facts.Get(key); hole.Known() {
			a.Input.Holes = append(a.Input.Holes, hole.Value.Corners)
		}
	}
	for i, side := range list {
		edge := calc.Edge{Kind: calc.EdgeKind(a.choice(edgeKey(i, "kind"))), MemberDrop: a.inches(edgeKey(i, "member_drop"))}
		a.Input.Outline = append(a.Input.Outline, side.From)
		if edge.Kind != calc.EdgeWall {
			edge.Kind = calc.EdgeOpen
			a.Input.Edges = append(a.Input.Edges, edge)
			continue
		}
		edge.Surface, edge.Asbestos = a.surface(i, side), suspectsAsbestos(r, i)
		open := calc.Edge{Kind: calc.EdgeOpen, MemberDrop: edge.MemberDrop}
		at, fromFirst, cut := side.split(a.inches(edgeKey(i, "wall_end")))
		switch {
		case !cut:
			a.Input.Edges = append(a.Input.Edges, edge)
		case fromFirst:
			a.Input.Outline = append(a.Input.Outline, at)
			a.Input.Edges = append(a.Input.Edges, edge, open)
		default:
			a.Input.Outline = append(a.Input.Outline, at)
			a.Input.Edges = append(a.Input.Edges, open, edge)
		}
	}
}

// surface is what the wall of side i is faced with; an unknown one is passed on as unknown, which the calculator reports as blocking.
func (a *Assembly) surface(i int, side Side) calc.Surface {
	key := edgeKey(i, "surface")
	if s := a.choice(key); s != "" {
		return calc.Surface(s)
	}
	if a.Facts.Get(key).State == FactMissing {
		a.find(SeverityCheck, words.Say("%s: nobody has said what the wall is faced with.", words.Say(side.Label)), words.Say("Pin the wall surface on a photo, or choose it."), key, "")
	}
	return calc.SurfaceUnknown
}

// suspectsAsbestos tells whether a pin suspects the siding of side i to hold asbestos.
func suspectsAsbestos(r Record, i int) bool {
	return slices.ContainsFunc(r.Pins, func(p Pin) bool {
		return p.Kind == PinWall && p.Values["edge"] == strconv.Itoa(i) && p.Values["asbestos"] == "yes"
	})
}

// addFrame writes joists, weather, the house's age and what is around it.
func (a *Assembly) addFrame() {
	a.Input.Joists = calc.Joists{
		Direction: a.choice("joist.direction"), Spacing: a.inches("joist.spacing"), Depth: a.inches("joist.depth"),
		SpecificGravity: choiceNumber(a.choice("joist.wood")),
	}
	a.Input.Rain = calc.Rain{InchesPerHour: a.number("rain.inches_per_hour"), RoofFt2: a.number("rain.roof_ft2")}
	a.Input.Temperature = calc.Temperature{Install: a.number("temperature.install"), Min: a.number("temperature.min"), Max: a.number("temperature.max")}
	a.Input.Before1978 = a.choice("built_before_1978") == "yes"
	a.Input.Means = a.choice("means")
	for _, f := range aroundFields() {
		if condition, ok := strings.CutPrefix(f.Key, conditionPrefix); ok && a.choice(f.Key) == "yes" {
			a.Input.Conditions = append(a.Input.Conditions, condition)
		}
	}
	if t := a.Input.Temperature; t.Min > t.Max {
		a.find(SeverityMissing, words.Say("The coldest temperature is above the hottest."), words.Say("Correct one of them."), "temperature.min", "")
	}
}

// addCeiling writes what was chosen of the ceiling. A fall that nobody typed is the profile's own.
func (a *Assembly) addCeiling() {
	a.Input.Fall = calc.Fall{Direction: calc.Direction(a.choice("fall.direction"))}
	if f := a.Facts.Get("fall.per_foot"); f.Known() {
		perFoot := f.Value.Inches()
		a.Input.Fall.PerFoot = &perFoot
	}
	a.Input.Base, a.Input.MaxBuildDown = a.inches("base"), a.inches("max_build_down")
	a.Input.Cover = strings.FieldsFunc(a.choice("cover"), func(r rune) bool { return r == ' ' || r == ',' })
	a.Input.LowEdge = calc.LowEdge(a.choice("low_edge"))
	a.Input.System = calc.SystemSelection{Name: a.choice("system")}
}

// deviation turns a pin's ± of 95 % into one standard deviation.
func deviation(pm float64) length.Inches { return length.Inches(math.Abs(pm) / deviations95) }
