package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undercroft/calc/length"
)

// The limits of the rule about seams: how well a thing must be known, in inches at 95 %, and the chances of a notch between which it is open.
const (
	knownRoughly = 2.0
	chanceLeast  = 0.05
	chanceMost   = 0.95
)

// leastLevels are needed to see how the frame lies: three points make a plane.
const leastLevels = 3

// unknown is the spot of one fact that nobody said.
func (v visit) unknown(key string) []spot {
	if v.Ceiling.Facts.Get(key).Known() || v.Ceiling.Facts.Get(key).State == FactConflict {
		return nil
	}
	return []spot{{fact: key}}
}

func (v visit) missingFacts() []spot {
	var list []spot
	for _, f := range v.Findings {
		resolved := v.Ceiling.Facts.Get(f.Fact)
		if f.Severity == SeverityMissing && f.Fact != "" && f.Fact != "built_before_1978" && resolved.State == FactMissing {
			list = append(list, spot{word: resolved.Field.Label, do: f.Do, fact: f.Fact})
		}
	}
	return list
}

// disputed are all other findings that keep the ceiling from being computed: facts and places whose sources contradict each other.
func (v visit) disputed() []spot {
	return v.findings(func(f Finding) bool {
		return f.Severity == SeverityMissing && (f.Fact == "" || v.Ceiling.Facts.Get(f.Fact).State != FactMissing)
	})
}

func (v visit) differing() []spot {
	return v.findings(func(f Finding) bool {
		return f.Severity == SeverityCheck && f.Fact != "" && v.Ceiling.Facts.Get(f.Fact).State == FactDiffers
	})
}

// leftOut are the findings of a survey that no other rule tells: pins that do not count, and what is asked about them.
func (v visit) leftOut() []spot {
	return v.findings(func(f Finding) bool {
		return f.Severity == SeverityCheck && (f.Fact == "" || v.Ceiling.Facts.Get(f.Fact).State != FactDiffers) && !strings.HasSuffix(f.Fact, ".surface")
	})
}

func (v visit) findings(which func(Finding) bool) []spot {
	var list []spot
	for _, f := range v.Findings {
		if which(f) {
			list = append(list, spot{word: f.Text, do: f.Do, fact: f.Fact, pin: f.Pin})
		}
	}
	return list
}

// bareWalls are the walls whose surface nobody said, or called unknown.
func (v visit) bareWalls() []spot {
	var list []spot
	for i, side := range sides(v.Record) {
		key := edgeKey(i, "surface")
		surface := v.Ceiling.Facts.Get(key)
		if v.Ceiling.Facts.Get(edgeKey(i, "kind")).Value.Choice == "wall" && (surface.State == FactMissing || surface.Value.Choice == "unknown") {
			list = append(list, spot{word: side.Label, fact: key})
		}
	}
	return list
}

func (v visit) fewLevels() []spot {
	switch n := len(v.Input.Heights); {
	case n == 0 || n >= leastLevels:
		return nil
	case n == 1:
		return []spot{{word: "one level was"}}
	default:
		return []spot{{word: fmt.Sprintf("%d levels were", n)}}
	}
}

func (v visit) unconfirmed() []spot {
	if v.Ceiling.Facts.Get(confirmedKey).Value.Choice == "yes" {
		return nil
	}
	return []spot{{fact: confirmedKey}}
}

func (v visit) refused() []spot {
	if v.Refusal == "" {
		return nil
	}
	return []spot{{word: v.pinWords(v.Refusal)}}
}

// blocked are the calculator's issues that stop the job, but those that another rule tells.
func (v visit) blocked() []spot {
	var list []spot
	if v.Plan == nil {
		return nil
	}
	for _, issue := range v.Plan.Issues {
		if issue.Severity != "blocking" || issue.Rule == "surface-unknown" {
			continue
		}
		s := spot{word: sentence(v.pinWords(issue.Text))}
		for _, id := range issue.About {
			if n, ok := PinNumber(id); ok && s.pin == "" {
				s.pin = v.numbered(n).ID
			}
		}
		if issue.Rule == "exhaust-above" && v.ventTold(s.pin) {
			continue
		}
		list = append(list, s)
	}
	return list
}

// ventTold tells whether the questions about what will be covered stop for a pin already.
func (v visit) ventTold(pin PinID) bool {
	return slices.ContainsFunc(v.covered, func(s CoverState) bool { return s.Finding.Severity == SeverityMissing && s.Finding.Pin == pin })
}

// pinWords writes the calculator's ids as pins: "p7" becomes "pin 7".
func (v visit) pinWords(text string) string {
	words := strings.Split(text, " ")
	for i, word := range words {
		bare := strings.TrimRight(word, ".,;:?")
		if n, ok := PinNumber(bare); ok {
			words[i] = fmt.Sprintf("pin %d", n) + word[len(bare):]
		}
	}
	return strings.Join(words, " ")
}

// sentence makes a capital first letter and a full stop.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	text = strings.ToUpper(text[:1]) + text[1:]
	if !strings.ContainsAny(text[len(text)-1:], ".?!") {
		text += "."
	}
	return text
}

// numbered finds a pin by its number; the zero Pin when there is none.
func (v visit) numbered(n int) Pin {
	for _, p := range v.Pins {
		if p.Number == n {
			return p
		}
	}
	return Pin{}
}

func (v visit) drained() bool {
	return slices.ContainsFunc(v.Pins, func(p Pin) bool {
		return p.Kind == PinWater && (p.Values["what"] == "downspout" || p.Values["what"] == "discharge")
	})
}

// nearSeams are the things known only roughly that a carrier may or may not meet; of a row or of several carriers the likeliest.
func (v visit) nearSeams() []spot {
	if v.Plan == nil {
		return nil
	}
	chances, pms, order := map[int]float64{}, map[int]float64{}, []int{}
	for _, z := range v.Plan.Zones {
		for _, notch := range z.Notches {
			n, ok := PinNumber(notch.Obstruction)
			pm := v.knownWithin(notch.Obstruction)
			if !ok || pm <= knownRoughly || notch.Probability < chanceLeast || notch.Probability > chanceMost {
				continue
			}
			if _, seen := chances[n]; !seen {
				order = append(order, n)
			}
			chances[n], pms[n] = max(chances[n], notch.Probability), pm
		}
	}
	var list []spot
	for _, n := range order {
		pin := v.numbered(n)
		info, _ := KindInfo(pin.Kind)
		list = append(list, spot{word: fmt.Sprintf("%s %d is known only ± %s and a seam is near: the chance of a notch is %.0f %%.", info.Label, n,
			length.Inches(pms[n]).Nearest16().Typeset(), 100*chances[n]), pin: pin.ID})
	}
	return list
}

// knownWithin is the ± of 95 % of a thing of the calculator's input, in inches.
func (v visit) knownWithin(id string) float64 {
	for _, o := range v.Input.Obstructions {
		if o.ID == id {
			return deviations95 * math.Max(float64(o.SX), float64(o.SY))
		}
	}
	return 0
}

// coverSpots are the answers whose finding has a severity; answer is which, empty for any.
func (v visit) coverSpots(severity Severity, answer string) []spot {
	var list []spot
	for _, s := range v.covered {
		if s.Finding.Severity == severity && s.Finding.Text != "" && (answer == "" || s.Answer == answer) {
			list = append(list, spot{word: s.Finding.Text, do: s.Finding.Do, fact: s.Key})
		}
	}
	return list
}

// unanswered are the questions that nobody has answered, as one spot that leads to the first.
func (v visit) unanswered() []spot {
	var labels []string
	first := ""
	for _, s := range v.covered {
		if s.Answer == "" {
			labels = append(labels, s.Label)
			if first == "" {
				first = s.Key
			}
		}
	}
	switch len(labels) {
	case 0:
		return nil
	case 1:
		return []spot{{word: "What we will cover: not answered: " + labels[0] + ".", fact: first}}
	}
	return []spot{{word: fmt.Sprintf("What we will cover: %d questions are not answered.", len(labels)), do: "Look, and answer yes, no or not seen: only on site can anybody look. Open are: " + strings.Join(labels, "; ") + ".", fact: first}}
}

// foundSomething are the questions answered yes, with what must be done before it is covered.
func (v visit) foundSomething() []spot {
	var list []spot
	for _, s := range v.covered {
		if s.Answer != AnswerYes || s.Finding.Severity == SeverityMissing {
			continue
		}
		do := strings.TrimSpace(s.Finding.Text + " " + s.Finding.Do)
		if s.Photo == 0 {
			do += " No photo is named that shows it."
		}
		list = append(list, spot{word: s.Label + ": yes.", do: do, fact: s.Key})
	}
	return list
}

// openQuestions are the questions between staff that wait for an answer.
func (v visit) openQuestions() []spot {
	var list []spot
	for _, t := range v.OpenThreads() {
		list = append(list, spot{word: fmt.Sprintf("%s asks about %s: %s", t.Last().By, t.First().About, clipText(t.Last().Text, 200))})
	}
	return list
}
