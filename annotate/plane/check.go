package plane

import "math"

// The bounds of what is taken for a measurement: over 80,000 ft or a million pixels is a slip.
const (
	farthest      = 1e6
	maxReferences = 40 // a wrong one is sought by refitting every pair
)

// check refuses what cannot be measured with.
func check(refs []Reference, image Image, opt Options) *Error {
	if err := checkOptions(image, opt); err != nil {
		return err
	}
	if len(refs) > maxReferences {
		return faultf(CodeBadInput, "%d references on one photo are more than the %d that can be checked", len(refs), maxReferences)
	}
	seen := map[string]bool{}
	for i, r := range refs {
		switch {
		case !within(r.Pixel.U, r.Pixel.V, r.Plan.X, r.Plan.Y):
			return faultf(CodeBadInput, "reference %d (%s): a coordinate is not a number, or out of range", i+1, r.ID)
		case !sigma(r.SigmaPx) || !sigma(r.SigmaIn):
			return faultf(CodeBadInput, "reference %d (%s): a sigma must be over 0", i+1, r.ID)
		case seen[r.ID]:
			return faultf(CodeBadInput, "there are two references %q", r.ID)
		}
		seen[r.ID] = true
	}
	return nil
}

func checkTap(t Tap) *Error {
	if !within(t.Pixel.U, t.Pixel.V) {
		return faultf(CodeBadInput, "pin %s: a coordinate is not a number, or out of range", t.ID)
	}
	if !sigma(t.SigmaPx) {
		return faultf(CodeBadInput, "pin %s: its sigma must be over 0", t.ID)
	}
	return nil
}

func checkOptions(image Image, opt Options) *Error {
	switch {
	case image != (Image{}) && !(image.Width >= 1 && image.Height >= 1 && image.Width <= farthest && image.Height <= farthest):
		return faultf(CodeBadInput, "the picture's width and height must be from 1 to %g pixels", farthest)
	case !(image.F35 >= 0) || image.F35 > 1e5:
		return faultf(CodeBadInput, "the 35 mm focal length must be over 0")
	case opt.Handedness != AnyHandedness && opt.Handedness != Same && opt.Handedness != Mirrored:
		return faultf(CodeBadInput, "handedness is %q or %q, not %q", Same, Mirrored, opt.Handedness)
	case !(opt.SigmaZ >= 0 && opt.SigmaZ <= farthest):
		return faultf(CodeBadInput, "the joists' unevenness must not be negative")
	case !sigma(opt.SigmaLambda) || !(opt.SigmaF >= 0 && opt.SigmaF <= 1) || !sigma(opt.SigmaPP) || !(opt.TiltDegrees >= 0 && opt.TiltDegrees < 90):
		return faultf(CodeBadInput, "an option's sigma is out of range")
	}
	switch opt.Model {
	case ModelAuto, ModelH:
	case ModelHD:
		if !image.known() {
			return faultf(CodeBadInput, "model HD needs the picture's width and height")
		}
	case ModelHDK:
		if image.Focal() == 0 {
			return faultf(CodeBadInput, "model HDK needs the picture's width, height and 35 mm focal length")
		}
	default:
		return faultf(CodeBadInput, "there is no model %q", opt.Model)
	}
	return nil
}

func within(values ...float64) bool {
	for _, v := range values {
		if !(math.Abs(v) <= farthest) {
			return false
		}
	}
	return true
}

func sigma(v float64) bool { return v > 0 && v <= farthest }
