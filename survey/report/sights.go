package report

import (
	"fmt"
	"math"
	"slices"

	"undercroft/survey"
	"undercroft/survey/report/draw"
)

// The figure of what the photos see: how far a wedge reaches from its camera, and how far from the deck a camera is still drawn; inches.
const (
	wedgeReach = 60
	sightReach = 120
	rimPoints  = 36
)

// sight is a camera on the plan: where it stood with the 95 % ellipse, and the half angle of what it sees across. Degrees from plan x towards
// plan y.
type sight struct {
	photo         int
	at            planPt
	heading, half float64
	rim           []planPt
}

// spot is a located pin or a reference on the plan.
type spot struct {
	number int
	at     planPt
	rim    []planPt
}

// sightsOf draws where the cameras stood and what the photos locate, house at the top; nil when no photo has its camera and nothing is located.
func sightsOf(r survey.Record, a survey.Assembly, size figureSize) *Drawn {
	cameras, pins := camerasOf(r, a), locatedSpots(r, a)
	if len(a.Input.Outline) < 3 || len(cameras)+len(pins) == 0 {
		return nil
	}
	s := sights{dr: &draw.Drawing{Title: "What the photos see"}}
	for _, c := range a.Input.Outline {
		s.outline = append(s.outline, planPt{float64(c.X), float64(c.Y)})
	}
	low, high := s.reach(cameras, pins)
	room := box(0, 0, deskW-2*figPad, deskH)
	if size == phone {
		room = box(0, 0, phoneW-2*figPad, phoneH)
	}
	s.k = min(maxPlanK, room.W()/(high.x-low.x), room.H()/(high.y-low.y))
	s.draw(cameras, pins, referenceSpots(r))
	s.dr.Desc = fmt.Sprintf("Plan of the deck, house at the top, with where %s and %s.", plural(len(cameras), "camera stood", "cameras stood"), plural(len(pins), "located pin", "located pins"))
	s.dr.View = s.dr.Extent().Grow(figPad)
	return drawn(s.dr)
}

// sights draws one such figure, k points per inch.
type sights struct {
	dr      *draw.Drawing
	k       float64
	outline []planPt
	place   draw.Placer
}

func (s *sights) p(q planPt) draw.Point { return pt(q.x*s.k, q.y*s.k) }

func (s *sights) ring(ring []planPt) []draw.Point {
	out := make([]draw.Point, len(ring))
	for i, q := range ring {
		out[i] = s.p(q)
	}
	return out
}

// reach is the box on the plan of all that is drawn.
func (s *sights) reach(cameras []sight, pins []spot) (low, high planPt) {
	all := slices.Clone(s.outline)
	for _, c := range cameras {
		all = append(all, c.rim...)
		all = append(all, c.wedge()...)
	}
	for _, p := range pins {
		all = append(all, p.at)
	}
	low, high = all[0], all[0]
	for _, q := range all {
		low, high = planPt{min(low.x, q.x), min(low.y, q.y)}, planPt{max(high.x, q.x), max(high.y, q.y)}
	}
	return low, high
}

// wedge is the triangle that a camera sees.
func (c sight) wedge() []planPt {
	corner := func(degrees float64) planPt {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		return planPt{c.at.x + wedgeReach*cos, c.at.y + wedgeReach*sin}
	}
	return []planPt{c.at, corner(c.heading - c.half), corner(c.heading + c.half)}
}

func (s *sights) draw(cameras []sight, pins, references []spot) {
	dashed := draw.Style{Pen: draw.Light, Ink: draw.Dark, Dash: []float64{3, 2}}
	for _, c := range cameras {
		s.dr.Polygon(s.ring(c.wedge()), draw.Style{Pen: draw.Thin, Ink: draw.Water, Fill: draw.WaterPale})
	}
	s.dr.Polygon(s.ring(s.outline), draw.Style{Pen: draw.Heavy})
	for _, q := range references {
		at := s.p(q.at)
		s.dr.Segments([][]draw.Point{{pt(at.X-2.5, at.Y), pt(at.X+2.5, at.Y)}, {pt(at.X, at.Y-2.5), pt(at.X, at.Y+2.5)}}, draw.Style{Pen: draw.Light})
	}
	for _, q := range pins {
		s.dr.Polygon(s.ring(q.rim), dashed)
		s.dr.Circle(s.p(q.at), 1.4, draw.Style{Fill: draw.Black})
	}
	for _, c := range cameras {
		s.dr.Polygon(s.ring(c.rim), dashed)
		s.dr.Circle(s.p(c.at), 2, draw.Style{Fill: draw.Water})
	}
	s.labels(cameras, pins)
	s.dr.Text(draw.Text{At: pt(s.p(s.outline[0]).X, s.p(s.outline[0]).Y-4), S: "House", Ink: draw.Dark})
}

// labels name the cameras, then the pins where there is room.
func (s *sights) labels(cameras []sight, pins []spot) {
	s.place.Bounds = s.dr.Extent().Grow(12)
	put := func(at draw.Point, clear float64, text string, bold bool) {
		t := draw.Text{S: text, Bold: bold, Anchor: draw.Middle, Halo: true}
		b := t.Box()
		var centers []draw.Point
		for _, d := range []float64{clear, clear + 5, clear + 10} {
			centers = append(centers, pt(at.X, at.Y+d), pt(at.X, at.Y-d), pt(at.X+d+b.W()/2-4, at.Y), pt(at.X-d-b.W()/2+4, at.Y))
		}
		if c, ok := s.place.Put(b.W(), b.H(), centers); ok {
			t.At = pt(c.X, c.Y+b.H()/2-1)
			s.dr.Text(t)
		}
	}
	for _, c := range cameras {
		s.place.Take(draw.Centered(s.p(c.at), 6, 6))
	}
	for _, p := range pins {
		s.place.Take(draw.Centered(s.p(p.at), 3, 3))
	}
	for _, c := range cameras {
		put(s.p(c.at), s.clear(c.at, c.rim), "photo "+itoa(c.photo), true)
	}
	for _, p := range pins {
		put(s.p(p.at), s.clear(p.at, p.rim), itoa(p.number), false)
	}
}

// clear is how far a label's middle stands off a point, so that it hides neither the point nor its ellipse.
func (s *sights) clear(at planPt, rim []planPt) float64 {
	far := 2.0
	for _, q := range rim {
		far = max(far, s.k*math.Hypot(q.x-at.x, q.y-at.y))
	}
	return far + 7
}

// camerasOf are the cameras of the photos whose geometry may be trusted, near enough to be drawn.
func camerasOf(r survey.Record, a survey.Assembly) []sight {
	var list []sight
	for _, photo := range r.Photos {
		p := a.Geometry[photo.ID]
		if p.Fit == nil || !p.Trusted || p.Fit.Pose == nil || p.Fit.Focal == nil || p.Fit.Focal.Exif <= 0 {
			continue
		}
		pose := p.Fit.Pose
		c := sight{photo: photo.Number, at: planPt{pose.X, pose.Y}, heading: pose.Heading, half: math.Atan(float64(photo.Width)/2/p.Fit.Focal.Exif) * 180 / math.Pi}
		e := pose.Ellipse95()
		c.rim = rimOf(c.at, e.A, e.B, e.Degrees)
		if nearDeck(a, c.at) {
			list = append(list, c)
		}
	}
	return list
}

// nearDeck tells whether a place lies within sightReach of the box round the deck.
func nearDeck(a survey.Assembly, at planPt) bool {
	var lowX, highX, lowY, highY float64
	for i, c := range a.Input.Outline {
		x, y := float64(c.X), float64(c.Y)
		if i == 0 {
			lowX, highX, lowY, highY = x, x, y, y
		}
		lowX, highX, lowY, highY = min(lowX, x), max(highX, x), min(lowY, y), max(highY, y)
	}
	return at.x > lowX-sightReach && at.x < highX+sightReach && at.y > lowY-sightReach && at.y < highY+sightReach
}

// locatedSpots are the pins whose place is by their photo alone, by number.
func locatedSpots(r survey.Record, a survey.Assembly) []spot {
	var list []spot
	for _, pin := range r.Pins {
		at, ok := a.Located[pin.ID]
		line := pinLineOf(r, pin)
		if ok && !line.typed && nearDeck(a, planPt{at.X, at.Y}) {
			list = append(list, spot{pin.Number, planPt{at.X, at.Y}, rimOf(planPt{at.X, at.Y}, at.Ellipse.A, at.Ellipse.B, at.Ellipse.Degrees)})
		}
	}
	return list
}

// referenceSpots are the references that have a typed place.
func referenceSpots(r survey.Record) []spot {
	var list []spot
	for _, pin := range r.Pins {
		if line := pinLineOf(r, pin); pin.Kind == survey.PinReference && line.typed {
			list = append(list, spot{number: pin.Number, at: planPt{line.x, line.y}})
		}
	}
	return list
}

// rimOf are points on the rim of an ellipse with half axes a and b inches, the longer one turned degrees from plan x towards plan y.
func rimOf(middle planPt, a, b, degrees float64) []planPt {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	rim := make([]planPt, rimPoints)
	for i := range rim {
		s, c := math.Sincos(2 * math.Pi * float64(i) / rimPoints)
		rim[i] = planPt{middle.x + a*c*cos - b*s*sin, middle.y + a*c*sin + b*s*cos}
	}
	return rim
}
