package survey

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"undercroft/annotate/plane"
	"undercroft/calc/length"
)

// The places on a joist by which a reference is named.
const (
	AtLedger = "ledger"
	AtBeam   = "beam"
	AtRim    = "rim"
	AtMark   = "mark" // of a tape, as far out from the house as the pin's "out" says
)

// markKey is the value that says how far out from the house a tape mark is.
const markKey = "out"

// structureWords say where on a joist a reference is, in the order in which they are asked.
func structureWords() []Option {
	return []Option{{AtLedger, "at the ledger"}, {AtBeam, "at the beam"}, {AtRim, "at the rim"}, {AtMark, "at a tape mark"}}
}

// Structure is what names points of a deck's underside: its joists, counted from the right end facing the house, and what they rest on. First and
// Spacing are inches to the middles of joists, Width the deck's size along the house, At the distance out from the house by the place's word. Words
// say what it was taken from. Why is a sentence when points cannot be named so; the rest is empty then.
type Structure struct {
	Count                 int
	Width, First, Spacing length.Inches
	At                    map[string]length.Inches
	Stops                 map[string][]int // by place, the joists that stop at a header and do not reach it
	Words, Why            string
}

// StructureOf reads a survey's structure. Ledger and rim are taken to be of dressed two-inch lumber; the beam is the first beam pin whose near face has
// its place.
func StructureOf(r Record) Structure {
	sum := SumJoists(r)
	if runsAlong(r) {
		return Structure{Why: "The joists run along the house: type the place on the plan instead."}
	}
	if sum.Count == 0 {
		return Structure{Why: "To name a point by its joist, give the deck's width and projection, the joist spacing and the first joist on the walk list."}
	}
	own := walkJoistFields(r)
	s := Structure{Count: sum.Count, Width: sum.Across, First: resolve(r, own[0]).Value.Inches(), Spacing: walkFact(r, "joist.spacing").Value.Inches(), At: map[string]length.Inches{AtLedger: lumber}}
	s.Words = fmt.Sprintf("first joist %s, spacing %s, ledger %s", s.First.Typeset(), s.Spacing.Typeset(), lumber.Typeset())
	if out := walkFact(r, "projection"); out.Known() {
		s.At[AtRim] = out.Value.Inches() - lumber
	}
	for _, p := range r.Pins {
		face, ok := p.Value(PinFields(r, PinBeam), "y0")
		if _, there := s.At[AtBeam]; p.Kind == PinBeam && ok && !there {
			s.At[AtBeam] = face.Inches()
		}
	}
	s.Stops = s.stops(r)
	return s
}

// Place is the plan position of a joist at one of the places; ok is false when there is no such joist or place. A tape mark is a place of its pin, not
// of the structure.
func (s Structure) Place(joist int, at string) (x, y length.Inches, ok bool) {
	y, ok = s.At[at]
	if joist < 1 || joist > s.Count || !ok {
		return 0, 0, false
	}
	return s.Width - s.First - length.Inches(joist-1)*s.Spacing, y, true
}

// named fills in the place and the name of a reference that is named by the structure. A place that was typed stands; a pin that is not named so, or
// cannot be, is given back as it is.
func (s Structure) named(p Pin) Pin {
	joist, err := strconv.Atoi(p.Values["joist"])
	if p.Kind != PinReference || err != nil || p.Values["x"] != "" && p.Values["y"] != "" {
		return p
	}
	name := JoistName(joist, p.Values["at"])
	if p.Values["at"] == AtMark {
		out, known := p.Value(referenceFields(), markKey)
		if !known {
			return p
		}
		s.At = map[string]length.Inches{AtMark: out.Inches()}
		name += " " + out.Inches().Typeset() + " out"
	}
	x, y, ok := s.Place(joist, p.Values["at"])
	if !ok {
		return p
	}
	p.Values = maps.Clone(p.Values)
	p.Values["x"], p.Values["y"] = x.String(), y.String()
	if p.Values["name"] == "" {
		p.Values["name"] = name
	}
	return p
}

// Begin is the joist that a photo's first reference is probably on: the middle one of the third that the photo was taken of, else of all; 0 without
// joists.
func (s Structure) Begin(r Record, id PhotoID) int {
	sixths := 3
	for slot, at := range map[string]int{"under.right": 1, "under.left": 5} {
		if r.Facts[SlotKey(slot)].Text == string(id) {
			sixths = at
		}
	}
	return int(math.Ceil(float64(s.Count*sixths) / 6))
}

// LastMark is how far out the survey's last tape mark is, as it was typed; empty when there is none.
func LastMark(r Record) string {
	for _, p := range slices.Backward(r.Pins) {
		if p.Kind == PinReference && p.Values[markKey] != "" {
			return p.Values[markKey]
		}
	}
	return ""
}

// JoistName is a point by its structure: "joist 5 at the ledger".
func JoistName(joist int, at string) string {
	for _, o := range structureWords() {
		if o.Value == at {
			return fmt.Sprintf("joist %d %s", joist, o.Label)
		}
	}
	return fmt.Sprintf("joist %d", joist)
}

// PlacedOn lists the pins of one photo like PinsOn; references that are named by the structure have the place that this gives them.
func (r Record) PlacedOn(id PhotoID) []Pin {
	pins := r.PinsOn(id)
	s, known := Structure{}, false
	for i, p := range pins {
		if p.Kind != PinReference || p.Values["joist"] == "" {
			continue
		}
		if !known {
			s, known = StructureOf(r), true
		}
		pins[i] = s.named(p)
	}
	return pins
}

// Spare names the joist that would check a photo's references best: of those that its geometry shows inside the picture the one that is farthest from
// all of them, on the plan. Empty when they are checked already, without a structure, and when nothing is a quarter of the deck's width away.
func Spare(r Record, photo Photo, g PhotoPlane) string {
	s, fit := StructureOf(r), g.Fit
	if !g.Unchecked() || s.Count == 0 {
		return ""
	}
	var refs []plane.Point
	for _, pin := range r.PlacedOn(photo.ID) {
		if ref, ok := reference(r, photo, pin); ok {
			refs = append(refs, ref.Plan)
		}
	}
	best, far := "", float64(s.Width)/4
	for joist := 1; joist <= s.Count; joist++ {
		for _, at := range structureWords() {
			x, y, ok := s.Place(joist, at.Value)
			to := plane.Point{X: float64(x), Y: float64(y)}
			px, seen := fit.Project(to)
			if !ok || !seen || !inPicture(px.U/float64(photo.Width)) || !inPicture(px.V/float64(photo.Height)) {
				continue
			}
			near := math.Inf(1)
			for _, ref := range refs {
				near = min(near, math.Hypot(ref.X-to.X, ref.Y-to.Y))
			}
			if near > far {
				best, far = JoistName(joist, at.Value), near
			}
		}
	}
	return best
}
