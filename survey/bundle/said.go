package bundle

import (
	"slices"
	"time"

	"undercroft/survey"
)

type remarkDoc struct {
	ID       string            `json:"id"`
	Survey   survey.SurveyID   `json:"-"`
	Question string            `json:"question"`
	Kind     survey.RemarkKind `json:"kind"`
	Subject  survey.Subject    `json:"subject,omitempty"`
	Target   string            `json:"target,omitempty"`
	About    string            `json:"about,omitempty"`
	Text     string            `json:"text"`
	Photo    survey.PhotoID    `json:"photo,omitempty"`
	By       string            `json:"by"`
	At       time.Time         `json:"at"`
}

type reviewDoc struct {
	Survey   survey.SurveyID `json:"-"`
	Seq      int             `json:"seq"`
	By       string          `json:"by"`
	At       time.Time       `json:"at"`
	Revision int             `json:"revision"`
	SHA256   string          `json:"sha256"`
}

type verificationDoc struct {
	ID        string            `json:"id"`
	Survey    survey.SurveyID   `json:"-"`
	Seq       int               `json:"seq"`
	Pin       survey.PinID      `json:"pin,omitempty"`
	Set       map[string]string `json:"set"`
	Was       map[string]string `json:"was"`
	Before    string            `json:"before"`
	Withdraws string            `json:"withdraws,omitempty"`
	By        string            `json:"by"`
	At        time.Time         `json:"at"`
}

// saidOf is what staff said, reviewed and verified as it is written.
func saidOf(r survey.Record) saidDoc {
	return saidDoc{
		Remarks:  each(r.Remarks, func(m survey.Remark) remarkDoc { return remarkDoc(m) }),
		Reviews:  each(r.Reviews, func(v survey.Review) reviewDoc { return reviewDoc(v) }),
		Verified: each(r.Verified, func(v survey.Verification) verificationDoc { return verificationDoc(v) }),
	}
}

// saidDoc is a part of survey.json, in line with the rest.
type saidDoc struct {
	Remarks  []remarkDoc       `json:"remarks,omitempty"`
	Reviews  []reviewDoc       `json:"reviews,omitempty"`
	Verified []verificationDoc `json:"verified,omitempty"`
}

// into writes it into a record.
func (d saidDoc) into(r *survey.Record) {
	in := r.Survey.ID
	r.Remarks = each(d.Remarks, func(m remarkDoc) survey.Remark {
		m.Survey = in
		return survey.Remark(m)
	})
	r.Reviews = each(d.Reviews, func(v reviewDoc) survey.Review {
		v.Survey = in
		return survey.Review(v)
	})
	r.Verified = each(d.Verified, func(v verificationDoc) survey.Verification {
		v.Survey = in
		return survey.Verification(v)
	})
}

// rows is how many rows it has.
func (d saidDoc) rows() int { return len(d.Remarks) + len(d.Reviews) + len(d.Verified) }

// checkSaid checks what staff said, reviewed and verified: each hangs on something that is there before it, and the state that was reviewed is among the files.
func (b *Bundle) checkSaid(d document, _ map[string]bool) error {
	if len(d.Remarks) > survey.MaxRemarks || len(d.Reviews) > survey.MaxReviews || len(d.Verified) > survey.MaxVerifications {
		return refuse("more was said, reviewed or verified than may be")
	}
	asked, ids := map[string]bool{}, map[string]bool{}
	for i, m := range d.Remarks {
		_, err := survey.ParseID(m.ID)
		asked[m.ID] = asked[m.ID] || m.Question == m.ID
		if err != nil || ids[m.ID] || !asked[m.Question] || slices.ContainsFunc([]string{m.Target, m.About, m.Text, string(m.Photo), m.By}, unclean) || survey.Remark(m).Validate() != nil {
			return refuse("remark %d is not in order", i+1)
		}
		ids[m.ID] = true
	}
	for i, v := range d.Reviews {
		if v.Seq != i+1 || v.Revision < 0 || v.Revision > len(d.Revisions) || !clean(v.By) || survey.Review(v).Validate() != nil {
			return refuse("review %d is not in order", i+1)
		}
		if _, err := b.find(v.SHA256); err != nil {
			return err
		}
	}
	stands := map[string]bool{}
	for i, v := range d.Verified {
		_, err := survey.ParseID(v.ID)
		bad := err != nil || ids[v.ID] || v.Seq != i+1 || v.By == "" || len(v.Set) == 0 || len(v.Set) != len(v.Was) || v.Withdraws != "" && !stands[v.Withdraws]
		for _, values := range []map[string]string{v.Set, v.Was} {
			for key, text := range values {
				_, both := v.Was[key]
				bad = bad || !both || !clean(key) || !clean(text)
			}
		}
		if bad || !clean(v.Before) || !clean(v.By) {
			return refuse("verified value %d is not in order", i+1)
		}
		delete(stands, v.Withdraws)
		ids[v.ID], stands[v.ID] = true, v.Withdraws == ""
	}
	return nil
}
