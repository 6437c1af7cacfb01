package survey

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
)

// Ring is a deck's outline while it is drawn: its corners in plan, in order, with the side of the outline before the change that each side comes from, so that what is
// known of a side goes along with it. Was is -1 for a side that is new. Editing gives a new Ring and leaves the old one as it is.
type Ring struct {
	Corners []calc.Point
	Was     []int
}

// DrawnOutline is the survey's outline as it stands, ready to be edited; empty while neither corners nor width and projection are known.
func DrawnOutline(r Record) Ring {
	ring := Ring{Corners: slices.Clone(corners(r))}
	for i := range ring.Corners {
		ring.Was = append(ring.Was, i)
	}
	return ring
}

// Sides are the outline's sides, named as everywhere else.
func (g Ring) Sides() []Side {
	list := make([]Side, len(g.Corners))
	for i, from := range g.Corners {
		list[i] = Side{From: from, To: g.Corners[(i+1)%len(g.Corners)]}
	}
	return list
}

// Length is the side's length in plan, in inches.
func (s Side) Length() length.Inches { return s.length() }

// Heading says which way the side runs: along the house or out from it.
func (s Side) Heading() string { return s.heading() }

// side checks a side's number, from 0.
func (g Ring) side(i int) (Side, error) {
	if i < 0 || i >= len(g.Corners) {
		return Side{}, Errorf(Invalid, "There is no side %d.", i+1)
	}
	return g.Sides()[i], nil
}

// Lengthen gives side i a length in inches. The side after it goes along, and the one after that takes up the difference; in a rectangle that is the opposite side. Invalid when
// the length is not over 0 or the outline would cross itself.
func (g Ring) Lengthen(i int, to length.Inches) (Ring, error) {
	s, err := g.side(i)
	if err != nil {
		return Ring{}, err
	}
	if to <= 0 {
		return Ring{}, Errorf(Invalid, "A side is longer than nothing: write its length as 12' 6\".")
	}
	was := s.length()
	dx, dy := (s.To.X-s.From.X)/was*(to-was), (s.To.Y-s.From.Y)/was*(to-was)
	out, n := g.clone(), len(g.Corners)
	moved := []int{(i + 1) % n, (i + 2) % n}
	if n == 3 {
		moved = moved[:1]
	}
	for _, k := range moved {
		out.Corners[k] = calc.Point{X: out.Corners[k].X + dx, Y: out.Corners[k].Y + dy}
	}
	return out.fromHouse().checked()
}

// Jog is a step in a side: it begins From inches from the side's first corner, goes Depth inches to the inside of the deck (outside when negative) and runs Width inches
// before it comes back; with Width 0 it runs to the side's end, which makes an L.
type Jog struct{ From, Width, Depth length.Inches }

// AddJog puts a jog into side i. Invalid when it does not fit on the side, has no depth, or the outline would cross itself.
func (g Ring) AddJog(i int, j Jog) (Ring, error) {
	s, err := g.side(i)
	if err != nil {
		return Ring{}, err
	}
	whole := s.length()
	switch {
	case j.Depth == 0:
		return Ring{}, Errorf(Invalid, "Say how deep the jog is.")
	case j.From < 0 || j.From >= whole || j.Width < 0:
		return Ring{}, Errorf(Invalid, "The jog begins after %s, but the side is %s long.", j.From, whole)
	case j.Width == 0 && j.From == 0:
		return Ring{}, Errorf(Invalid, "A jog over the whole side moves the side: change the length of the side beside it.")
	case j.Width > 0 && j.From+j.Width > whole:
		return Ring{}, Errorf(Invalid, "The jog ends after %s, but the side is %s long.", j.From+j.Width, whole)
	}
	ux, uy := (s.To.X-s.From.X)/whole, (s.To.Y-s.From.Y)/whole
	nx, ny := g.inward(ux, uy)
	at := func(along, in length.Inches) calc.Point {
		return calc.Point{X: s.From.X + ux*along + nx*in, Y: s.From.Y + uy*along + ny*in}
	}
	step := []calc.Point{at(j.From, 0), at(j.From, j.Depth)}
	end := whole
	if j.Width > 0 {
		end = j.From + j.Width
	}
	out := Ring{}
	for k, c := range g.Corners {
		if k == (i+1)%len(g.Corners) && j.Width == 0 {
			c = at(whole, j.Depth)
		}
		out.Corners, out.Was = append(out.Corners, c), append(out.Was, g.Was[k])
		if k != i {
			continue
		}
		out.Corners = append(out.Corners, step...)
		out.Was = append(out.Was, g.Was[k], g.Was[k]) // the step and what runs on are of the side that was cut
		if j.Width > 0 {
			out.Corners = append(out.Corners, at(end, j.Depth), at(end, 0))
			out.Was = append(out.Was, g.Was[k], g.Was[k])
		}
	}
	return out.merged().fromHouse().checked()
}

// inward is the unit normal to the inside of the deck for a side that runs along (ux, uy).
func (g Ring) inward(ux, uy length.Inches) (nx, ny length.Inches) {
	if g.area() > 0 {
		return -uy, ux
	}
	return uy, -ux
}

// area is the outline's area in square inches by the shoelace formula, over 0 when it goes round from the house's left end along the house.
func (g Ring) area() float64 {
	sum := 0.0
	for _, s := range g.Sides() {
		sum += float64(s.From.X)*float64(s.To.Y) - float64(s.To.X)*float64(s.From.Y)
	}
	return sum / 2
}

// Remove takes corner i away: its two sides become one. Invalid when fewer than three corners would be left or the outline would cross itself.
func (g Ring) Remove(i int) (Ring, error) {
	if _, err := g.side(i); err != nil {
		return Ring{}, err
	}
	if len(g.Corners) <= 3 {
		return Ring{}, Errorf(Invalid, "An outline has three corners at least.")
	}
	out := g.clone()
	out.Corners, out.Was = slices.Delete(out.Corners, i, i+1), slices.Delete(out.Was, i, i+1)
	return out.fromHouse().checked()
}

// squareWithin is how far a side may be from along or out, as the tangent of the angle, to be made straight by Square: 5 degrees.
var squareWithin = math.Tan(5 * math.Pi / 180)

// Square makes every side that is nearly along the house or nearly out from it exactly so. Corners that such sides join come to the mean of their places; the corners at the
// house stay at the house.
func (g Ring) Square() (Ring, error) {
	out := g.clone()
	snap := func(get func(*calc.Point) *length.Inches, joined func(Side) bool) {
		group := make([]int, len(g.Corners))
		for i := range group {
			group[i] = i
		}
		for i, s := range g.Sides() {
			if joined(s) {
				a, b := group[i], group[(i+1)%len(group)]
				for k := range group {
					if group[k] == b {
						group[k] = a
					}
				}
			}
		}
		for i := range group {
			var sum length.Inches
			n, house := 0, false
			for k := range group {
				if group[k] == group[i] {
					v := *get(&g.Corners[k])
					sum, n, house = sum+v, n+1, house || v == 0
				}
			}
			*get(&out.Corners[i]) = sum / length.Inches(n)
			if house {
				*get(&out.Corners[i]) = 0
			}
		}
	}
	steep := func(a, b length.Inches) bool { return math.Abs(float64(a)) <= squareWithin*math.Abs(float64(b)) }
	snap(func(p *calc.Point) *length.Inches { return &p.X }, func(s Side) bool { return steep(s.To.X-s.From.X, s.To.Y-s.From.Y) })
	snap(func(p *calc.Point) *length.Inches { return &p.Y }, func(s Side) bool { return steep(s.To.Y-s.From.Y, s.To.X-s.From.X) })
	return out.merged().fromHouse().checked()
}

func (g Ring) clone() Ring { return Ring{slices.Clone(g.Corners), slices.Clone(g.Was)} }

// merged leaves out corners that lie where the one before does, and those in the middle of a straight side of one origin.
func (g Ring) merged() Ring {
	const same = 1e-9
	out := Ring{}
	for i, c := range g.Corners {
		before := g.Corners[(i+len(g.Corners)-1)%len(g.Corners)]
		if math.Hypot(float64(c.X-before.X), float64(c.Y-before.Y)) < same {
			if n := len(out.Was); n > 0 {
				out.Was[n-1] = g.Was[i]
			}
			continue
		}
		out.Corners, out.Was = append(out.Corners, c), append(out.Was, g.Was[i])
	}
	return out
}

// fromHouse moves the outline so that its leftmost corner lies at 0 along and the one nearest the house at 0 out.
func (g Ring) fromHouse() Ring {
	if len(g.Corners) == 0 {
		return g
	}
	low := g.Corners[0]
	for _, c := range g.Corners {
		low.X, low.Y = min(low.X, c.X), min(low.Y, c.Y)
	}
	out := g.clone()
	for i := range out.Corners {
		out.Corners[i].X -= low.X
		out.Corners[i].Y -= low.Y
	}
	return out
}

// checked refuses an outline that nothing could be built under.
func (g Ring) checked() (Ring, error) {
	list := g.Sides()
	if len(list) < 3 {
		return Ring{}, Errorf(Invalid, "An outline has three corners at least.")
	}
	for i, a := range list {
		for k, b := range list[i+1:] {
			if k == 0 || i == 0 && i+1+k == len(list)-1 { // they share a corner
				continue
			}
			if sidesCross(a, b) {
				return Ring{}, Errorf(Invalid, "The outline would cross itself: side %d, %s, meets side %d, %s.", i+1, a.length(), i+k+2, b.length())
			}
		}
	}
	if math.Abs(g.area()) < 1 {
		return Ring{}, Errorf(Invalid, "The outline would enclose nothing.")
	}
	return g, nil
}

// sidesCross tells whether two sides have a point in common.
func sidesCross(a, b Side) bool {
	turn := func(p, q, r calc.Point) float64 {
		return float64(q.X-p.X)*float64(r.Y-p.Y) - float64(q.Y-p.Y)*float64(r.X-p.X)
	}
	within := func(s Side, p calc.Point) bool {
		return p.X >= min(s.From.X, s.To.X) && p.X <= max(s.From.X, s.To.X) && p.Y >= min(s.From.Y, s.To.Y) && p.Y <= max(s.From.Y, s.To.Y)
	}
	d1, d2, d3, d4 := turn(a.From, a.To, b.From), turn(a.From, a.To, b.To), turn(b.From, b.To, a.From), turn(b.From, b.To, a.To)
	if d1*d2 < 0 && d3*d4 < 0 {
		return true
	}
	return d1 == 0 && within(a, b.From) || d2 == 0 && within(a, b.To) || d3 == 0 && within(b, a.From) || d4 == 0 && within(b, a.To)
}

// Text is the outline as the fact "outline" keeps it: a corner a line, exact.
func (g Ring) Text() string {
	lines := make([]string, len(g.Corners))
	for i, c := range g.Corners {
		lines[i] = exactLength(c.X) + ", " + exactLength(c.Y)
	}
	return strings.Join(lines, "\n")
}

// exactLength writes a length so that it is read as the very same: as a tape shows it where that is exact, else in decimal inches.
func exactLength(l length.Inches) string {
	if text := l.String(); l >= 0 {
		if back, err := length.Parse(text); err == nil && back == l {
			return text
		}
	}
	return strconv.FormatFloat(float64(l), 'f', -1, 64) + `"`
}

// OutlineFacts are the facts that make a ring the survey's outline: its corners, and what is known of each side under the side's new number. The
// pins that name a side by its number come with them, changed where the number is another now; a pin whose side is gone keeps nothing of it.
func OutlineFacts(r Record, g Ring) (facts []Fact, pins []Pin) {
	fact := func(key, text string) {
		if now := r.Facts[key]; now.Text != text {
			facts = append(facts, Fact{Survey: r.Survey.ID, Key: key, Text: text, Version: now.Version})
		}
	}
	fact("outline", g.Text())
	for i := range max(len(g.Was), len(sides(r))) {
		for _, name := range []string{"kind", "surface", "wall_end", "member_drop"} {
			text := ""
			if i < len(g.Was) && g.Was[i] >= 0 && (name != "wall_end" || g.first(i)) {
				text = r.Facts[edgeKey(g.Was[i], name)].Text
			}
			fact(edgeKey(i, name), text)
		}
	}
	for _, p := range r.Pins {
		if edge, ok := p.Values["edge"]; ok && p.Kind == PinWall && edge != "" {
			if moved := g.renamed(edge); moved != edge {
				values := map[string]string{}
				for k, v := range p.Values {
					values[k] = v
				}
				values["edge"] = moved
				p.Values = values
				pins = append(pins, p)
			}
		}
	}
	return facts, pins
}

// first tells whether side i is the first of those that come from the same side.
func (g Ring) first(i int) bool { return slices.Index(g.Was, g.Was[i]) == i }

// renamed is a side's new number, empty when it is gone.
func (g Ring) renamed(edge string) string {
	was, err := strconv.Atoi(edge)
	if err != nil {
		return edge
	}
	if i := slices.Index(g.Was, was); i >= 0 {
		return strconv.Itoa(i)
	}
	return ""
}

// ParseRing reads an outline's text; Was of every side is its own number. Invalid when it cannot be read or crosses itself.
func ParseRing(text string) (Ring, error) {
	v, err := readCorners(text)
	if err != nil {
		return Ring{}, err
	}
	g := Ring{Corners: v.Corners}
	for i := range g.Corners {
		g.Was = append(g.Was, i)
	}
	return g.checked()
}

// SideName names side i of the ring for a list: its number, length and way.
func (g Ring) SideName(i int) string {
	s := g.Sides()[i]
	return fmt.Sprintf("Side %d, %s %s", i+1, s.length().Typeset(), s.heading())
}
