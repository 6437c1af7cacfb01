package survey

import (
	"errors"
	"math"
	"slices"

	"undercroft/annotate/plane"
	"undercroft/calc/words"
)

// Located is a pin's plan position through the plane of its photo: inches with one standard deviation per axis, and the 95 % ellipse.
// Doubts are sentences for the person who measures.
type Located struct {
	X, Y, SX, SY float64
	Ellipse      plane.Ellipse
	Doubts       []string
}

// PM is the ± of 95 % that is shown beside the position: the ellipse's half axis, in inches.
func (l Located) PM() float64 { return l.Ellipse.A }

// PhotoPlane is the geometry of one photo, fitted from its reference pins. Fit is nil when there is none, and Problem says why. Doubts are
// sentences about the whole photo; Trusted is false when its references contradict each other, so that nothing may be located by it. Suspects
// are the numbers of the pins that seem to be the wrong ones, ascending.
type PhotoPlane struct {
	Fit        *plane.Photo
	References int
	Problem    string
	Doubts     []string
	Trusted    bool
	Suspects   []int
	Said       []words.Phrase `json:"-"` // the Problem, or else the Doubts, to be said in any language
}

// Geometry is the planes of a survey's photos.
type Geometry map[PhotoID]PhotoPlane

// tapShare is the standard deviation of a tap as a share of the picture's longer side: 4 pixels of a 12-megapixel photo's 4,000.
const tapShare = plane.DefaultTap / 4000

// leastReferences are needed for a plane; two alone would take the camera as held straight up.
const leastReferences = 4

// fitPhotos fits the plane of every photo that has reference pins with a plan position.
func fitPhotos(r Record) Geometry {
	g := Geometry{}
	for _, photo := range r.Photos {
		g[photo.ID] = fitPhoto(r, photo)
	}
	return g
}

func fitPhoto(r Record, photo Photo) PhotoPlane {
	var refs []plane.Reference
	for _, pin := range r.PlacedOn(photo.ID) {
		if ref, ok := reference(r, photo, pin); ok {
			refs = append(refs, ref)
		}
	}
	out := PhotoPlane{References: len(refs)}
	if photo.Width == 0 || photo.Height == 0 {
		return out.refused(words.Say("The size of its picture is not known."))
	}
	if len(refs) < leastReferences {
		return out.refused(words.Say("This photo has %d of the %d references that it takes to locate its pins: pin points whose place on the plan is known, not on one line.", len(refs), leastReferences))
	}
	options := plane.DefaultOptions()
	options.Handedness = plane.Mirrored // x to the right, y down the page, seen from below
	fit, err := plane.Fit(refs, image(photo), options)
	if err != nil {
		out = out.refused(planeProblem(err))
		if e, ok := errors.AsType[*plane.Error](err); ok && e.Blunder != nil {
			out.suspect(e.Blunder.Refs)
		}
		return out
	}
	out.Fit, out.Trusted = fit, true
	for _, w := range fit.Warnings {
		if w.Code == plane.CodeMisfit || w.Code == plane.CodeMirrored {
			out.Trusted = false
		}
		doubt := advice(w.Code, w.Refs)
		out.Doubts, out.Said = append(out.Doubts, doubt.String()), append(out.Said, doubt)
		out.suspect(w.Refs)
	}
	return out
}

// refused is a photo without a plane, and why.
func (p PhotoPlane) refused(why words.Phrase) PhotoPlane {
	p.Problem, p.Said = why.String(), []words.Phrase{why}
	return p
}

// suspect adds references under suspicion, each once.
func (p *PhotoPlane) suspect(refs []string) {
	for _, id := range refs {
		if n, ok := PinNumber(id); ok && !slices.Contains(p.Suspects, n) {
			p.Suspects = append(p.Suspects, n)
		}
	}
	slices.Sort(p.Suspects)
}

// reference is a reference pin whose plan position was typed.
func reference(r Record, photo Photo, pin Pin) (plane.Reference, bool) {
	if pin.Kind != PinReference {
		return plane.Reference{}, false
	}
	p := pinReader{pin, PinFields(r, pin.Kind)}
	x, okX := p.value("x")
	y, okY := p.value("y")
	pm, okPM := p.value("pm")
	if !okX || !okY || !okPM || pm.Number <= 0 {
		return plane.Reference{}, false
	}
	return plane.Reference{ID: InputID(pin.Number), Pixel: pixel(photo, pin.X, pin.Y), Plan: plane.Point{X: x.Number, Y: y.Number},
		SigmaPx: tapSigma(photo), SigmaIn: float64(deviation(pm.Number))}, true
}

func image(photo Photo) plane.Image {
	return plane.Image{Width: float64(photo.Width), Height: float64(photo.Height), F35: photo.Meta.Focal35}
}

func pixel(photo Photo, x, y float64) plane.Pixel {
	return plane.Pixel{U: x * float64(photo.Width), V: y * float64(photo.Height)}
}

func tapSigma(photo Photo) float64 { return tapShare * float64(max(photo.Width, photo.Height)) }

// planeProblem says why a photo has no plane.
func planeProblem(err error) words.Phrase {
	if e, ok := errors.AsType[*plane.Error](err); ok && e.Code.Advice() != "" {
		if e.Blunder != nil {
			return advice(e.Code, e.Blunder.Refs)
		}
		return words.Say(e.Code.Advice())
	}
	return words.Say("The references of this photo cannot be used.")
}

// advice is what to do about a finding of the geometry; references under suspicion are named by their pins' numbers.
func advice(code plane.Code, refs []string) words.Phrase {
	var pins []words.Phrase
	for _, id := range refs {
		if n, ok := PinNumber(id); ok {
			pins = append(pins, words.Say("pin %d", n))
		}
	}
	if len(pins) == 0 {
		return words.Say(code.Advice())
	}
	return words.Join(" ", words.Say(code.Advice()), words.Say("Look at %s.", words.Join(", ", pins...)))
}

// Locate finds the plan position of a pin of a photo; drop is how far below the joists' bottoms the pinned point hangs, in inches. The
// problem says why there is no position, empty when there is one.
func (g Geometry) Locate(photo Photo, pin Pin, drop float64) (at Located, problem string) {
	position, problem := g.position(photo, pin, drop)
	if problem != "" {
		return at, problem
	}
	return located(position), ""
}

func (g Geometry) position(photo Photo, pin Pin, drop float64) (position plane.Position, problem string) {
	p := g[photo.ID]
	switch {
	case p.Fit == nil:
		return position, p.Problem
	case !p.Trusted:
		return position, "The references of its photo contradict each other."
	}
	tap := plane.Tap{ID: InputID(pin.Number), Pixel: pixel(photo, pin.X, pin.Y), SigmaPx: tapSigma(photo)}
	position, err := p.Fit.LocateHanging(tap, drop, 0)
	if err != nil {
		return position, planeProblem(err).String()
	}
	return position, ""
}

func located(p plane.Position) Located {
	at := Located{X: p.X, Y: p.Y, SX: math.Sqrt(p.Cov[0][0]), SY: math.Sqrt(p.Cov[1][1]), Ellipse: p.Ellipse95()}
	for _, w := range p.Warnings {
		at.Doubts = append(at.Doubts, w.Code.Advice())
	}
	return at
}
