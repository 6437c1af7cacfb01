package survey

import (
	"fmt"
	"math"
	"strconv"

	"undercroft/calc"
	"undercroft/calc/length"
)

// Side is one side of the deck's outline, from corner From to corner To in plan, with the words a person knows it by.
type Side struct {
	Label    string
	From, To calc.Point
	atHouse  bool // it lies along the house
}

// rectangleSides are the names of a rectangle's sides, as seen facing the house.
func rectangleSides() []string {
	return []string{"House side", "Right side", "Outer side", "Left side"}
}

// corners are the outline's corners: the typed ones, else the rectangle of width and projection, else none.
func corners(r Record) []calc.Point {
	for _, f := range sizeFields() {
		if f.Key == "outline" {
			if outline := resolve(r, f); outline.Known() {
				return outline.Value.Corners
			}
		}
	}
	var size [2]Resolved
	for i, f := range sizeFields()[:2] {
		size[i] = resolve(r, f)
		if !size[i].Known() {
			return nil
		}
	}
	w, p := size[0].Value.Inches(), size[1].Value.Inches()
	return []calc.Point{{}, {X: w}, {X: w, Y: p}, {Y: p}}
}

// sides names the sides of the outline. A rectangle's sides have names even before its size is known.
func sides(r Record) []Side {
	ring := corners(r)
	list := make([]Side, 0, len(ring))
	if len(ring) == 0 {
		for i, name := range rectangleSides() {
			list = append(list, Side{Label: name, atHouse: i == 0})
		}
		return list
	}
	plain, house := isPlainRectangle(ring), ring[0].Y
	for _, c := range ring {
		house = min(house, c.Y)
	}
	for i, from := range ring {
		side := Side{From: from, To: ring[(i+1)%len(ring)]}
		side.atHouse = side.From.Y == house && side.To.Y == house
		if plain {
			side.Label = rectangleSides()[i]
		} else {
			side.Label = fmt.Sprintf("Side %d, %s %s", i+1, side.length(), side.heading())
		}
		list = append(list, side)
	}
	return list
}

// isPlainRectangle tells whether a ring starts at the house's left corner and runs along the house, out, back and home.
func isPlainRectangle(ring []calc.Point) bool {
	if len(ring) != 4 {
		return false
	}
	a, b, c, d := ring[0], ring[1], ring[2], ring[3]
	return a.Y == b.Y && b.X == c.X && c.Y == d.Y && d.X == a.X && b.X > a.X && c.Y > b.Y
}

// length is the side's length in plan.
func (s Side) length() length.Inches {
	return length.Inches(math.Hypot(float64(s.To.X-s.From.X), float64(s.To.Y-s.From.Y)))
}

// along tells whether the side runs along the house rather than out from it.
func (s Side) along() bool {
	return math.Abs(float64(s.To.X-s.From.X)) >= math.Abs(float64(s.To.Y-s.From.Y))
}

func (s Side) heading() string {
	if s.along() {
		return "along the house"
	}
	return "out from the house"
}

// split finds the point on the side that is a given distance from its house end, or from its left end when it runs along the house, and
// whether that end is From. ok is false when the distance does not lie inside the side.
func (s Side) split(distance length.Inches) (at calc.Point, fromFirst, ok bool) {
	total := s.length()
	if distance <= 0 || distance >= total {
		return calc.Point{}, false, false
	}
	fromFirst = s.From.Y <= s.To.Y
	if s.along() {
		fromFirst = s.From.X <= s.To.X
	}
	start, end := s.From, s.To
	if !fromFirst {
		start, end = end, start
	}
	// Unit steps keep a corner on a side that runs straight along or out exact.
	ux, uy := (end.X-start.X)/total, (end.Y-start.Y)/total
	return calc.Point{X: start.X + ux*distance, Y: start.Y + uy*distance}, fromFirst, true
}

// SideOptions are the sides of the survey's outline as the options of a choice, by their number from 0.
func SideOptions(r Record) []Option {
	var options []Option
	for i, s := range sides(r) {
		options = append(options, Option{strconv.Itoa(i), s.Label})
	}
	return options
}

// PinFields are the fields of a kind of pin in this survey: those of KindInfo, with the choices that depend on the deck filled in.
func PinFields(r Record, kind PinKind) []Field {
	info, _ := KindInfo(kind)
	fields := append([]Field(nil), info.Fields...)
	for i, f := range fields {
		if kind == PinWall && f.Key == "edge" {
			fields[i].Options = SideOptions(r)
		}
	}
	return fields
}
