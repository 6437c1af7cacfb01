package report

import (
	"strings"

	"undercroft/calc"
	"undercroft/calc/words"
)

// noteGroup is one heading of the crew notes with its parts.
type noteGroup struct {
	Name  string
	Parts []notePart
}

// notePart is lines about one zone, or about everything when Head is empty.
type notePart struct {
	Head  string
	Lines []string
}

// notesOf are the crew notes as people read them. A line that ends with a colon heads the lines after it.
func (v voice) notesOf(p calc.Plan, in calc.Input, named things) []noteGroup {
	notes := p.Notes
	if v.lang == words.Spanish {
		notes = calc.CrewNotes(in, &p, string(v.lang))
	}
	groups := make([]noteGroup, 0, len(notes))
	for _, g := range notes {
		group := noteGroup{Name: capital(g.Group)}
		for _, line := range g.Lines {
			line = named.words(line)
			if head, ok := strings.CutSuffix(line, ":"); ok {
				group.Parts = append(group.Parts, notePart{Head: head})
				continue
			}
			if len(group.Parts) == 0 {
				group.Parts = append(group.Parts, notePart{})
			}
			part := &group.Parts[len(group.Parts)-1]
			part.Lines = append(part.Lines, line)
		}
		groups = append(groups, group)
	}
	return groups
}
