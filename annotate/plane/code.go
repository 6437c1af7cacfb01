package plane

import "fmt"

// Code names a fault or a doubt; the values are those of the JSON answer.
type Code string

// The codes. Those of the first group are errors: there is no answer. The second stand on a photo or a bundle, the third on a pin; of
// these CodeHorizon and codeNoPose always, and CodeNearHorizon sometimes, leave the pin without a position. Those that a caller decides by
// are exported; the others are only to be told, by their Advice.
const (
	CodeBadInput    Code = "bad_input"    // a value that is not finite, out of range, repeated or missing
	CodeTooFew      Code = "too_few"      // fewer than 2 references, or 3
	CodeDegenerate  Code = "degenerate"   // references on one line: conditioning under 0.002
	CodeOrder       Code = "order"        // a reference would lie behind the horizon: two are swapped
	CodeWeakNetwork Code = "weak_network" // photos that do not hold together

	CodeMirrored   Code = "mirrored"    // the plan's sense is the wrong one
	CodeMisfit     Code = "misfit"      // references disagree beyond the 99.9 % quantile
	CodeFocal      Code = "focal"       // the references contradict Exif's focal length
	codeNoCheck    Code = "no_check"    // fewer than 2 degrees of freedom
	codeWeakLayout Code = "weak_layout" // conditioning under 0.01
	codeWeakFit    Code = "weak_fit"    // a reference's rel_w over 0.01
	codeScaleOnly  Code = "scale_only"  // two references: the camera is taken as straight up

	CodeHorizon      Code = "horizon"       // beyond the horizon of the plane
	codeNoPose       Code = "no_pose"       // the camera's place is needed and not known
	CodeNearHorizon  Code = "near_horizon"  // rel_w over 0.05; over 0.3 without a position
	codeExtrapolated Code = "extrapolated"  // outside the references by more than half their rms radius
	codeRefsDominate Code = "refs_dominate" // the references' part is over twice the tap's
	codeFarFromRefs  Code = "far_from_refs" // scale-only: over one base length from the references
)

// Advice is what to tell the person who measures, in English; empty for a code that is not known.
func (c Code) Advice() string {
	switch c {
	case CodeTooFew:
		return "Measure at least 4 reference points (6 is better)."
	case CodeDegenerate:
		return "Reference points are on one line."
	case codeWeakLayout:
		return "Nearly on one line: add one well off it."
	case codeWeakFit:
		return "A reference is too far away to hold the photo; measure nearer ones."
	case CodeOrder, CodeMirrored:
		return "Two references seem swapped, or the photo is not from below."
	case codeNoCheck:
		return "A wrong reference cannot be noticed: add one."
	case CodeMisfit:
		return "References disagree: check what was typed and tapped."
	case CodeFocal:
		return "Photo seems cropped or zoomed, or a reference is wrong."
	case CodeHorizon:
		return "This pin is above the horizon of the deck plane."
	case CodeNearHorizon:
		return "Seen too flat: true error may be larger."
	case codeExtrapolated:
		return "Outside the references."
	case codeRefsDominate:
		return "Measure a reference near this pin."
	case codeScaleOnly, codeFarFromRefs:
		return "Straight-up photo assumed; rough."
	case CodeWeakNetwork:
		return "The photos do not hold together: add pins that neighboring photos share, not on one line, and references at both ends."
	case codeNoPose:
		return "Where the camera stood is not known: the photo needs its focal length."
	}
	return ""
}

// Error is why there is no answer. Blunder is there when a search for a swapped reference was made (CodeOrder).
type Error struct {
	Code    Code
	Message string
	Blunder *Blunder
}

// Error gives the code, then the message.
func (e *Error) Error() string { return string(e.Code) + ": " + e.Message }

func faultf(code Code, format string, args ...any) *Error {
	return &Error{Code: code, Message: fmt.Sprintf(format, args...)}
}

// Warning is a doubt about an answer that is given all the same. Pin is the pin's id, empty when the doubt is about the whole photo.
// Refs are the references under suspicion; Value is the figure that was judged: rel_w (weak_fit, near_horizon), inches
// (extrapolated, far_from_refs), a ratio (refs_dominate, focal) or conditioning (weak_layout), and 0 for the others.
type Warning struct {
	Code    Code
	Message string
	Pin     string
	Refs    []string
	Value   float64
}
