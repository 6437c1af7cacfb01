package survey

import "time"

// LinkID is the id of a link, a UUID. It is no secret: whoever has it cannot make the address from it.
type LinkID string

// How long a link to a scope works, in days: unless something else is chosen, and at the longest.
const (
	LinkDays    = 60
	LinkDaysMax = 365
)

// Link is a secret address under which the homeowner reads the scope of one revision. The secret itself is shown once, to who made it, and kept nowhere: a store
// knows its SHA-256. Revoked is zero, and RevokedBy empty, as long as nobody took the link back.
type Link struct {
	ID        LinkID
	Survey    SurveyID
	Number    int // of the revision
	By        string
	At        time.Time
	Expires   time.Time
	Revoked   time.Time
	RevokedBy string
}

// Open tells whether the link works at a time: from when it is made until, and without, the moment that it expires.
func (l Link) Open(now time.Time) bool { return l.Revoked.IsZero() && now.Before(l.Expires) }

// Inquiry is a question that the homeowner asks about a revision, and its answer. It is asked once and answered once; neither is changed afterwards, since the
// homeowner decides on both. Answered is zero, and Answer and AnsweredBy empty, as long as nobody has answered.
type Inquiry struct {
	ID         string // a UUID
	Survey     SurveyID
	Number     int // of the revision
	Link       LinkID
	Name       string
	Text       string
	At         time.Time
	Answer     string
	AnsweredBy string
	Answered   time.Time
}

// The longest texts of a homeowner, in bytes, and the most questions about one revision.
const (
	maxInquiry    = 2000
	maxSignedName = 200
	MaxInquiries  = 40
)

// Validate checks what was typed. An Invalid error names the fields "name" and "question".
func (q Inquiry) Validate() error {
	fields := map[string]string{}
	if len(q.Name) > maxSignedName {
		fields["name"] = "Write a name of at most 200 characters."
	}
	if q.Text == "" || len(q.Text) > maxInquiry {
		fields["question"] = "Write your question, in at most 2,000 characters."
	}
	if len(fields) > 0 {
		return &Error{Kind: Invalid, Message: "The question was not sent yet.", Fields: fields}
	}
	return nil
}

// ValidateAnswer checks an answer and who gives it. An Invalid error names the fields "answer" and "by".
func ValidateAnswer(answer, by string) error {
	fields := map[string]string{}
	if answer == "" || len(answer) > maxInquiry {
		fields["answer"] = "Write the answer, in at most 2,000 characters."
	}
	if by == "" || len(by) > maxSignedName {
		fields["by"] = "Say who answers, in at most 200 characters."
	}
	if len(fields) > 0 {
		return &Error{Kind: Invalid, Message: "The answer was not sent yet.", Fields: fields}
	}
	return nil
}
