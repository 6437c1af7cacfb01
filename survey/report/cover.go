package report

import (
	"slices"
	"strings"

	"undercroft/calc"
	"undercroft/survey"
)

// cover is what was answered about what the ceiling will cover: a finding for each answer that calls for something and for what nobody could
// see, then in one sentence each what was looked for and not found, and what nobody has answered.
type cover struct {
	Findings   []Finding
	None, Open string
}

// coverOf sorts the answers. What stops the crew is told under the issues; stops are those.
func coverOf(r survey.Record, c survey.Ceiling, l Links) (list cover, stops []Finding) {
	var none, open []string
	for _, s := range survey.Covered(r, c) {
		switch {
		case s.Answer == survey.AnswerNo && s.Finding.Text == "":
			none = append(none, l.in(s.Label))
		case s.Answer == "":
			open = append(open, l.in(s.Label))
		}
		switch {
		case s.Finding.Severity == survey.SeverityMissing && blockedVent(r, c, s.Finding.Pin): // the calculator says so itself
		case s.Finding.Severity == survey.SeverityMissing:
			stops = append(stops, coverFinding(r, s, WeightStop, l))
		case s.Finding.Text != "":
			list.Findings = append(list.Findings, coverFinding(r, s, WeightWarn, l))
		}
	}
	list.None, list.Open = strings.Join(none, "; "), strings.Join(open, "; ")
	return list, stops
}

// blockedVent tells whether the calculator stops for a pin's flue or exhaust.
func blockedVent(r survey.Record, c survey.Ceiling, id survey.PinID) bool {
	pin, ok := r.Pin(id)
	return ok && c.Plan != nil && slices.ContainsFunc(c.Plan.Issues, func(i calc.Issue) bool {
		return i.Rule == "exhaust-above" && slices.Contains(i.About, survey.InputID(pin.Number))
	})
}

func coverFinding(r survey.Record, s survey.CoverState, w Weight, l Links) Finding {
	answer := map[string]string{survey.AnswerYes: l.in("yes"), survey.AnswerNo: l.in("no"), survey.AnswerNotSeen: l.in("not seen"), "": l.in("not answered")}[s.Answer]
	f := l.newFinding(w, l.saidOr(s.Finding.Said, s.Finding.Text), l.saidOr(s.Finding.ToDo, s.Finding.Do))
	photo := ""
	if s.Photo > 0 {
		photo = l.say("photo %d", s.Photo)
	}
	f.Rule = join(" · ", l.in(s.Label)+": "+answer, photo, l.ruleName(s.Caution.Rule), l.say("source: %s", l.in(s.Caution.Source)))
	if pin, ok := r.Pin(s.Finding.Pin); ok {
		if href := l.pin(pin.Number, pin.ID, pin.Photo); href != "" {
			f.Actions = append(f.Actions, action{l.say("Show pin %d", pin.Number), href})
		}
	}
	return f
}

// readyText says who marked the survey ready for the crew, and when it changed since; reason is why although something was a stop. Both are
// empty when nobody did.
func (v voice) readyText(r survey.Record) (text, reason string) {
	mark := r.Readiness()
	if !mark.Marked {
		return "", ""
	}
	text = v.say("Marked ready for the crew by %s, %s.", mark.By, v.date(mark.At))
	if mark.Changed {
		text += " " + v.in("The survey has changed since.")
	}
	return text, mark.Reason
}
