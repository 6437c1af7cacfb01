package web

import "undercroft/survey"

// doubtText is why a form is shown again with a question about one of its lengths.
const doubtText = "A length does not suit what it names. Say that it is right, or change it. Nothing was saved yet."

// askFacts asks about the typed facts that lie outside of what such lengths mostly are, unless the form says that they are right. The error is of
// kind Invalid with the question of each field; nil when there is none.
func askFacts(r survey.Record, facts []survey.Fact, form typedForm) error {
	texts := map[string]string{}
	for _, fact := range facts {
		f, ok := survey.FactField(r, fact.Key)
		if !ok || form.right[fact.Key] == fact.Text {
			continue
		}
		if q, ask := survey.Question(f, fact.Text); ask {
			texts[fact.Key] = q.Head
		}
	}
	return doubts(texts)
}

// askPin does the same for what a form changed of a pin; right tells what it says is right.
func askPin(r survey.Record, was, p survey.Pin, right func(control string) string) error {
	texts := map[string]string{}
	for _, f := range survey.PinFields(r, p.Kind) {
		text := p.Values[f.Key]
		if text == was.Values[f.Key] || text == right(rightPrefix+valuePrefix+f.Key) {
			continue
		}
		if q, ask := survey.Question(f.As(p.Values["names"]), text); ask {
			texts[f.Key] = q.Head
		}
	}
	return doubts(texts)
}

func doubts(texts map[string]string) error {
	if len(texts) == 0 {
		return nil
	}
	return &survey.Error{Kind: survey.Invalid, Message: doubtText, Fields: texts}
}
