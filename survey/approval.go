package survey

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"github.com/gowebpki/jcs"
)

// Decision is what a homeowner decides about a revision.
type Decision string

// The decisions.
const (
	Approved Decision = "approved"
	Declined Decision = "declined"
)

// Approval is a homeowner's decision about exactly one revision, with what shows who decided what, and when. Seq counts a survey's decisions from 1; Prev is the Hash of
// the one before, empty for the first. It was made by a Link, or in person on the phone of With; then Link is empty. Consent is the text that was agreed to, word for
// word. Signature is the drawn one as Strokes write it, empty when none was drawn. Nothing of an approval ever changes.
type Approval struct {
	Survey    SurveyID
	Seq       int
	Number    int    // of the revision
	SHA256    string // of the revision's content
	Decision  Decision
	Name      string
	Reason    string // of a decline
	Consent   string
	Lang      string
	At        time.Time
	Link      LinkID
	With      string
	Address   string
	Agent     string
	Signature string
	Prev      string
	Hash      string
}

// canonicalApproval is what the hash is of. The consent and the signature stand in it by their own sums.
type canonicalApproval struct {
	Survey    SurveyID `json:"survey"`
	Seq       int      `json:"seq"`
	Number    int      `json:"revision"`
	SHA256    string   `json:"sha256"`
	Decision  Decision `json:"decision"`
	Name      string   `json:"name"`
	Reason    string   `json:"reason"`
	Consent   string   `json:"consent_sha256"`
	Lang      string   `json:"lang"`
	At        string   `json:"at"`
	Link      LinkID   `json:"link"`
	With      string   `json:"with"`
	Address   string   `json:"address"`
	Agent     string   `json:"agent"`
	Signature string   `json:"signature_sha256"`
	Prev      string   `json:"prev"`
}

// Sum computes the approval's hash from everything else of it: the SHA-256 of its canonical JSON (RFC 8785).
func (a Approval) Sum() (string, error) {
	plain, err := json.Marshal(canonicalApproval{a.Survey, a.Seq, a.Number, a.SHA256, a.Decision, a.Name, a.Reason, textSum(a.Consent), a.Lang, a.At.UTC().Format(time.RFC3339Nano),
		a.Link, a.With, a.Address, a.Agent, textSum(a.Signature), a.Prev})
	if err != nil {
		return "", fmt.Errorf("sum up an approval: %w", err)
	}
	canonical, err := jcs.Transform(plain)
	if err != nil {
		return "", fmt.Errorf("sum up an approval: %w", err)
	}
	return textSum(string(canonical)), nil
}

func textSum(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// ConsentSum is the SHA-256 of the text that was agreed to.
func (a Approval) ConsentSum() string { return textSum(a.Consent) }

// Validate checks what was typed. An Invalid error names the fields "name", "reason" and "signature".
func (a Approval) Validate() error {
	fields := map[string]string{}
	if a.Name == "" || len(a.Name) > maxSignedName {
		fields["name"] = "Write your full name, in at most 200 characters."
	}
	if a.Decision == Declined && (a.Reason == "" || len(a.Reason) > maxInquiry) {
		fields["reason"] = "Say why not, in at most 2,000 characters."
	}
	if _, err := ReadStrokes(a.Signature); err != nil {
		fields["signature"] = "The drawn signature could not be read. Clear it and draw it again, or leave it out: the typed name is enough."
	}
	if len(fields) > 0 {
		return &Error{Kind: Invalid, Message: "Nothing is decided yet.", Fields: fields}
	}
	if a.Decision != Approved && a.Decision != Declined {
		return Errorf(Invalid, "Choose whether to approve or not.")
	}
	return nil
}

// NextApproval puts a decision behind those made so far, in the order of their Seq, and sums it up.
func NextApproval(a Approval, made []Approval) (Approval, error) {
	a.Seq, a.Prev = 1, ""
	if n := len(made); n > 0 {
		a.Seq, a.Prev = made[n-1].Seq+1, made[n-1].Hash
	}
	var err error
	a.Hash, err = a.Sum()
	return a, err
}

// CheckApprovals is nil when a survey's decisions are what they were when they were made: each has its own hash, follows the one before, is of a revision that was
// issued, and the only one of it. The error, of kind Invalid, says which is not. That the newest were taken away cannot be seen here, but on the receipts.
func CheckApprovals(made []Approval, issued []Revision) error {
	prev, decided := "", map[int]bool{}
	for i, a := range made {
		sum, err := a.Sum()
		switch {
		case err != nil:
			return err
		case a.Seq != i+1 || a.Prev != prev:
			return Errorf(Invalid, "decision %d does not follow the one before it", i+1)
		case sum != a.Hash:
			return Errorf(Invalid, "decision %d, about revision %d, was changed after it was made: its sum is another", i+1, a.Number)
		case a.Number < 1 || a.Number > len(issued) || issued[a.Number-1].SHA256 != a.SHA256:
			return Errorf(Invalid, "decision %d is about a revision %d that was never issued so", i+1, a.Number)
		case decided[a.Number]:
			return Errorf(Invalid, "there are two decisions about revision %d", a.Number)
		}
		prev, decided[a.Number] = a.Hash, true
	}
	return nil
}

// DecisionOn finds the decision about a revision; false when there is none yet.
func DecisionOn(made []Approval, number int) (Approval, bool) {
	for _, a := range made {
		if a.Number == number {
			return a, true
		}
	}
	return Approval{}, false
}

// NewestApproved finds the approval of the newest revision that was approved; false when none was. A later revision that nobody has approved supersedes it without
// taking its place.
func NewestApproved(made []Approval) (Approval, bool) {
	var newest Approval
	for _, a := range made {
		if a.Decision == Approved && a.Number > newest.Number {
			newest = a
		}
	}
	return newest, newest.Number > 0
}

// CheckDecidable is nil when a revision can be decided on: it is the newest, nothing stopped the job when it was issued, nobody has decided yet, and sha256, the sum of what
// the person saw, is its own. Else it is a Conflict that says what to do.
func CheckDecidable(number int, sha256 string, issued []Revision, made []Approval) error {
	if number < 1 || number > len(issued) {
		return Errorf(NotFound, "There is no such revision.")
	}
	v := issued[number-1]
	if _, done := DecisionOn(made, number); done {
		return Errorf(Conflict, "This revision was decided on already. Read the decision again.")
	}
	switch {
	case number < len(issued):
		return Errorf(Conflict, "A newer revision was issued, so this one cannot be decided on any more. Ask for the new one.")
	case v.Although != "":
		return Errorf(Conflict, "Something must be settled first, so this revision cannot be decided on. Ask for the next one.")
	case v.SHA256 != sha256:
		return Errorf(Conflict, "What you read is not what stands here now. Read it again before you decide.")
	}
	return nil
}
