package web

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"undercroft/survey"
)

// factRow is a fact in the history. By and Although are those of a mark of being ready.
type factRow struct {
	Key      string `json:"key"`
	Text     string `json:"text"`
	By       string `json:"by"`
	Although string `json:"although"`
}

// fact says a change of something typed about the deck, the walk, the scope or the survey's being ready.
func (h historyWords) fact(e survey.Event) historyLine {
	var now, was factRow
	if json.Unmarshal(e.Row, &now) != nil || len(e.Was) > 0 && json.Unmarshal(e.Was, &was) != nil {
		return historyLine{About: "Deck", Done: e.What}
	}
	if now.Key == "ready" {
		return h.readiness(now)
	}
	about, href := h.factPlace(now.Key)
	what, say := h.factWords(now.Key)
	if !strings.HasPrefix(what, about) {
		what = about + ": " + what
	}
	l := historyLine{About: what, Href: href, OneHref: historyPath(h.record.Survey.ID, "fact", now.Key)}
	l.differs("", say(was.Text), say(now.Text))
	switch {
	case now.Text == "":
		l.Done = "taken back"
	case was.Text != "":
		l.Done = "changed"
	}
	return l
}

// readiness says that the survey was marked ready for the crew, or that the mark was taken back.
func (h historyWords) readiness(mark factRow) historyLine {
	l := historyLine{About: "Survey", Href: h.home + "/leave", Done: "marked ready for the crew", Said: "by " + mark.By, OneHref: historyPath(h.record.Survey.ID, "fact", mark.Key)}
	if mark.Text == "" {
		l.Done, l.Said = "not ready for the crew any more", ""
	} else if mark.Although != "" {
		l.Said += ", although something stops it: " + mark.Although
	}
	return l
}

// factName is a field of a fact, and the page that asks for it.
type factName struct {
	field       survey.Field
	about, href string
}

// factNames are the fields of all facts that a page asks for now, by key.
func (h historyWords) factNames() map[string]factName {
	ready, _ := survey.FactField(h.record, "ready.by")
	names := map[string]factName{ready.Key: {ready, "Survey", h.home + "/leave"}}
	if reason, ok := survey.FactField(h.record, "ready.reason"); ok {
		names[reason.Key] = factName{reason, "Survey", h.home + "/leave"}
	}
	for _, page := range []struct {
		about, href string
		fields      []survey.Field
	}{{"Walk list", h.home + "/walk", survey.WalkFields(h.record)}, {"Deck", h.home, survey.FactFields(h.record)}, {"Scope", h.home + "/scope", survey.ScopeFields()}, {"What we will cover", h.home + "/cover", survey.CoverFields(h.record)}} {
		for _, f := range page.fields { // a field of several pages is of the last
			href := page.href
			if href == h.home {
				href += "#" + controlID(fieldPrefix+f.Key)
			}
			names[f.Key] = factName{f, page.about, href}
		}
	}
	return names
}

// factPlace names the page of a fact, with its address; that of the deck for what no page asks for any more.
func (h historyWords) factPlace(key string) (about, href string) {
	if n, ok := h.facts[key]; ok {
		return n.about, n.href
	}
	return "Deck", h.home
}

// factWords are the name of a fact and how its texts read. What no field asks for any more has the name it is kept under.
func (h historyWords) factWords(key string) (what string, say func(text string) string) {
	if settled, ok := survey.SettledKey(key); ok {
		name := settled
		if n, ok := h.facts[settled]; ok {
			name = n.field.Label
		}
		return name + ": source that stands", h.settled
	}
	n, ok := h.facts[key]
	if !ok {
		return key, func(text string) string { return text }
	}
	f := n.field
	return f.Label, func(text string) string {
		if n := h.photos[survey.PhotoID(text)]; n > 0 {
			return fmt.Sprintf("photo %d", n)
		}
		return label(f, text)
	}
}

// settled names the source that a person has chosen.
func (h historyWords) settled(text string) string {
	if text == string(survey.SourceTyped) {
		return "what was typed"
	}
	if p, ok := h.record.Pin(survey.PinID(text)); ok {
		return fmt.Sprintf("pin %d", p.Number)
	}
	return text
}

// sortedKeys are the keys of two maps, each once.
func sortedKeys(a, b map[string]string) []string {
	all := maps.Clone(a)
	if all == nil {
		all = map[string]string{}
	}
	maps.Copy(all, b)
	return slices.Sorted(maps.Keys(all))
}

// office says what was issued, sent, asked, decided, reviewed, finished or put away.
func (h historyWords) office(e survey.Event, row eventRow) historyLine {
	revision := fmt.Sprintf("Revision %d", row.Number)
	revisions := h.home + "/revisions"
	switch string(e.Kind) + " " + e.What {
	case "revision issued":
		l := historyLine{About: revision, Href: fmt.Sprintf("%s/%d", revisions, row.Number), Done: "issued", Said: "fingerprint " + survey.Fingerprint(row.SHA256)}
		if row.Why != "" {
			l.Said += ", although: " + row.Why
		}
		return l
	case "link made":
		return historyLine{About: "Link to revision " + fmt.Sprint(row.Number), Href: revisions, Done: "made", Said: "works until " + untilDay(row.Expires)}
	case "link revoked":
		return historyLine{About: "Link to revision " + fmt.Sprint(row.Number), Href: revisions, Done: "revoked"}
	case "question asked":
		return historyLine{About: "Homeowner’s question about revision " + fmt.Sprint(row.Number), Href: revisions + "#q-" + e.Record, Done: "asked", Said: row.Text}
	case "question answered":
		return historyLine{About: "Homeowner’s question about revision " + fmt.Sprint(row.Number), Href: revisions + "#q-" + e.Record, Done: "answered", Said: row.Text}
	case "decision approved", "decision declined":
		l := historyLine{About: revision, Href: fmt.Sprintf("%s/%d", revisions, row.Number), Done: map[string]string{"approved": "approved by the homeowner", "declined": "not approved"}[e.What], Said: row.Text}
		if row.With != "" {
			l.Said = joinWords(l.Said, "in person, with "+row.With)
		}
		return l
	case "review reviewed":
		state := "as it stood, before anything was issued"
		if row.Number > 0 {
			state = "as of revision " + fmt.Sprint(row.Number)
		}
		return historyLine{About: "Survey", Href: h.home + "/review", Done: "reviewed by the crew", Said: state}
	case "remark ask":
		return historyLine{About: "Question: " + row.About, Href: h.home + "/questions", Done: "asked", Said: row.Text}
	case "remark answer":
		return historyLine{About: "Question: " + row.About, Href: h.home + "/questions", Done: "answered", Said: row.Text}
	case "finish finished":
		return historyLine{About: "Work", Href: h.home + "/finish", Done: "finished"}
	case "finish signed":
		return historyLine{About: "Work", Href: h.home + "/finish", Done: "signed off by the client"}
	case "finish reopened":
		return historyLine{About: "Work", Href: h.home + "/finish", Done: "opened again", Said: row.Text}
	case "filing archived":
		return historyLine{About: "Survey", Done: "put into the archive"}
	case "filing deleted":
		return historyLine{About: "Survey", Done: "deleted, to be erased after the grace period"}
	case "filing returned":
		return historyLine{About: "Survey", Done: "brought back"}
	}
	return historyLine{About: capitalWord(string(e.Kind)), Done: e.What}
}

// capitalWord is a word with a capital first letter; the kinds' names are ASCII.
func capitalWord(word string) string {
	if word == "" {
		return ""
	}
	return strings.ToUpper(word[:1]) + word[1:]
}

// heading says of what a choice is the history; empty for all, or for a whole kind.
func (h historyWords) heading(k historyChoice) string {
	switch {
	case k.on != "":
		if n := h.photos[survey.PhotoID(k.on)]; n > 0 {
			return fmt.Sprintf("Photo %d and its pins", n)
		}
		return "One photo"
	case k.of == "":
		return ""
	case k.kind == "fact":
		what, _ := h.factWords(k.of)
		return what
	case k.kind == "pin":
		if p, ok := h.record.Pin(survey.PinID(k.of)); ok {
			return h.pinName(p)
		}
		return "One pin"
	}
	return "One record"
}
