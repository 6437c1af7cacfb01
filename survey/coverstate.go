package survey

import (
	"slices"
	"strconv"

	"undercroft/calc/length"
	"undercroft/calc/words"
)

// CoverState is a question with what was answered. Answer is empty when nobody has; Photo is the number of the photo that shows it, 0 for none.
// Finding is what that calls for, with an empty Text when nothing; Rule names the rule and the source behind it.
type CoverState struct {
	CoverQuestion
	Answer  string
	Photo   int
	Finding Finding
	Rule    string
}

// Covered says for every question what was answered and what that calls for. A flue or exhaust that is pinned is judged by its pin,
// whatever was answered: one that would end above the ceiling is a SeverityMissing finding.
func Covered(r Record, c Ceiling) []CoverState {
	var list []CoverState
	for _, q := range CoverQuestions() {
		s := CoverState{CoverQuestion: q, Answer: r.Facts[q.Key].Text}
		if !slices.ContainsFunc(answers(), func(o Option) bool { return o.Value == s.Answer }) {
			s.Answer = ""
		}
		if n, err := strconv.Atoi(r.Facts[q.Key+photoSuffix].Text); err == nil && slices.ContainsFunc(r.Photos, func(p Photo) bool { return p.Number == n }) {
			s.Photo = n
		}
		s.judge(r, c)
		list = append(list, s)
	}
	return list
}

// judge fills in what an answer and the pins about it call for.
func (s *CoverState) judge(r Record, c Ceiling) {
	pins := fixturePins(r, s.Sort)
	switch {
	case s.vents() && (len(pins) > 0 || s.Answer == AnswerYes):
		s.Finding = ventFinding(r, c, s.CoverQuestion, pins)
	case s.Answer == AnswerYes:
		s.Finding = newFinding(SeverityCheck, s.Caution.Said.Only(words.First), s.Caution.Said.Only(words.Rest), "", "")
	}
	if s.Finding.Severity != SeverityMissing {
		switch {
		case s.Answer == AnswerNotSeen && s.Finding.Text == "":
			s.Finding = newFinding(SeverityCheck, words.Say("%s: nobody could look.", words.Say(s.Label)),
				words.Join(" ", words.Say("Look before it is covered, or say in the scope that it was not seen."), s.Caution.Said), "", "")
		case s.Answer == AnswerNo && len(pins) > 0:
			s.Finding = newFinding(SeverityCheck, words.Say("%s: answered no, but pin %d shows one.", words.Say(s.Label), pins[0].Number), words.Say("Correct the answer or the pin."), "", pins[0].ID)
		}
	}
	if s.Finding.Text == "" {
		return
	}
	s.Finding.Fact = s.Key
	s.Rule = "rule " + s.Caution.Rule + " · source: " + s.Caution.Source
}

// fixturePins are the fixture pins of a sort, each thing once.
func fixturePins(r Record, sort string) []Pin {
	var pins []Pin
	for _, p := range r.Pins {
		if _, again := sameAs(r, p); sort != "" && p.Kind == PinFixture && p.Values["sort"] == sort && !again {
			pins = append(pins, p)
		}
	}
	return pins
}

// ventFinding judges where flues or exhausts end; of several the worst counts. One that nobody has pinned may end anywhere.
func ventFinding(r Record, c Ceiling, q CoverQuestion, pins []Pin) Finding {
	if len(pins) == 0 {
		return newFinding(SeverityMissing, words.Say("%s: nobody has pinned where it ends.", words.Say(q.Label)),
			words.Join(" ", words.Say("Pin it on a photo with how far below the joists it ends: it must not end above the ceiling."), q.Caution.Said), "", "")
	}
	worst := ventPin(r, c, q, pins[0])
	for _, p := range pins[1:] {
		if f := ventPin(r, c, q, p); f.Severity == SeverityMissing && worst.Severity != SeverityMissing {
			worst = f
		}
	}
	return worst
}

// ventDeferral ends what is said of a flue or exhaust that ends below the ceiling.
func ventDeferral() words.Phrase { return words.Say("Local code and licensed practice come first.") }

// ventPin judges where one flue or exhaust ends.
func ventPin(r Record, c Ceiling, q CoverQuestion, pin Pin) Finding {
	p := pinReader{pin, PinFields(r, pin.Kind)}
	name := words.Say("flue")
	if q.Sort == "exhaust" {
		name = words.Say("exhaust")
	}
	drop, known := p.value("drop")
	deepest, computed := deepestUnderside(c)
	stop := func(text, do words.Phrase) Finding { return newFinding(SeverityMissing, text, do, "", pin.ID) }
	check := func(text, do words.Phrase) Finding { return newFinding(SeverityCheck, text, do, "", pin.ID) }
	switch {
	case p.choice("state") == "moved":
		return check(words.Say("The %s of pin %d is to be moved.", name, pin.Number), words.Join(" ", words.Say("It is moved by a licensed trade before the ceiling closes."), q.Caution.Said))
	case p.choice("at") == "ground" || p.choice("through") == "yes":
		return check(words.Say("The %s of pin %d ends below the ceiling.", name, pin.Number), words.Join(" ", words.Say("It must blow out freely into the open, with its maker's clearances."), ventDeferral()))
	case !known:
		return stop(words.Say("Nobody has said how far below the joists the %s of pin %d ends.", name, pin.Number), words.Join(" ", words.Say("Tape it and type it on the pin: it must not end above the ceiling."), q.Caution.Said))
	case !computed:
		return check(words.Say("Where the %s of pin %d ends cannot be judged before there is a ceiling.", name, pin.Number), words.Join(" ", words.Say("Complete the survey first."), q.Caution.Said))
	case drop.Inches() <= deepest:
		return stop(words.Say("The %s of pin %d would end above the ceiling, %s below the joists.", name, pin.Number, drop.Read),
			words.Say("The ceiling's underside hangs as far as %s below them. %s", deepest.Typeset(), q.Caution.Said))
	}
	return check(words.Say("The %s of pin %d ends %s below the joists, under the ceiling.", name, pin.Number, drop.Read),
		words.Say("The ceiling's underside hangs at most %s below them. Lead it past the outer edge, or say in the scope that it stays and blows out freely. %s", deepest.Typeset(), ventDeferral()))
}

// deepestUnderside is how far the lowest part of the ceiling hangs below the joists: its thickest row of furring and the depth of a carrier.
// computed is false when there is no ceiling.
func deepestUnderside(c Ceiling) (deepest length.Inches, computed bool) {
	if c.Plan == nil {
		return 0, false
	}
	for _, z := range c.Plan.Zones {
		for _, row := range z.Furring {
			deepest = max(deepest, length.Inches(max(row.Left, row.Middle, row.Right, row.Build)))
		}
	}
	return deepest + c.Plan.System.CarrierDepth, true
}
