package plane

import "errors"

// Answer reads a JSON document and gives the JSON answer. The document is either one photo,
//
//	{"refs": [{"id", "px", "py", "x", "y", "sigma_px": 4, "sigma_in": 0.125}], "pins": [{"id", "px", "py", "sigma_px": 4, "drop_in": 0}],
//	 "image": {"w", "h", "f35"}, "options": {"model": "H" | "HD" | "HDK", "sigma_lambda": 0.01, "sigma_f": 0.03, "sigma_pp": 0.01, "sigma_z": 0,
//	 "handedness": "same" | "mirrored", "mirror": false, "tilt_deg": 5, "length_in"}, "distances": [["P1", "P2"]]}
//
// or a bundle: {"photos": [{"id", "image", "obs": [pins]}], "points": [{"id", "x", "y", "sigma_in"}], "same_x" and "same_y": [{"a", "b",
// "sigma_in"}], "dist": [{"a", "b", "in", "sigma_in"}], "image", "options"}. Pixels are of the upright picture, plan places in inches, sigmas
// one standard deviation, ellipses 95 %. With options.length_in, the length between exactly two references that have no place, only
// distances are answered. The error is an *Error.
func Answer(data []byte) ([]byte, error) {
	doc, err := parse(data)
	if err != nil {
		return nil, err
	}
	if err := doc.Options.check(); err != nil {
		return nil, err
	}
	image, err := doc.Image.image()
	if err != nil {
		return nil, err
	}
	var out any
	if doc.Photos != nil {
		out, err = doc.bundle(image)
	} else {
		out, err = doc.photo(image)
	}
	if err != nil {
		return nil, err
	}
	return encode(out)
}

// photo answers a document of one photo.
func (d *document) photo(image Image) (any, *Error) {
	if d.Points != nil || d.SameX != nil || d.SameY != nil || d.Dist != nil {
		return nil, faultf(CodeBadInput, "points and ties belong to photos, and there is no list of photos")
	}
	along := d.Options.LengthIn
	if along != nil && (len(d.Refs) != 2 || !(*along > 0)) {
		return nil, faultf(CodeBadInput, "options.length_in is a length over 0 between exactly two references")
	}
	var refs []Reference
	for i, r := range d.Refs {
		ref, err := r.reference(i, along)
		if err != nil {
			return nil, err
		}
		refs = append(refs, ref)
	}
	taps, err := readTaps(d.Pins)
	if err != nil {
		return nil, err
	}
	p, fault := Fit(refs, image, d.Options.options())
	if fault != nil {
		return nil, asError(fault)
	}
	pins, warnings, err := d.locate(p, taps)
	if err != nil {
		return nil, err
	}
	distances, err := d.distances(p, taps)
	if err != nil {
		return nil, err
	}
	return d.assemble(p, pins, distances, warnings), nil
}

func (d *document) assemble(p *Photo, pins []pinOut, distances []distanceOut, warnings []warningOut) any {
	if !p.ScaleOnly {
		out := p.out()
		out.Pins, out.Distances, out.Warnings = pins, distances, append(out.Warnings, warnings...)
		return out
	}
	out := scaleOut{Mode: "scale", InchPerPx: number(p.InchPerPixel), Pins: pins, Distances: distances, Warnings: append(warningsOut(p.Warnings), warnings...)}
	if p.scale.tilt == 0 {
		out.Label = "scale guess"
	}
	if d.Options.LengthIn != nil {
		out.Mode, out.Pins = "distance", nil
	}
	return out
}

// asError is the package's own error inside another.
func asError(err error) *Error {
	var e *Error
	if errors.As(err, &e) {
		return e
	}
	return faultf(CodeBadInput, "%v", err)
}

// readTaps reads pins; their ids must differ.
func readTaps(pins []pinDoc) ([]Tap, *Error) {
	var taps []Tap
	ids := map[string]bool{}
	for i, p := range pins {
		t, err := p.tap(i)
		if err == nil {
			err = checkTap(t)
		}
		if err != nil {
			return nil, err
		}
		if ids[t.ID] {
			return nil, faultf(CodeBadInput, "there are two pins %q", t.ID)
		}
		ids[t.ID] = true
		taps = append(taps, t)
	}
	return taps, nil
}

// locate answers every pin, those without a position by the code of their error.
func (d *document) locate(p *Photo, taps []Tap) ([]pinOut, []warningOut, *Error) {
	pins, warnings := []pinOut{}, []warningOut{}
	for i, t := range taps {
		out := pinOut{ID: t.ID}
		at, err := p.Locate(t)
		if drop := d.Pins[i]; err == nil && (drop.DropIn != nil || drop.SigmaDropIn != nil) {
			out.Apparent = &[2]number{number(at.X), number(at.Y)}
			at, err = p.LocateHanging(t, orElse(drop.DropIn, 0), orElse(drop.SigmaDropIn, 0))
		}
		if err != nil {
			e := asError(err)
			if e.Code == CodeBadInput {
				return nil, nil, faultf(CodeBadInput, "pin %s: %s", t.ID, e.Message)
			}
			pins = append(pins, pinOut{ID: t.ID, Error: e.Code})
			warnings = append(warnings, Warning{Code: e.Code, Message: e.Message, Pin: t.ID}.bare())
			continue
		}
		cov, ellipse := square2(at.Cov), ellipseOf(at.Cov)
		out.X, out.Y, out.Cov, out.Ellipse95 = some(at.X), some(at.Y), &cov, &ellipse
		if !p.ScaleOnly {
			out.WRatio, out.RelW, out.OutsideHull = some(at.WRatio), some(at.RelW), some(at.OutsideHull)
			out.SigmaTap, out.SigmaRefs = some(at.SigmaTap), some(at.SigmaRefs)
		}
		pins = append(pins, out)
		warnings = append(warnings, warningsOut(at.Warnings)...)
	}
	return pins, warnings, nil
}

// bare is a warning without a figure.
func (w Warning) bare() warningOut {
	return warningOut{Code: w.Code, Message: w.Message, Pin: w.Pin, Advice: w.Code.Advice()}
}

// distances answers the pairs that are asked for.
func (d *document) distances(p *Photo, taps []Tap) ([]distanceOut, *Error) {
	byID := map[string]Tap{}
	for _, t := range taps {
		byID[t.ID] = t
	}
	var list []distanceOut
	for _, names := range d.Distances {
		if len(names) != 2 {
			return nil, faultf(CodeBadInput, "a distance is asked for by two pins, not %d", len(names))
		}
		out := distanceOut{Pins: [2]string(names)}
		a, ok1 := byID[names[0]]
		b, ok2 := byID[names[1]]
		if !ok1 || !ok2 {
			return nil, faultf(CodeBadInput, "a distance is asked for between %s, and they are not both pins", pair(out.Pins))
		}
		inches, sigma, err := p.Distance(a, b)
		if err != nil {
			out.Error = asError(err).Code
		} else {
			out.In, out.Sigma = some(inches), some(sigma)
		}
		list = append(list, out)
	}
	return list, nil
}

// bundle answers a document of several photos.
func (d *document) bundle(image Image) (any, *Error) {
	if d.Refs != nil || d.Pins != nil || d.Distances != nil || d.Options.LengthIn != nil {
		return nil, faultf(CodeBadInput, "a list of photos goes with points and ties, not with refs, pins, distances or length_in")
	}
	in, err := d.bundleInput(image)
	if err != nil {
		return nil, err
	}
	b, fault := FitBundle(in, d.Options.options())
	if fault != nil {
		return nil, asError(fault)
	}
	out := bundleOut{
		Mode: "bundle", Blunder: b.Blunder.out(), Model: b.Model, Points: []pointOut{}, H: [][3][3]number{}, Omega: number(b.Omega), DOF: b.DOF, Iterations: b.Iterations,
		CovScale: number(b.CovScale), Warnings: warningsOut(b.Warnings),
	}
	for _, h := range b.H {
		out.H = append(out.H, square3(h))
	}
	if b.Model != ModelH {
		out.Lambda = some(b.Lambda)
	}
	for _, p := range b.Points {
		scaled, _ := b.Position(p.ID)
		out.Points = append(out.Points, pointOut{p.ID, number(p.X), number(p.Y), square2(p.Cov), ellipseOf(scaled.Cov), p.Seen})
	}
	return out, nil
}

func (d *document) bundleInput(image Image) (BundleInput, *Error) {
	var in BundleInput
	for _, p := range d.Photos {
		photo, err := p.photo(image)
		if err != nil {
			return in, err
		}
		in.Photos = append(in.Photos, photo)
	}
	for _, p := range d.Points {
		k, err := p.known()
		if err != nil {
			return in, err
		}
		in.Known = append(in.Known, k)
	}
	for _, list := range []struct {
		from []tieDoc
		to   *[]Tie
		read func(tieDoc) (Tie, *Error)
	}{{d.SameX, &in.SameX, tieDoc.same}, {d.SameY, &in.SameY, tieDoc.same}, {d.Dist, &in.Dist, tieDoc.distance}} {
		for _, t := range list.from {
			tie, err := list.read(t)
			if err != nil {
				return in, err
			}
			*list.to = append(*list.to, tie)
		}
	}
	return in, nil
}

// photo reads one photo; image is that of the document, which it may replace.
func (d photoDoc) photo(image Image) (BundlePhoto, *Error) {
	p := BundlePhoto{ID: d.ID, Image: image}
	var err *Error
	if d.Image != nil {
		if p.Image, err = d.Image.image(); err != nil {
			return p, err
		}
	}
	for _, o := range d.Obs {
		if o.ID == "" || o.DropIn != nil || o.SigmaDropIn != nil {
			return p, faultf(CodeBadInput, "an observation names its point by id, and has no drop")
		}
	}
	p.Taps, err = readTaps(d.Obs)
	return p, err
}

func (d pointDoc) known() (KnownPoint, *Error) {
	k := KnownPoint{ID: d.ID, SigmaIn: orElse(d.SigmaIn, DefaultTape)}
	var err *Error
	if k.Plan.X, err = need(d.X, "point "+d.ID+": x"); err != nil {
		return k, err
	}
	k.Plan.Y, err = need(d.Y, "point "+d.ID+": y")
	return k, err
}

// usualTie is how straight a member is taken to be, in inches.
const usualTie = 0.25

// same reads a tie of equal coordinates.
func (d tieDoc) same() (Tie, *Error) {
	if d.In != nil {
		return Tie{}, faultf(CodeBadInput, "the tie of %s has a length, and is not one", pair([2]string{d.A, d.B}))
	}
	return Tie{A: d.A, B: d.B, SigmaIn: orElse(d.SigmaIn, usualTie)}, nil
}

// distance reads a tie of a known distance.
func (d tieDoc) distance() (Tie, *Error) {
	inches, err := need(d.In, "dist of "+pair([2]string{d.A, d.B})+": in")
	return Tie{d.A, d.B, inches, orElse(d.SigmaIn, DefaultTape)}, err
}
