package plane

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// BundlePhoto is one photo of a bundle: the ID of each tap names the point that it shows.
type BundlePhoto struct {
	ID    string
	Image Image
	Taps  []Tap
}

// KnownPoint is a point whose plan position was measured, with the standard deviation per axis in inches.
type KnownPoint struct {
	ID      string
	Plan    Point
	SigmaIn float64
}

// Tie is knowledge about two points beside the photos; Inches is the distance between them where one is meant, SigmaIn the standard deviation.
type Tie struct {
	A, B    string
	Inches  float64
	SigmaIn float64
}

// BundleInput is what several photos of one deck show of its points. SameX and SameY tie pairs of equal plan x or y, such as two pins on one
// straight joist; Dist ties pairs of a known distance.
type BundleInput struct {
	Photos []BundlePhoto
	Known  []KnownPoint
	SameX  []Tie
	SameY  []Tie
	Dist   []Tie
}

// ties are all ties.
func (in BundleInput) ties() []Tie { return slices.Concat(in.SameX, in.SameY, in.Dist) }

// BundlePoint is one point of a bundle. Cov is as the weights say; see Bundle.Position for the one to use.
type BundlePoint struct {
	ID string
	Point
	Cov   Cov
	Known bool // it was measured
	Seen  int  // on how many photos
}

// Bundle is the adjustment of several photos at once; read its fields, do not change them.
type Bundle struct {
	Model      Model
	Points     []BundlePoint   // by id
	H          [][3][3]float64 // plan inches to pixels, one a photo in the order given, as in Photo
	Omega      float64
	DOF        int
	Iterations int
	CovScale   float64  // max(1, Omega/DOF) from 4 degrees of freedom on; not in Points[].Cov
	Lambda     float64  // of the lens of the first photo's camera
	Blunder    *Blunder // which known point may be typed wrongly; nil when there was no reason to search, or the bundle is too large to
	Warnings   []Warning
}

// Position is a point with its covariance times CovScale; false when the bundle has no such point.
func (b *Bundle) Position(id string) (Position, bool) {
	i, ok := slices.BinarySearchFunc(b.Points, id, func(p BundlePoint, id string) int { return cmp.Compare(p.ID, id) })
	if !ok {
		return Position{}, false
	}
	p := b.Points[i]
	return Position{Point: p.Point, Cov: Cov(mat2(p.Cov).scale(b.CovScale))}, true
}

// The bounds of a bundle: they keep the dense normal equations within seconds.
const (
	maxBundlePhotos = 40
	maxBundlePoints = 400
)

// network is a bundle being adjusted.
type network struct {
	in       BundleInput
	opt      Options
	model    Model
	ids      []string       // of the points, sorted
	index    map[string]int // of each id
	frame    similarity     // of the plan, for the points' unknowns
	photos   []*problem     // one a photo: normalisations, camera
	taps     [][]seen       // of each photo
	camera   []int          // of each photo: index of its camera
	cameras  []Image        // the distinct ones
	known    map[string]KnownPoint
	squareTo float64 // tolerance of the conditions of square pixels
}

// seen is one tap of one photo.
type seen struct {
	point int
	pixel vec2
	sp    float64
}

// FitBundle adjusts photos and points together (bundle adjustment of a plane: Hartley & Zisserman 18.1; Foerstner & Wrobel ch. 15): unknown are
// each photo's homography, each point's plan position, and the lens of each camera, photos of equal size and focal length being of one.
// Covariances take in everything that photos share. Errors: CodeBadInput, CodeTooFew for fewer than 4 known points on the photos,
// CodeWeakNetwork when photos do not hold together or the adjustment does not settle, CodeDegenerate for known points on one line.
func FitBundle(in BundleInput, opt Options) (*Bundle, error) {
	n, err := newNetwork(in, opt)
	if err != nil {
		return nil, err
	}
	start, err := n.start()
	if err != nil {
		return nil, err
	}
	solution, err := n.adjust(start)
	if err != nil {
		return nil, err
	}
	return n.report(solution), nil
}

func newNetwork(in BundleInput, opt Options) (*network, *Error) {
	n := &network{in: in, opt: opt, index: map[string]int{}, known: map[string]KnownPoint{}, squareTo: squareTolerance}
	if err := n.check(); err != nil {
		return nil, err
	}
	n.model = n.resolve()
	for _, k := range in.Known {
		n.known[k.ID] = k
		n.index[k.ID] = 0
	}
	for _, p := range in.Photos {
		for _, t := range p.Taps {
			n.index[t.ID] = 0
		}
	}
	for id := range n.index {
		n.ids = append(n.ids, id)
	}
	if len(n.ids) > maxBundlePoints {
		return nil, faultf(CodeBadInput, "%d points are more than the %d that can be adjusted at once", len(n.ids), maxBundlePoints)
	}
	slices.Sort(n.ids)
	for i, id := range n.ids {
		n.index[id] = i
	}
	for _, t := range in.ties() {
		if _, ok := n.index[t.A]; !ok {
			return nil, faultf(CodeBadInput, "a tie names the point %q, which is nowhere", t.A)
		}
		if _, ok := n.index[t.B]; !ok {
			return nil, faultf(CodeBadInput, "a tie names the point %q, which is nowhere", t.B)
		}
	}
	n.addPhotos()
	return n, nil
}

func (n *network) addPhotos() {
	for _, p := range n.in.Photos {
		at := slices.Index(n.cameras, p.Image)
		if at < 0 {
			at = len(n.cameras)
			n.cameras = append(n.cameras, p.Image)
		}
		n.camera = append(n.camera, at)
		var taps []seen
		for _, t := range p.Taps {
			taps = append(taps, seen{n.index[t.ID], vec2{t.Pixel.U, t.Pixel.V}, t.SigmaPx})
		}
		n.taps = append(n.taps, taps)
		n.photos = append(n.photos, &problem{model: n.model, image: p.Image, focal: p.Image.Focal(), opt: n.opt})
	}
}

// resolve is the richest model that every photo supports.
func (n *network) resolve() Model {
	if n.opt.Model != ModelAuto {
		return n.opt.Model
	}
	model := ModelHDK
	for _, p := range n.in.Photos {
		switch {
		case !p.Image.known():
			return ModelH
		case p.Image.Focal() == 0:
			model = ModelHD
		}
	}
	return model
}

// name of a photo for messages.
func (n *network) name(photo int) string {
	if id := n.in.Photos[photo].ID; id != "" {
		return "photo " + id
	}
	return fmt.Sprintf("photo %d", photo+1)
}

// report turns the solution into plan inches.
func (n *network) report(s *solution) *Bundle {
	b := &Bundle{Model: n.model, Omega: s.cost, DOF: s.rows - len(s.x), Iterations: s.iterations, CovScale: 1}
	if b.DOF >= scaleFromDOF {
		b.CovScale = math.Max(1, b.Omega/float64(b.DOF))
	}
	times := make([]int, len(n.ids))
	for k, p := range n.photos {
		th := n.unknowns(s.x, k)
		b.H = append(b.H, denormalise(th.homography(), p.px, p.plan))
		for _, t := range n.taps[k] {
			times[t.point]++
		}
		if e := (&estimate{problem: p, state: state{th: th}}); n.opt.Handedness != AnyHandedness && e.handedness() != n.opt.Handedness {
			b.Warnings = append(b.Warnings, Warning{Code: CodeMirrored, Message: n.name(k) + " is seen mirrored: points are swapped, or it is not from below"})
		}
	}
	for i, id := range n.ids {
		_, known := n.known[id]
		at := n.pointAt(i)
		cov := mat2{{s.cov.At(at, at), s.cov.At(at, at+1)}, {s.cov.At(at+1, at), s.cov.At(at+1, at+1)}}.scale(square(n.frame.scale))
		x := n.place(s.x, i)
		b.Points = append(b.Points, BundlePoint{ID: id, Point: Point{x[0], x[1]}, Cov: Cov(cov), Known: known, Seen: times[i]})
	}
	if n.model != ModelH {
		b.Lambda = s.x[n.cameraAt(0)]
	}
	if misfit(b.Omega, b.DOF) {
		b.Blunder = n.suspect(s.x, b.DOF)
		b.Warnings = append(b.Warnings, Warning{Code: CodeMisfit, Message: "taps and measurements disagree with each other" + b.Blunder.list(), Refs: b.Blunder.suspects()})
	}
	if b.DOF < 2 {
		b.Warnings = append(b.Warnings, Warning{Code: codeNoCheck, Message: "exactly determined: a wrong reference cannot be noticed; add one more reference"})
	}
	return b
}

// check refuses what cannot be adjusted.
func (n *network) check() *Error {
	if len(n.in.Photos) == 0 || len(n.in.Photos) > maxBundlePhotos {
		return faultf(CodeBadInput, "a bundle has 1 to %d photos, not %d", maxBundlePhotos, len(n.in.Photos))
	}
	for k, p := range n.in.Photos {
		if err := checkOptions(p.Image, n.opt); err != nil {
			return faultf(err.Code, "%s: %s", n.name(k), err.Message)
		}
		ids := map[string]bool{}
		for _, t := range p.Taps {
			if err := checkTap(t); err != nil {
				return faultf(err.Code, "%s: %s", n.name(k), err.Message)
			}
			if ids[t.ID] {
				return faultf(CodeBadInput, "%s shows the point %q twice", n.name(k), t.ID)
			}
			ids[t.ID] = true
		}
	}
	ids := map[string]bool{}
	for _, k := range n.in.Known {
		if !within(k.Plan.X, k.Plan.Y) || !sigma(k.SigmaIn) {
			return faultf(CodeBadInput, "point %s: a value is not a number, or out of range", k.ID)
		}
		if ids[k.ID] {
			return faultf(CodeBadInput, "there are two points %q", k.ID)
		}
		ids[k.ID] = true
	}
	return n.checkTies()
}

func (n *network) checkTies() *Error {
	for _, t := range n.in.ties() {
		switch {
		case t.A == t.B:
			return faultf(CodeBadInput, "a tie joins the point %q with itself", t.A)
		case !sigma(t.SigmaIn) || !(t.Inches >= 0 && t.Inches <= farthest):
			return faultf(CodeBadInput, "the tie of %q and %q: a value is out of range", t.A, t.B)
		}
	}
	return nil
}
