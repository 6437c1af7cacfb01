package survey

import (
	"fmt"
	"slices"
	"strings"

	"undercroft/annotate/plane"
)

// photosThat are the photos about which why says something.
func (v visit) photosThat(why func(Photo) (do string, broken bool)) []spot {
	var list []spot
	for _, p := range v.Photos {
		if do, broken := why(p); broken {
			list = append(list, spot{word: fmt.Sprintf("Photo %d", p.Number), do: do, photo: p.ID})
		}
	}
	return list
}

func (v visit) unshown() []spot {
	return v.photosThat(func(p Photo) (string, bool) { return p.Meta.Problem, !p.Shown() })
}

func (v visit) doubtful() []spot {
	return v.photosThat(func(p Photo) (string, bool) {
		doubts := append(slices.Clone(p.Meta.Warnings), v.doubts[p.ID]...)
		return strings.Join(doubts, " "), len(doubts) > 0
	})
}

func (v visit) unpinned() []spot {
	return v.photosThat(func(p Photo) (string, bool) { return "", len(v.PinsOn(p.ID)) == 0 })
}

func (v visit) contradicting() []spot {
	return v.photosThat(func(p Photo) (string, bool) {
		g := v.Geometry[p.ID]
		return strings.Join(append([]string{g.Problem}, g.Doubts...), " "), g.References >= leastReferences && !g.Trusted
	})
}

// Unchecked tells whether a photo's references fit and leave nothing to check them by: a wrong one among them would not show.
func (p PhotoPlane) Unchecked() bool {
	return p.Fit != nil && p.Trusted && (p.References == leastReferences || slices.Contains(p.Doubts, noCheck()))
}

// noCheck is the doubt of a photo whose references leave nothing to check by.
func noCheck() string { return plane.Code("no_check").Advice() }

func (v visit) unchecked() []spot {
	return v.photosThat(func(p Photo) (string, bool) {
		return "", v.Geometry[p.ID].Unchecked()
	})
}

func (v visit) weak() []spot {
	return v.photosThat(func(p Photo) (string, bool) {
		g := v.Geometry[p.ID]
		others := slices.DeleteFunc(slices.Clone(g.Doubts), func(d string) bool { return d == noCheck() })
		return strings.Join(others, " "), g.Trusted && len(others) > 0
	})
}

func (v visit) fewReferences() []spot {
	return v.photosThat(func(p Photo) (string, bool) {
		n := v.Geometry[p.ID].References
		return fmt.Sprintf("It has %d; its pins are located from %d on. Pins with a typed place need none.", n, leastReferences), n > 0 && n < leastReferences
	})
}
