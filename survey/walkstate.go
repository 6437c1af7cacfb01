package survey

import (
	"fmt"
	"slices"
	"strings"
)

// WalkMark says how far a step of the walk list is.
type WalkMark string

// The marks of a step.
const (
	WalkOpen  WalkMark = "open"  // something is not said or not pinned
	WalkLater WalkMark = "later" // the same, and somebody has put it off
	WalkPhoto WalkMark = "photo" // all is said and pinned, a photo is missing
	WalkDone  WalkMark = "done"
)

// WalkState is a step with what there is of it. Answers are the facts of the step in its order, Found the number of pins of each sort that it wants,
// Photos the photo of each slot, with an empty ID where there is none. Nothing tells that somebody looked and found nothing to pin.
type WalkState struct {
	WalkStep
	Mark    WalkMark
	Answers []Resolved
	Found   []int
	Photos  []Photo
	Nothing bool
	Sum     JoistSum // of the joists' step
	Gist    string   // what was answered, in a few words
}

// Walk is the walk list of a survey.
func Walk(r Record) []WalkState {
	var list []WalkState
	for _, step := range WalkSteps(r) {
		s := WalkState{WalkStep: step, Nothing: r.Facts[NoneKey(step.Key)].Text == "yes"}
		for _, f := range step.Facts {
			s.Answers = append(s.Answers, resolve(r, f.Field))
		}
		for _, p := range step.Pins {
			s.Found = append(s.Found, p.count(r))
		}
		for _, slot := range step.Slots {
			photo, _ := r.Photo(PhotoID(r.Facts[SlotKey(slot.Key)].Text))
			s.Photos = append(s.Photos, photo)
		}
		if step.Key == "joists" {
			s.Sum = SumJoists(r)
		}
		s.Mark, s.Gist = s.mark(r), s.gist()
		list = append(list, s)
	}
	return list
}

// count is how many pins of this sort there are, each thing once, a row as many as it has.
func (p WalkPin) count(r Record) int {
	n := 0
	for _, pin := range r.Pins {
		if slices.Contains(p.Kinds, pin.Kind) && (p.counts == nil || p.counts(pin)) && r.OwnThing(pin) {
			n += pin.Count()
		}
	}
	return n
}

func (s WalkState) mark(r Record) WalkMark {
	switch {
	case !s.answered() || !s.pinned():
		if r.Facts[LaterKey(s.Key)].Text == "yes" {
			return WalkLater
		}
		return WalkOpen
	case slices.ContainsFunc(s.Photos, func(p Photo) bool { return p.ID == "" }):
		return WalkPhoto
	}
	return WalkDone
}

// answered tells whether all that is needed was said: an assumption is no answer. What is asked only of a wall is not needed of an open side. A count
// that differs from the sum is no answer either.
func (s WalkState) answered() bool {
	wall := true
	for i, f := range s.Facts {
		a := s.Answers[i]
		if strings.HasSuffix(f.Key, ".kind") {
			wall = a.Value.Choice == "wall"
		}
		if f.Needed && (!f.OnlyWall || wall) && a.State != FactKnown && a.State != FactDiffers {
			return false
		}
	}
	return !s.Sum.Differs
}

// pinned tells whether enough is pinned, or somebody said that there is nothing.
func (s WalkState) pinned() bool {
	if s.Nothing && s.None != "" && !slices.ContainsFunc(s.Found, func(n int) bool { return n > 0 }) {
		return true
	}
	for i, p := range s.Pins {
		if s.Found[i] < p.Least {
			return false
		}
	}
	return true
}

// gist says what was answered, found and, where there is nothing, that somebody looked. Empty when nobody has said anything.
func (s WalkState) gist() string {
	var parts []string
	wall := true
	for i, f := range s.Facts {
		a := s.Answers[i]
		if strings.HasSuffix(f.Key, ".kind") {
			wall = a.Value.Choice == "wall"
		}
		if a.Known() && a.State != FactAssumed && (!f.OnlyWall || wall) {
			parts = append(parts, f.short(a))
		}
	}
	found := 0
	for i, p := range s.Pins {
		if n := s.Found[i]; n > 0 {
			found += n
			parts = append(parts, fmt.Sprintf("%s: %d", lowerFirst(p.Label), n))
		}
	}
	if s.Nothing && found == 0 && s.None != "" {
		parts = append(parts, lowerFirst(s.None))
	}
	return strings.Join(parts, " · ")
}

// short says an answer in a few words.
func (f WalkFact) short(a Resolved) string {
	switch f.Type {
	case TypeYesNo:
		return lowerFirst(f.Label) + ": " + a.Value.Read
	case TypeChoice:
		return lowerFirst(a.Value.Read)
	case TypeCount:
		return a.Value.Read + " counted"
	}
	if f.Group == "Size" {
		return a.Value.Read
	}
	name := f.Label
	if _, after, ok := strings.Cut(name, ": "); ok {
		name = after
	}
	return lowerFirst(name) + " " + a.Value.Read
}

// lowerFirst makes a label's first letter small.
func lowerFirst(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToLower(text[:1]) + text[1:]
}

// WalkTally counts the steps that are done and the photos that fill a slot.
func WalkTally(list []WalkState) (done, steps, photos, slots int) {
	for _, s := range list {
		if s.Mark == WalkDone {
			done++
		}
		slots += len(s.Photos)
		for _, p := range s.Photos {
			if p.ID != "" {
				photos++
			}
		}
	}
	return done, len(list), photos, slots
}
