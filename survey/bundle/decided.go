package bundle

import (
	"slices"
	"time"

	"undercroft/survey"
)

// linkDoc is a link without its secret, which is nowhere: where it is imported it does not work.
type linkDoc struct {
	ID        survey.LinkID   `json:"id"`
	Survey    survey.SurveyID `json:"-"`
	Number    int             `json:"revision"`
	By        string          `json:"by"`
	At        time.Time       `json:"at"`
	Expires   time.Time       `json:"expires"`
	Revoked   time.Time       `json:"revoked,omitzero"`
	RevokedBy string          `json:"revoked_by,omitempty"`
}

type inquiryDoc struct {
	ID         string          `json:"id"`
	Survey     survey.SurveyID `json:"-"`
	Number     int             `json:"revision"`
	Link       survey.LinkID   `json:"link"`
	Name       string          `json:"name"`
	Text       string          `json:"text"`
	At         time.Time       `json:"at"`
	Answer     string          `json:"answer,omitempty"`
	AnsweredBy string          `json:"answered_by,omitempty"`
	Answered   time.Time       `json:"answered,omitzero"`
}

type approvalDoc struct {
	Survey    survey.SurveyID `json:"-"`
	Seq       int             `json:"seq"`
	Number    int             `json:"revision"`
	SHA256    string          `json:"sha256"`
	Decision  survey.Decision `json:"decision"`
	Name      string          `json:"name"`
	Reason    string          `json:"reason,omitempty"`
	Consent   string          `json:"consent"`
	Lang      string          `json:"lang"`
	At        time.Time       `json:"at"`
	Link      survey.LinkID   `json:"link,omitempty"`
	With      string          `json:"with,omitempty"`
	Address   string          `json:"address"`
	Agent     string          `json:"agent"`
	Signature string          `json:"signature,omitempty"`
	Prev      string          `json:"prev"`
	Hash      string          `json:"hash"`
}

type sealDoc struct {
	Survey survey.SurveyID `json:"-"`
	Seq    int             `json:"seq"`
	Kind   survey.SealKind `json:"kind"`
	Record string          `json:"record"`
	Sum    string          `json:"sum"`
	Prev   string          `json:"prev"`
	Hash   string          `json:"hash"`
}

// decided writes what was asked and decided into a snapshot.
func (d document) decided(v *survey.Snapshot) {
	in := d.Survey.ID
	v.Links = each(d.Links, func(l linkDoc) survey.Link {
		l.Survey = in
		return survey.Link(l)
	})
	v.Inquiries = each(d.Inquiries, func(i inquiryDoc) survey.Inquiry {
		i.Survey = in
		return survey.Inquiry(i)
	})
	v.Approvals = each(d.Approvals, func(a approvalDoc) survey.Approval {
		a.Survey = in
		return survey.Approval(a)
	})
	v.Finishes = each(d.Finishes, func(f finishDoc) survey.Finish {
		f.Survey = in
		return survey.Finish(f)
	})
	v.Seals = each(d.Seals, func(s sealDoc) survey.Seal {
		s.Survey = in
		return survey.Seal(s)
	})
}

// checkDecided checks the links, the questions and the decisions: each is of a revision that is there, and the decisions are what they were when they were made.
func checkDecided(d document, _ map[string]bool) error {
	revision := func(number int) bool { return number >= 1 && number <= len(d.Revisions) }
	links := map[survey.LinkID]int{}
	for i, l := range d.Links {
		if _, err := survey.ParseID(string(l.ID)); err != nil || links[l.ID] != 0 || !revision(l.Number) || !clean(l.By) || !clean(l.RevokedBy) || !l.Expires.After(l.At) {
			return refuse("link %d is not in order", i+1)
		}
		links[l.ID] = l.Number
	}
	asked := map[string]bool{}
	for i, q := range d.Inquiries {
		if _, err := survey.ParseID(q.ID); err != nil || asked[q.ID] || !revision(q.Number) || links[q.Link] != q.Number || slices.ContainsFunc([]string{q.Name, q.Text, q.Answer, q.AnsweredBy}, unclean) ||
			(q.Answer == "") != q.Answered.IsZero() || survey.Inquiry(q).Validate() != nil {
			return refuse("question %d is not in order", i+1)
		}
		asked[q.ID] = true
	}
	var v survey.Snapshot
	d.decided(&v)
	for i, a := range v.Approvals {
		if slices.ContainsFunc([]string{a.Name, a.Reason, a.Consent, a.Lang, a.With, a.Address, a.Agent}, unclean) || a.Validate() != nil || a.Link != "" && links[a.Link] != a.Number || (a.Link == "") == (a.With == "") {
			return refuse("decision %d is not in order", i+1)
		}
	}
	if err := survey.CheckApprovals(v.Approvals, d.snapshot().Revisions); err != nil {
		return refuse("%s", survey.Message(err))
	}
	return nil
}

// checkSeals checks that everything that was issued, asked and decided, and the history, is what was sealed.
func checkSeals(d document, _ map[string]bool) error {
	if err := survey.CheckSeals(d.snapshot()); err != nil {
		return refuse("%s", survey.Message(err))
	}
	return nil
}

func unclean(text string) bool { return !clean(text) }
