package survey

import (
	"encoding/json"
	"fmt"
	"time"

	"github.com/gowebpki/jcs"
)

// FinishAct is what was done about the end of a survey.
type FinishAct string

// The acts: the crew says that the work is done, the client signs it off, somebody opens the survey again.
const (
	Finished  FinishAct = "finished"
	SignedOff FinishAct = "signed"
	Reopened  FinishAct = "reopened"
)

// Finish is one act about the end of a survey. Seq counts a survey's acts from 1; Prev is the Hash of the one before, empty for the first. SHA256 is the sum of what the
// finishing says, which lies frozen beside it; a sign-off and a reopening name the finishing that they are about by the same sum. Approved is the revision that the work was
// held against, 0 for none. By is who finished, opened again, or handed the phone over; it is empty for a sign-off by a Link. Reason says why the work was finished although
// something was open, or why it is opened again. The rest is of a sign-off alone. Nothing of an act ever changes.
type Finish struct {
	Survey    SurveyID
	Seq       int
	Act       FinishAct
	SHA256    string
	Approved  int
	By        string
	Reason    string
	Name      string
	Consent   string // the text that was agreed to, word for word
	Lang      string
	Link      LinkID
	Address   string
	Agent     string
	Signature string // as Strokes write it, empty when none was drawn
	At        time.Time
	Prev      string
	Hash      string
}

// canonicalFinish is what the hash is of. The consent and the signature stand in it by their own sums.
type canonicalFinish struct {
	Survey    SurveyID  `json:"survey"`
	Seq       int       `json:"seq"`
	Act       FinishAct `json:"act"`
	SHA256    string    `json:"sha256"`
	Approved  int       `json:"approved"`
	By        string    `json:"by"`
	Reason    string    `json:"reason"`
	Name      string    `json:"name"`
	Consent   string    `json:"consent_sha256"`
	Lang      string    `json:"lang"`
	Link      LinkID    `json:"link"`
	Address   string    `json:"address"`
	Agent     string    `json:"agent"`
	Signature string    `json:"signature_sha256"`
	At        string    `json:"at"`
	Prev      string    `json:"prev"`
}

// Sum computes the act's hash from everything else of it: the SHA-256 of its canonical JSON (RFC 8785).
func (f Finish) Sum() (string, error) {
	plain, err := json.Marshal(canonicalFinish{f.Survey, f.Seq, f.Act, f.SHA256, f.Approved, f.By, f.Reason, f.Name, textSum(f.Consent), f.Lang, f.Link, f.Address, f.Agent, textSum(f.Signature),
		f.At.UTC().Format(time.RFC3339Nano), f.Prev})
	if err != nil {
		return "", fmt.Errorf("sum up a finish: %w", err)
	}
	canonical, err := jcs.Transform(plain)
	if err != nil {
		return "", fmt.Errorf("sum up a finish: %w", err)
	}
	return textSum(string(canonical)), nil
}

// ConsentSum is the SHA-256 of the text that was agreed to.
func (f Finish) ConsentSum() string { return textSum(f.Consent) }

// Validate checks what was typed. An Invalid error names the fields "name", "signature", "reason" and "by".
func (f Finish) Validate() error {
	fields := map[string]string{}
	if f.Act == SignedOff && (f.Name == "" || len(f.Name) > maxSignedName) {
		fields["name"] = "Write your full name, in at most 200 characters."
	}
	if _, err := ReadStrokes(f.Signature); err != nil {
		fields["signature"] = "The drawn signature could not be read. Clear it and draw it again, or leave it out: the typed name is enough."
	}
	if f.Act == Reopened && f.Reason == "" || len(f.Reason) > maxAlthough {
		fields["reason"] = "Say why it is opened again, in at most 1,000 characters."
	}
	if f.Link == "" && f.By == "" || len(f.By) > maxSignedName {
		fields["by"] = "Say who does it, in at most 200 characters."
	}
	if len(fields) > 0 {
		return &Error{Kind: Invalid, Message: "Nothing was done yet.", Fields: fields}
	}
	if f.Act != Finished && f.Act != SignedOff && f.Act != Reopened {
		return Errorf(Invalid, "There is no such act.")
	}
	return nil
}

// FinishState is how a survey stands by its acts. Done is the finishing that holds, Sign the sign-off of it; both are zero while there is none. Again is the reopening after
// which nothing was finished yet.
type FinishState struct{ Done, Sign, Again Finish }

// Finished tells whether the work is finished.
func (s FinishState) Finished() bool { return s.Done.Seq > 0 }

// Signed tells whether the client has signed it off.
func (s FinishState) Signed() bool { return s.Sign.Seq > 0 }

// FinishNow reads how a survey stands from its acts, in the order of their Seq.
func FinishNow(acts []Finish) FinishState {
	var s FinishState
	for _, f := range acts {
		switch f.Act {
		case Finished:
			s = FinishState{Done: f}
		case SignedOff:
			s.Sign = f
		case Reopened:
			s = FinishState{Again: f}
		}
	}
	return s
}

// allows is nil when an act may follow the state; else it is a Conflict that says what to do.
func (s FinishState) allows(f Finish) error {
	switch {
	case f.Act == Finished && s.Finished():
		return Errorf(Conflict, "The work is finished already. Open the survey again before you finish it anew.")
	case f.Act != Finished && !s.Finished():
		return Errorf(Conflict, "The work is not finished. Look at the survey again.")
	case f.Act == SignedOff && s.Signed():
		return Errorf(Conflict, "This was signed off already. Read it again.")
	case f.Act != Finished && f.SHA256 != s.Done.SHA256:
		return Errorf(Conflict, "What you read is not what stands here now. Read it again.")
	}
	return nil
}

// NextFinish puts an act behind those made so far, in the order of their Seq, and sums it up. Conflict when it cannot follow them: finished twice, signed off before it is
// finished or twice, or about another finishing than the one that holds.
func NextFinish(f Finish, acts []Finish) (Finish, error) {
	if err := FinishNow(acts).allows(f); err != nil {
		return Finish{}, err
	}
	f.Seq, f.Prev = 1, ""
	if n := len(acts); n > 0 {
		f.Seq, f.Prev = acts[n-1].Seq+1, acts[n-1].Hash
	}
	var err error
	f.Hash, err = f.Sum()
	return f, err
}

// CheckFinishes is nil when a survey's acts are what they were when they were made: each has its own hash, follows the one before, may follow it, and is about a revision that
// was issued. The error, of kind Invalid, says which is not. That the newest were taken away cannot be seen here, but on the completion records.
func CheckFinishes(acts []Finish, issued []Revision) error {
	prev := ""
	for i, f := range acts {
		sum, err := f.Sum()
		switch {
		case err != nil:
			return err
		case f.Seq != i+1 || f.Prev != prev:
			return Errorf(Invalid, "act %d about the end of the work does not follow the one before it", i+1)
		case sum != f.Hash:
			return Errorf(Invalid, "act %d about the end of the work was changed after it was made: its sum is another", i+1)
		case f.Approved < 0 || f.Approved > len(issued):
			return Errorf(Invalid, "act %d about the end of the work is about a revision %d that was never issued", i+1, f.Approved)
		case FinishNow(acts[:i]).allows(f) != nil:
			return Errorf(Invalid, "act %d about the end of the work cannot follow the one before it", i+1)
		}
		prev = f.Hash
	}
	return nil
}

// FinishingOf finds a finishing by its number, with its sign-off, the zero Finish where there is none; false when that act is no finishing.
func FinishingOf(acts []Finish, seq int) (done, sign Finish, ok bool) {
	if seq < 1 || seq > len(acts) || acts[seq-1].Act != Finished {
		return Finish{}, Finish{}, false
	}
	if seq < len(acts) && acts[seq].Act == SignedOff {
		sign = acts[seq]
	}
	return acts[seq-1], sign, true
}
