package plane

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// The verdicts of a search. Nothing is ever dropped by the program: a person decides.
const (
	verdictBlunder     = "blunder"     // one error explains everything, and only one
	verdictAmbiguous   = "ambiguous"   // errors of different references explain it about equally well
	verdictUnnamed     = "unnamed"     // explained, but fewer than 4 degrees of freedom cannot name a culprit
	verdictUnexplained = "unexplained" // no single error explains it
)

// Blunder is what the search for one wrong reference found. Verdict is "blunder" when one error explains the misfit and only one, "ambiguous"
// when errors of different references explain it about equally well, "unnamed" when it is explained but too few references check each
// other to name one, and "unexplained". Refs are the suspects; Best is the best hypothesis, nil when nothing explains it; Hypotheses are the
// six best, also those that explain nothing.
type Blunder struct {
	Verdict    string
	Refs       []string
	Best       *Hypothesis
	Hypotheses []Hypothesis
}

// Named says whether one error, and only one, explains the misfit.
func (b *Blunder) Named() bool { return b != nil && b.Verdict == verdictBlunder }

// Hypothesis is one supposed error and the fit without it. Kind is "x" or "y" (one plan coordinate of Ref typed wrongly), "xy" (both, or
// the tap) or "swap" (Ref and Other exchanged). PhotoSays is where the fit puts Ref on the plan, SD its standard deviations in inches, and
// PinShould where the typed position appears on the photo, nil when it does not.
type Hypothesis struct {
	Kind       string
	Ref, Other string
	Omega      float64
	DOF        int
	PhotoSays  Point
	SD         Point
	PinShould  *Pixel

	freed int
}

const (
	notUsed       = 1e4 // inches: the sigma of a coordinate that a hypothesis frees
	freedPenalty  = 4.0 // of the score, for each freed coordinate
	rivalDistance = 7.0 // of the score, within which another culprit makes it ambiguous
	namingDOF     = 4   // of the full fit, under which accusations are too often wrong
	shownRivals   = 6
)

func (h *Hypothesis) score() float64 { return h.Omega + freedPenalty*float64(h.freed) }

// accepted says whether the references agree under the hypothesis. Without a degree of freedom they do always.
func (h *Hypothesis) accepted() bool {
	if h.DOF <= 0 {
		return true
	}
	return h.Omega <= chi2Quantile(h.DOF, z99)
}

// culprits names the references that a hypothesis is about, in a fixed order.
func (h *Hypothesis) culprits() string {
	names := []string{h.Ref, h.Other}
	slices.Sort(names)
	return strings.Join(names, "\x00")
}

// search fits every hypothesis of one error. Small numbers of references make exhaustive refits cheap, and large errors make linearised
// tests of the full fit unreliable; the penalties and limits were set by simulation.
type search struct {
	*problem
	ids  []string
	want Handedness
}

// swaps are the hypotheses that two references were exchanged.
func (s search) swaps() []Hypothesis {
	var list []Hypothesis
	for i := range s.obs {
		for j := range i {
			obs := slices.Clone(s.obs)
			a, b := obs[i], obs[j]
			obs[i].plan, obs[i].sx, obs[i].sy = b.plan, b.sx, b.sy
			obs[j].plan, obs[j].sx, obs[j].sy = a.plan, a.sx, a.sy
			if h, ok := s.try(Hypothesis{Kind: "swap", Ref: s.ids[i], Other: s.ids[j]}, obs, i, nil); ok {
				list = append(list, h)
			}
		}
	}
	return list
}

// typings are the hypotheses that coordinates of one reference were typed wrongly, or that it was tapped in the wrong place.
func (s search) typings() []Hypothesis {
	var list []Hypothesis
	for i := range s.obs {
		for _, kind := range []string{"x", "y", "xy"} {
			if kind == "xy" && len(s.obs) < 5 {
				continue
			}
			obs := slices.Clone(s.obs)
			if strings.Contains(kind, "x") {
				obs[i].sx = notUsed
			}
			if strings.Contains(kind, "y") {
				obs[i].sy = notUsed
			}
			if h, ok := s.try(Hypothesis{Kind: kind, Ref: s.ids[i], freed: len(kind)}, obs, i, s.others(i)); ok {
				list = append(list, h)
			}
		}
	}
	return list
}

// others are the indices without i, nil when fewer than 4 would be left.
func (s search) others(i int) []int {
	if len(s.obs) < 5 {
		return nil
	}
	var list []int
	for k := range s.obs {
		if k != i {
			list = append(list, k)
		}
	}
	return list
}

// try fits a hypothesis about reference i, starting from the references that it leaves alone. When that explains nothing, it tries once more
// with the freed coordinates moved to where the start puts them.
func (s search) try(h Hypothesis, obs []observation, i int, use []int) (Hypothesis, bool) {
	p := *s.problem
	p.obs, p.hypothesis = obs, true
	th, conditioning := p.start(use)
	if conditioning < degenerateUnder {
		return h, false
	}
	first, ok := s.fitted(h, &p, th, i)
	if ok && first.accepted() || !p.pullBack(&th, i, h.Kind) {
		return first, ok
	}
	if second, better := s.fitted(h, &p, th, i); better && second.accepted() {
		return second, true
	}
	return first, ok
}

// fitted fills a hypothesis from its fit; false when there is none, or it has the wrong handedness.
func (s search) fitted(h Hypothesis, p *problem, th unknowns, i int) (Hypothesis, bool) {
	e, err := p.solve(th)
	if err != nil {
		return h, false
	}
	if sense := e.handedness(); s.want != AnyHandedness && sense != s.want {
		return h, false
	}
	h.Omega, h.DOF = e.cost, e.dof()-h.freed
	if pin, err := e.locate(p.obs[i].pixel, p.obs[i].sp); err == nil {
		cov := e.inches(pin, 1)
		h.PhotoSays = Point{pin.at[0], pin.at[1]}
		h.SD = Point{math.Sqrt(cov[0][0]), math.Sqrt(cov[1][1])}
	}
	if px, ok := e.project(s.obs[i].plan); ok {
		h.PinShould = &px
	}
	return h, true
}

// pullBack moves a freed coordinate to where the start puts it when the typed place lies behind the horizon or at a very different distance:
// its sigma says that the value does not matter, but a linearisation far away would make that sigma too small on the photo. False when there
// is nothing to move.
func (p *problem) pullBack(th *unknowns, i int, kind string) bool {
	h := th.homography()
	at, ok := h.backProject(p.px.in(p.obs[i].pixel))
	if kind == "swap" || !ok {
		return false
	}
	if ratio := h.depth(p.plan.in(p.obs[i].plan)) / h.depth(at); ratio > 0.5 && ratio < 2 {
		return false
	}
	place := p.plan.out(at)
	for k, name := range []string{"x", "y"} {
		if strings.Contains(kind, name) {
			p.obs[i].plan[k] = place[k]
		}
	}
	return true
}

// judge sorts the hypotheses by score and gives the verdict; dof is that of the full fit.
func judge(list []Hypothesis, dof int) *Blunder {
	slices.SortStableFunc(list, func(a, b Hypothesis) int { return cmp.Compare(a.score(), b.score()) })
	b := &Blunder{Verdict: verdictUnexplained, Hypotheses: list[:min(len(list), shownRivals)]}
	at := slices.IndexFunc(list, func(h Hypothesis) bool { return h.accepted() })
	if at < 0 {
		return b
	}
	best := list[at]
	b.Best, b.Verdict, b.Refs = &best, verdictBlunder, withSuspects(nil, best)
	for _, h := range list[at+1:] {
		if h.accepted() && h.culprits() != best.culprits() && h.score() <= best.score()+rivalDistance {
			b.Verdict, b.Refs = verdictAmbiguous, withSuspects(b.Refs, h)
		}
	}
	if dof < namingDOF {
		b.Verdict = verdictUnnamed
	}
	return b
}

// suspects are the references under suspicion, nil without any.
func (b *Blunder) suspects() []string {
	if b == nil {
		return nil
	}
	return b.Refs
}

// withSuspects adds the references of a hypothesis that are not listed yet.
func withSuspects(refs []string, h Hypothesis) []string {
	for _, id := range []string{h.Ref, h.Other} {
		if id != "" && !slices.Contains(refs, id) {
			refs = append(refs, id)
		}
	}
	return refs
}
