package survey

import "time"

// Review says that somebody has gone through the survey before arriving, and which state of it: Revision is the newest one then, 0 while none was issued, and SHA256 that
// of the state's content. Seq counts a survey's reviews from 1. Nothing of a review ever changes; the next one stands beside it.
type Review struct {
	Survey   SurveyID
	Seq      int
	By       string
	At       time.Time
	Revision int
	SHA256   string
}

// MaxReviews is how often one survey can be reviewed.
const MaxReviews = 200

// Validate checks who has reviewed. An Invalid error names the field "by".
func (v Review) Validate() error {
	if v.By == "" || len(v.By) > maxRemarkers {
		return &Error{Kind: Invalid, Message: "It is not marked as reviewed yet.", Fields: map[string]string{"by": "Say who has reviewed it, in at most 200 characters."}}
	}
	return nil
}

// LastReview is the newest review; false while there is none.
func (r Record) LastReview() (Review, bool) {
	if len(r.Reviews) == 0 {
		return Review{}, false
	}
	return r.Reviews[len(r.Reviews)-1], true
}
