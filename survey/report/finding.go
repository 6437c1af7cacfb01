package report

import (
	"cmp"
	"slices"
	"strings"

	"undercroft/calc"
	"undercroft/survey"
)

// Weight is how much a finding matters; each has its own word and icon.
type Weight string

// The weights: blocking, to settle or verify, to know.
const (
	WeightStop Weight = "stop"
	WeightWarn Weight = "warn"
	WeightNote Weight = "note"
)

// Word is the word that stands before a finding of this weight.
func (w Weight) Word() string {
	switch w {
	case WeightStop:
		return "Stop."
	case WeightWarn:
		return "Check."
	}
	return "Note."
}

// Finding is one caution, issue or doubt, ready to print: Head is bold and complete by itself, Text has the figures, Do says what to
// do. Trigger is what called it up, Origin the published source. About are the things it is about.
type Finding struct {
	Weight  Weight
	Head    string
	Text    string
	Do      string
	Rule    string
	Trigger string
	Origin  string
	Zone    string
	About   []Thing
	Pin     survey.PinID
	Photo   survey.PhotoID
	Field   string
}

// issuesOf are the calculator's findings about the deck, blocking first, otherwise in its order.
func issuesOf(plan calc.Plan, things Things) []Finding {
	var list []Finding
	for _, i := range plan.Issues {
		f := Finding{Weight: WeightWarn, Text: sentence(i.Text), Rule: i.Rule}
		if i.Severity == "blocking" {
			f.Weight = WeightStop
		}
		if text, ok := TextOf(i.Rule); ok {
			f.Head, f.Do = text.Head, text.Do
		} else {
			f.Head, f.Text = f.Text, ""
		}
		for n, id := range i.About {
			if n == 0 && isZone(plan, id) {
				f.Zone = zoneName(id)
				continue
			}
			f.About = append(f.About, things.Find(id))
		}
		if len(f.About) > 0 {
			f.Pin, f.Photo = f.About[0].Source.Pin, f.About[0].Source.Photo
		}
		list = append(list, f)
	}
	slices.SortStableFunc(list, func(a, b Finding) int { return cmp.Compare(weightOrder(a.Weight), weightOrder(b.Weight)) })
	return list
}

// weightOrder puts stops first and notes last.
func weightOrder(w Weight) int {
	return slices.Index([]Weight{WeightStop, WeightWarn, WeightNote}, w)
}

func isZone(plan calc.Plan, id string) bool {
	return slices.ContainsFunc(plan.Zones, func(z calc.Zone) bool { return z.ID == id })
}

// cautionsOf are the safety and care rules that this deck touches, in the calculator's order. The first sentence is the head.
func cautionsOf(plan calc.Plan) []Finding {
	var list []Finding
	for _, c := range plan.Cautions {
		head, rest := cutSentence(sentence(c.Text))
		list = append(list, Finding{Weight: WeightNote, Head: head, Text: rest, Rule: c.Rule, Trigger: c.Trigger, Origin: c.Source})
	}
	return list
}

// surveyFindings are what the survey itself lacks or doubts; the kind that is asked for alone.
func surveyFindings(r survey.Record, a survey.Assembly, severities ...survey.Severity) []Finding {
	var list []Finding
	for _, f := range a.Findings {
		if !slices.Contains(severities, f.Severity) {
			continue
		}
		w := map[survey.Severity]Weight{survey.SeverityMissing: WeightStop, survey.SeverityCheck: WeightWarn}[f.Severity]
		if w == "" {
			w = WeightNote
		}
		out := Finding{Weight: w, Head: f.Text, Do: f.Do, Pin: f.Pin, Field: f.Fact}
		if pin, ok := r.Pin(f.Pin); ok {
			out.Photo = pin.Photo
		}
		list = append(list, out)
	}
	return list
}

// sentence makes a capital first letter and a full stop of a text that has neither.
func sentence(text string) string {
	text = strings.TrimSpace(text)
	if text == "" {
		return ""
	}
	text = strings.ToUpper(text[:1]) + text[1:]
	if !strings.ContainsAny(text[len(text)-1:], ".?!:") {
		text += "."
	}
	return text
}

// cutSentence splits off the first sentence.
func cutSentence(text string) (head, rest string) {
	for i, r := range text {
		if (r == '.' || r == '?' || r == '!') && i+1 < len(text) && text[i+1] == ' ' && !abbreviated(text[:i]) {
			return text[:i+1], strings.TrimSpace(text[i+2:])
		}
	}
	return text, ""
}

// abbreviated tells whether a text ends in a short form whose point ends no sentence: "no.", "e.g.", "in.", "ft.".
func abbreviated(text string) bool {
	word := text[strings.LastIndexAny(text, " (")+1:]
	return slices.Contains([]string{"no", "No", "e.g", "i.e", "ft", "oz", "approx", "incl"}, word)
}
