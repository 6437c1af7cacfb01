package survey

import (
	"strings"
	"time"
)

// Revision is one issued state of a survey. Number is 1 for the first and goes up by one; SHA256 is that of the frozen content, canonical JSON that holds everything
// its reports say and the SHA-256 of every photo, and Prev that of the revision before, empty for the first, so that none can be taken out of the chain unseen.
// Although says why it was issued although something stopped the job, empty when nothing did. Nothing of a revision ever changes.
type Revision struct {
	Survey   SurveyID
	Number   int
	SHA256   string
	Prev     string
	By       string
	Although string
	At       time.Time
}

// Fingerprint is a SHA-256 as people compare it: its first 16 hexadecimal digits in groups of four. What is shorter is given as it is.
func Fingerprint(sha256 string) string {
	if len(sha256) < 16 {
		return sha256
	}
	return strings.Join([]string{sha256[:4], sha256[4:8], sha256[8:12], sha256[12:16]}, " ")
}

// NextRevision is the revision that would follow those issued so far, in the order of their numbers, without its content's sum.
func NextRevision(in SurveyID, issued []Revision) Revision {
	next := Revision{Survey: in, Number: 1}
	if len(issued) > 0 {
		last := issued[len(issued)-1]
		next.Number, next.Prev = last.Number+1, last.SHA256
	}
	return next
}

// ValidateIssue checks who issues a revision and why although something stops, as MarkReady does: By is needed, Although while there are stops.
func ValidateIssue(by, although string, stops int) error {
	fields := map[string]string{}
	if by == "" || len(by) > 200 {
		fields["by"] = "Say who issues it, in at most 200 characters."
	}
	if stops > 0 && (although == "" || len(although) > 1000) {
		fields["although"] = "Say why it is issued although something stops the job, in at most 1,000 characters."
	}
	if len(fields) > 0 {
		return &Error{Kind: Invalid, Message: "It was not issued yet.", Fields: fields}
	}
	return nil
}

// Bookkeeping tells whether a fact is about the work on the survey, what was put off, marked ready or noted for its finishing, and not about the house.
func Bookkeeping(key string) bool {
	return key == readyKey || strings.HasPrefix(key, readyKey+".") || strings.HasPrefix(key, walkPrefix) || strings.HasPrefix(key, finishPrefix)
}
