package report

import (
	"cmp"
	"slices"
	"strings"

	"undercroft/calc"
	"undercroft/calc/words"
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

// Finding is one caution, issue or doubt, ready to print: Head is bold and complete by itself, Body has the figures and what to do, Rule
// is the line in soft ink: what called it up, the rule, what it is about, the published source.
type Finding struct {
	Weight  Weight
	Word    string
	Head    string
	Body    string
	Rule    string
	Actions []action
}

// action is a place that settles or shows a finding.
type action struct{ Label, Href string }

func (v voice) newFinding(w Weight, head, body string) Finding {
	word := map[Weight]string{WeightStop: v.in("Stop."), WeightWarn: v.in("Check."), WeightNote: v.in("Note.")}[w]
	return Finding{Weight: w, Word: word, Head: head, Body: body}
}

// textOf, triggerOf and issueText say what the calculator wrote, in the voice's language.
func (v voice) textOf(c calc.Caution) string    { return v.saidOr(c.Said, c.Text) }
func (v voice) triggerOf(c calc.Caution) string { return v.saidOr(c.Because, c.Trigger) }
func (v voice) issueText(i calc.Issue) string   { return v.saidOr(i.Said, i.Text) }

// saidOr says a phrase, or the text of what has no phrase: a text without figures, or a plan that was read from its JSON.
func (v voice) saidOr(p words.Phrase, text string) string {
	if p.Format == "" {
		return v.in(text)
	}
	return p.In(v.lang)
}

// issuesOf are the calculator's findings about the deck, blocking first, otherwise in its order.
func (v voice) issuesOf(plan calc.Plan, named things) []Finding {
	var list []Finding
	for _, i := range plan.Issues {
		w := WeightWarn
		if i.Severity == "blocking" {
			w = WeightStop
		}
		said := sentence(named.words(v.issueText(i)))
		f := v.newFinding(w, said, "")
		if text, ok := textOf(i.Rule); ok {
			f = v.newFinding(w, v.in(text.Head), join(" ", said, v.in(text.Do)))
		}
		rule := []string{v.ruleName(i.Rule)}
		var about []Thing
		for n, id := range i.About {
			if n == 0 && isZone(plan, id) {
				rule = append(rule, v.say("zone %s", zoneName(id)))
				continue
			}
			t := named.find(id)
			about = append(about, t)
			rule = append(rule, t.Label)
		}
		f.Rule, f.Actions = join(" · ", rule...), v.thingActions(about)
		list = append(list, f)
	}
	slices.SortStableFunc(list, func(a, b Finding) int { return cmp.Compare(weightOrder(a.Weight), weightOrder(b.Weight)) })
	return list
}

// thingActions leads to the pins of things, each once; what no pin gave leads nowhere.
func (v voice) thingActions(about []Thing) []action {
	var actions []action
	seen := map[int]bool{}
	for _, t := range about {
		if t.Source.Href == "" || seen[t.Source.PinNumber] {
			continue
		}
		seen[t.Source.PinNumber] = true
		actions = append(actions, action{v.say("Show pin %d", t.Source.PinNumber), t.Source.Href})
	}
	return actions
}

// weightOrder puts stops first and notes last.
func weightOrder(w Weight) int { return slices.Index([]Weight{WeightStop, WeightWarn, WeightNote}, w) }

func isZone(plan calc.Plan, id string) bool {
	return slices.ContainsFunc(plan.Zones, func(z calc.Zone) bool { return z.ID == id })
}

// cautionsOf are the safety and care rules that this deck touches, in the calculator's order. The first sentence is the head; a last
// sentence that all of them end with is given once, as lead.
func (v voice) cautionsOf(plan calc.Plan, named things) (list []Finding, lead string) {
	var texts []string
	for _, c := range plan.Cautions {
		texts = append(texts, sentence(v.textOf(c)))
	}
	lead = commonEnding(texts)
	for _, c := range plan.Cautions {
		head, rest := cutSentence(named.words(sentence(v.textOf(c))))
		rest = strings.TrimSpace(strings.TrimSuffix(rest, lead))
		f := v.newFinding(WeightNote, head, capital(rest))
		var rule []string
		if c.Trigger != "" {
			rule = append(rule, v.say("because of %s", named.words(v.triggerOf(c))))
		}
		rule = append(rule, v.ruleName(c.Rule))
		if c.Source != "" {
			rule = append(rule, v.say("source: %s", v.in(c.Source)))
		}
		f.Rule = join(" · ", rule...)
		list = append(list, f)
	}
	return list, lead
}

// surveyFindings are what the survey itself lacks or doubts, of one severity.
func surveyFindings(r survey.Record, a survey.Assembly, l Links, severity survey.Severity) []Finding {
	w := map[survey.Severity]Weight{survey.SeverityMissing: WeightStop, survey.SeverityCheck: WeightWarn, survey.SeverityNote: WeightNote}[severity]
	var list []Finding
	for _, f := range a.Findings {
		if f.Severity != severity {
			continue
		}
		out := l.newFinding(w, l.saidOr(f.Said, f.Text), l.saidOr(f.ToDo, f.Do))
		if pin, ok := r.Pin(f.Pin); ok {
			if href := l.pin(pin.Number, pin.ID, pin.Photo); href != "" {
				out.Actions = append(out.Actions, action{l.say("Open pin %d", pin.Number), href})
			}
		}
		if href := l.field(f.Fact); href != "" {
			label := l.in("Enter it")
			if len(a.Facts.Get(f.Fact).Candidates) > 1 {
				label = l.in("Compare and choose")
			}
			out.Actions = append(out.Actions, action{label, href})
		}
		list = append(list, out)
	}
	return list
}

// ruleName names a rule of the calculator or of what is looked at before it is covered.
func (v voice) ruleName(rule string) string { return v.in("rule " + rule) }

// join strings the parts that are not empty together.
func join(sep string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), sep)
}

// sentence makes a capital first letter and a full stop of a text that has neither.
func sentence(text string) string {
	text = strings.TrimSpace(text)
	if text == "" {
		return ""
	}
	text = capital(text)
	if !strings.ContainsAny(text[len(text)-1:], ".?!:") {
		text += "."
	}
	return text
}

// cutSentence splits off the first sentence.
func cutSentence(text string) (head, rest string) {
	for i, r := range text {
		if strings.ContainsRune(".?!", r) && i+1 < len(text) && text[i+1] == ' ' && !abbreviated(text[:i]) {
			return text[:i+1], strings.TrimSpace(text[i+2:])
		}
	}
	return text, ""
}

// abbreviated tells whether a text ends in a short form whose point ends no sentence.
func abbreviated(text string) bool {
	word := text[strings.LastIndexAny(text, " (")+1:]
	return slices.Contains([]string{"no", "No", "e.g", "i.e", "ft", "oz", "approx", "incl", "in"}, word)
}
