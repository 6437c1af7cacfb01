package calc

import (
	"fmt"
	"math"
	"strings"

	"undercroft/calc/length"
	"undercroft/calc/words"
)

// backFall is the rise of a frame away from the house, in inches per foot, from which its deck is said to drain to the wall: half a
// sixteenth, below which measuring cannot tell.
const backFall = 1.0 / 32

func frameRules() []careRule {
	return []careRule{
		always("structure", noSource, words.Say("every ceiling hung from a deck"), words.Say("Structure is for a licensed professional. This plan takes the deck as sound and able to carry the ceiling; joists, beams, ledger, "+
			"hangers and their fasteners are never cut, and repairs come first.")),
		always("screw-screening", "NDS 2018 12.2.2.1, equation 12.2-2", words.Say("the screw check"), words.Say("The screw check is a screening, no design. It looks at withdrawal alone, with factors for wet wood and lasting load; not at prying, "+
			"split strips, old holes or the joists.")),
		always("covered", noSource, words.Say("what the ceiling will cover"), words.Say("Look at everything that will be covered, and photograph it. Rot, rust, a loose ledger, missing flashing, loose guard posts and leaks are repaired before "+
			"the ceiling, not after.")),
		{"pre-drill", sourceLeadNDS + "; screw roots NDS 2018 table L3", (*site).leadHoles},
		{"strip-ends", noSource, func(s *site) (words.Phrase, words.Phrase) {
			if screws, _ := s.furringScrews(); screws == 0 {
				return words.Phrase{}, words.Phrase{}
			}
			return words.Say("ripped furring strips"), words.Say("Ripped strips split at their ends. Pre-drill the end screws, keep them 1 1/2 in from the end and out of knots, and join strips on joists only.")
		}},
		{"drains-to-house", noSource, func(s *site) (words.Phrase, words.Phrase) {
			if rise := s.plan.Plane.C * 12; rise > backFall {
				return words.Say("a frame that falls %s per foot toward the house", length.Inches(rise)), words.Say("The deck above drains to the house. The ceiling carries its own water away, but what runs down the deck meets " +
					"the wall and the ledger: have flashing and boards looked at before they are covered.")
			}
			return words.Phrase{}, words.Phrase{}
		}},
		onCondition("existing-ceiling", noSource, conditionCeiling, words.Say("a ceiling that is there already"), words.Say("An old ceiling hides what holds the deck. Take it down and look before this plan is trusted; what was measured from it is not "+
			"the joists.")),
		onCondition("membrane", noSource, conditionMembrane, words.Say("a membrane under the boards"), words.Say("Screws from below may pierce a membrane. Keep screws out of its reach, and see where its water goes: not between membrane and ceiling.")),
	}
}

// furringScrews counts the furring screws and gives the longest, in inches.
func (s *site) furringScrews() (count int, longest float64) {
	for _, z := range s.plan.Zones {
		count += z.FurringScrews
		longest = max(longest, z.FurringScrew)
	}
	return count, longest
}

// rootDiameter is the root of a wood screw, in inches, from its outside diameter: NDS 2018 table L3, numbers 6 to 14; for others two
// thirds, as the Wood Handbook (FPL-GTR-190, p. 8-10) has it on average.
func rootDiameter(d float64) float64 {
	for _, l3 := range [][2]float64{{0.138, 0.113}, {0.151, 0.122}, {0.164, 0.131}, {0.177, 0.142}, {0.190, 0.152}, {0.216, 0.171}, {0.242, 0.196}} {
		if math.Abs(d-l3[0]) < 5e-4 {
			return l3[1]
		}
	}
	return d * 2 / 3
}

// leadShare is the lead hole for withdrawal as a share of the root diameter: none up to G 0.5, about 70 % up to 0.6, about 90 % above.
func leadShare(gravity float64) float64 {
	switch {
	case gravity > 0.6:
		return 0.9
	case gravity > 0.5:
		return 0.7
	}
	return 0
}

// leadHoles applies to furring screws in joists of dense wood.
func (s *site) leadHoles() (trigger, text words.Phrase) {
	share := leadShare(s.in.Joists.SpecificGravity)
	count, _ := s.furringScrews()
	if share == 0 || count == 0 {
		return words.Phrase{}, words.Phrase{}
	}
	hole := share * rootDiameter(float64(s.sys.FurringScrewDiameter))
	return words.Say("joists of specific gravity %.2f", s.in.Joists.SpecificGravity),
		words.Say("This wood is dense: drill lead holes for the furring screws. About %.0f %% of the screw's root, here %.3f in, the nearest bit %s; as deep as the thread goes.",
			share*100, hole, nearestBit(hole))
}

// nearestBit is a diameter to the nearest 1/64 in.
func nearestBit(d float64) string {
	n, den := int(math.Round(d*64)), 64
	for n%2 == 0 && n > 0 && den > 1 {
		n, den = n/2, den/2
	}
	return fmt.Sprintf("%d/%d in", n, den)
}

func waterRules() []careRule {
	return []careRule{
		{"rain", "5-minute storm, an assumption unless the survey says otherwise; IPC 2018 appendix B lists 1-hour storms, which are weaker", func(s *site) (words.Phrase, words.Phrase) {
			text := []words.Phrase{words.Say("Gutters meet short bursts, not the hour's average.")}
			if s.in.Rain.InchesPerHour == 7 {
				text = append(text, words.Say("It is the program's own assumption until someone looks up the place."))
			}
			text = append(text, words.Say("A heavier storm runs over the gutter's front; see that it can do no harm there."))
			return words.Say("gutters sized for %g in/h", s.in.Rain.InchesPerHour), words.Join(" ", text...)
		}},
		always("what-it-catches", noSource, words.Say("every ceiling below a deck"), words.Say("This ceiling catches rain that falls through the boards, and no more. Wind-driven rain at open sides, condensation, splash and ice get past it; it is not the "+
			"roof of a room.")),
		{"air", noSource, (*site).air},
		{"dig", "from memory", func(s *site) (words.Phrase, words.Phrase) {
			for _, z := range s.plan.Zones {
				if z.Gutter.Downspouts > 0 {
					return words.Say("downspouts"), words.Say("Call 811 before you dig for a downspout's drain. Water goes where it harms neither foundation nor neighbor.")
				}
			}
			return words.Phrase{}, words.Phrase{}
		}},
	}
}

// air names the sides that leave the space above the ceiling open.
func (s *site) air() (trigger, text words.Phrase) {
	var open []string
	for i, e := range s.in.Edges {
		if e.Kind == EdgeOpen {
			open = append(open, fmt.Sprint(i+1))
		}
	}
	sides := words.Say("no side of this deck is open")
	if len(open) > 0 {
		sides = words.Say("open sides here: %s", strings.Join(open, ", "))
	}
	return words.Say("a closed underside"), words.Say("A closed underside needs air, or wet wood rots. The gap at the low edge stays open; say which other edges do (%s, counted from the outline's first corner), and "+
		"seal none of them by habit.", sides)
}
