package survey

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strconv"
	"time"

	"github.com/gowebpki/jcs"
)

// Seal fixes what one record of a survey said when it was made. A survey's seals are a chain: Seq counts from 1, Prev is the Hash of the one before, empty for the
// first, and Hash is of everything else of the seal, so that no record can be changed, added, taken out or put elsewhere without the chain showing it. Record is the
// record's own number or id, Sum the SHA-256 of what it said. Nothing of a seal ever changes.
type Seal struct {
	Survey SurveyID
	Seq    int
	Kind   SealKind
	Record string
	Sum    string
	Prev   string
	Hash   string
}

// SealKind is what a seal is of.
type SealKind string

// The kinds of what is sealed. SealHistory is of the first changes of the history, as many as its record says.
const (
	SealRevision  SealKind = "revision"
	SealRendition SealKind = "report"
	SealLink      SealKind = "link"
	SealRevoked   SealKind = "link revoked"
	SealInquiry   SealKind = "question"
	SealAnswer    SealKind = "answer"
	SealDecision  SealKind = "decision"
	SealFinish    SealKind = "finish"
	SealHistory   SealKind = "history"
)

// sum computes the seal's hash: the SHA-256 of its canonical JSON (RFC 8785).
func (s Seal) sum() (string, error) {
	return canonicalSum(struct {
		Survey SurveyID `json:"survey"`
		Seq    int      `json:"seq"`
		Kind   SealKind `json:"kind"`
		Record string   `json:"record"`
		Sum    string   `json:"sum"`
		Prev   string   `json:"prev"`
	}{s.Survey, s.Seq, s.Kind, s.Record, s.Sum, s.Prev})
}

// canonicalSum is the SHA-256 of a value's canonical JSON.
func canonicalSum(v any) (string, error) {
	plain, err := json.Marshal(v)
	if err != nil {
		return "", fmt.Errorf("sum up a record: %w", err)
	}
	canonical, err := jcs.Transform(plain)
	if err != nil {
		return "", fmt.Errorf("sum up a record: %w", err)
	}
	return textSum(string(canonical)), nil
}

// Sealed is a record that has or gets a seal: which one, and what it says. Says is written as JSON, so its names must stay.
type Sealed struct {
	Kind   SealKind
	Record string
	Says   any
}

// NextSeal is the seal of a record behind the last one, which is the zero Seal before the first.
func NextSeal(in SurveyID, last Seal, of Sealed) (Seal, error) {
	s := Seal{Survey: in, Seq: last.Seq + 1, Kind: of.Kind, Record: of.Record, Prev: last.Hash}
	var err error
	if s.Sum, err = canonicalSum(of.Says); err != nil {
		return Seal{}, err
	}
	s.Hash, err = s.sum()
	return s, err
}

// CheckSeals is nil when a survey's records are what they were when they were sealed: the seals follow each other, each is of a record that is there and says the same,
// and no record that is sealed when it is made is without its seal. The error, of kind Invalid, says which is not. That the newest were taken away with their seals
// cannot be seen here, but on the receipts.
func CheckSeals(v Snapshot) error {
	seals := map[string]Seal{}
	var last Seal
	for i, s := range v.Seals {
		hash, err := s.sum()
		switch {
		case err != nil:
			return err
		case s.Seq != i+1 || s.Prev != last.Hash || s.Survey != v.Record.Survey.ID:
			return Errorf(Invalid, "seal %d does not follow the one before it", i+1)
		case hash != s.Hash:
			return Errorf(Invalid, "seal %d, of %s %s, was changed after it was made", i+1, s.Kind, s.Record)
		}
		if s.Kind == SealHistory {
			if err := checkHistorySeal(s, v.History); err != nil {
				return err
			}
		} else {
			seals[string(s.Kind)+" "+s.Record] = s
		}
		last = s
	}
	return checkSealed(v, seals)
}

// checkSealed compares the records with their seals, in both directions.
func checkSealed(v Snapshot, seals map[string]Seal) error {
	for _, r := range SealedRecords(v) {
		name := string(r.Kind) + " " + r.Record
		s, ok := seals[name]
		sum, err := canonicalSum(r.Says)
		switch {
		case err != nil:
			return err
		case !ok:
			return Errorf(Invalid, "%s was added behind the program's back: it has no seal", name)
		case s.Sum != sum:
			return Errorf(Invalid, "%s was changed after it was made: its seal is of something else", name)
		}
		delete(seals, name)
	}
	for name := range seals {
		return Errorf(Invalid, "%s was taken away: its seal is still there", name)
	}
	return nil
}

// checkHistorySeal compares the first changes of the history with their seal.
func checkHistorySeal(s Seal, history []Change) error {
	n, err := strconv.Atoi(s.Record)
	if err != nil || n < 0 || n > len(history) {
		return Errorf(Invalid, "changes were taken out of the history: %s had been made, and %d are there", s.Record, len(history))
	}
	sum, err := canonicalSum(HistorySealed(history[:n]).Says)
	if err == nil && sum != s.Sum {
		err = Errorf(Invalid, "the history was changed: its first %d entries are not what they were", n)
	}
	return err
}

// HistorySealed is the history so far as a record to be sealed; a later entry does not change it.
func HistorySealed(history []Change) Sealed {
	sum := sha256.New()
	for _, c := range history {
		fmt.Fprintf(sum, "%q %q %q %d %d %q %q\n", c.Kind, c.ID, c.What, c.Version, c.At.UnixMilli(), c.By, string(c.Row))
	}
	return Sealed{SealHistory, strconv.Itoa(len(history)), hex.EncodeToString(sum.Sum(nil))}
}

// SealedRecords lists the records of a survey that are sealed when they are made, but for the history: kind by kind, the first made first.
func SealedRecords(v Snapshot) []Sealed {
	var list []Sealed
	for _, r := range v.Revisions {
		list = append(list, r.Sealed())
	}
	for _, r := range v.Renditions {
		list = append(list, r.Sealed())
	}
	for _, l := range v.Links {
		if list = append(list, l.Sealed()); !l.Revoked.IsZero() {
			list = append(list, l.RevokedSealed())
		}
	}
	for _, q := range v.Inquiries {
		if list = append(list, q.Sealed()); !q.Answered.IsZero() {
			list = append(list, q.AnswerSealed())
		}
	}
	for _, a := range v.Approvals {
		list = append(list, a.Sealed())
	}
	for _, f := range v.Finishes {
		list = append(list, f.Sealed())
	}
	for _, r := range v.Record.Reviews {
		list = append(list, r.Sealed())
	}
	for _, m := range v.Record.Remarks {
		list = append(list, m.Sealed())
	}
	for _, m := range v.Record.Verified {
		list = append(list, m.Sealed())
	}
	for _, f := range v.Filings {
		list = append(list, f.Sealed())
	}
	return list
}

// sealTime is a time as a seal is of it: to the millisecond, as stores keep it.
func sealTime(t time.Time) int64 { return t.UnixMilli() }

// Sealed is the revision as its seal is of it.
func (v Revision) Sealed() Sealed {
	return Sealed{SealRevision, strconv.Itoa(v.Number), struct {
		SHA256   string `json:"sha256"`
		Prev     string `json:"prev"`
		By       string `json:"by"`
		Although string `json:"although"`
		At       int64  `json:"at"`
	}{v.SHA256, v.Prev, v.By, v.Although, sealTime(v.At)}}
}

// Sealed is the report as its seal is of it.
func (r Rendition) Sealed() Sealed {
	return Sealed{SealRendition, fmt.Sprintf("%d-%s", r.Number, r.Name), struct {
		SHA256 string `json:"sha256"`
		At     int64  `json:"at"`
	}{r.SHA256, sealTime(r.At)}}
}

// Sealed is the link as its seal is of it: as it was made.
func (l Link) Sealed() Sealed {
	return Sealed{SealLink, string(l.ID), struct {
		Number  int    `json:"revision"`
		By      string `json:"by"`
		At      int64  `json:"at"`
		Expires int64  `json:"expires"`
	}{l.Number, l.By, sealTime(l.At), sealTime(l.Expires)}}
}

// RevokedSealed is that the link was revoked, as the seal of that is of it.
func (l Link) RevokedSealed() Sealed {
	return Sealed{SealRevoked, string(l.ID), struct {
		By string `json:"by"`
		At int64  `json:"at"`
	}{l.RevokedBy, sealTime(l.Revoked)}}
}

// Sealed is the question as its seal is of it.
func (q Inquiry) Sealed() Sealed {
	return Sealed{SealInquiry, q.ID, struct {
		Number int    `json:"revision"`
		Link   LinkID `json:"link"`
		Name   string `json:"name"`
		Text   string `json:"text"`
		At     int64  `json:"at"`
	}{q.Number, q.Link, q.Name, q.Text, sealTime(q.At)}}
}

// AnswerSealed is the answer as its seal is of it.
func (q Inquiry) AnswerSealed() Sealed {
	return Sealed{SealAnswer, q.ID, struct {
		Answer string `json:"answer"`
		By     string `json:"by"`
		At     int64  `json:"at"`
	}{q.Answer, q.AnsweredBy, sealTime(q.Answered)}}
}

// Sealed is a decision by its own hash, which is of everything it says; that the hash is right is checked by CheckApprovals.
func (a Approval) Sealed() Sealed { return Sealed{SealDecision, strconv.Itoa(a.Seq), a.Hash} }

// Sealed is an act about the end of the work by its own hash, which is of everything it says; that the hash is right is checked by CheckFinishes.
func (f Finish) Sealed() Sealed { return Sealed{SealFinish, strconv.Itoa(f.Seq), f.Hash} }
