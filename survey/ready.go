package survey

import (
	"fmt"
	"time"
)

// The facts of a survey that is ready for the crew: when it was marked so, by whom, and why although something was still a stop.
const (
	readyKey       = "ready"
	readyByKey     = "ready.by"
	readyReasonKey = "ready.reason"
)

func readyFields() []Field {
	return []Field{{Key: readyKey, Label: "Ready for the crew", Type: TypeText}, {Key: readyByKey, Label: "Your name", Type: TypeText}, {Key: readyReasonKey, Label: "Although", Type: TypeText}}
}

// Readiness is whether a person has marked the survey ready for the crew. Reason is not empty when that was done although something was a stop.
// Changed tells that something of the survey has changed since.
type Readiness struct {
	Marked     bool
	By, Reason string
	At         time.Time
	Changed    bool
}

// Readiness reads what was marked last.
func (r Record) Readiness() Readiness {
	ready := r.Facts[readyKey]
	if ready.Text == "" {
		return Readiness{}
	}
	return Readiness{Marked: true, By: r.Facts[readyByKey].Text, Reason: r.Facts[readyReasonKey].Text, At: ready.UpdatedAt, Changed: r.ChangedAt.After(ready.UpdatedAt)}
}

// MarkReady are the facts that mark the survey ready for the crew at a time. by is who says so; a reason is needed while there are stops, and
// is dropped when there are none. An Invalid error names the fields "by" and "reason".
func MarkReady(r Record, by, reason string, stops int, at time.Time) ([]Fact, error) {
	fields := map[string]string{}
	if by == "" || len(by) > 200 {
		fields["by"] = "Say who marks it ready, in at most 200 characters."
	}
	if stops == 0 {
		reason = ""
	} else if reason == "" || len(reason) > 1000 {
		fields["reason"] = fmt.Sprintf("Say why it may be built although there is something to stop for (%d), in at most 1,000 characters.", stops)
	}
	if len(fields) > 0 {
		return nil, &Error{Kind: Invalid, Message: "It is not marked ready yet.", Fields: fields}
	}
	return r.readyFacts(at.UTC().Format(time.RFC3339Nano), by, reason), nil
}

// UnmarkReady are the facts that take the mark back.
func UnmarkReady(r Record) []Fact { return r.readyFacts("", "", "") }

// readyFacts are written together, so that the mark's own time is the newest when nothing has changed since. The mark's text is its time, which
// makes a new mark a change.
func (r Record) readyFacts(at, by, reason string) []Fact {
	var facts []Fact
	for _, f := range []Fact{{Key: readyKey, Text: at}, {Key: readyByKey, Text: by}, {Key: readyReasonKey, Text: reason}} {
		f.Survey, f.Version = r.Survey.ID, r.Facts[f.Key].Version
		facts = append(facts, f)
	}
	return facts
}
