// Package bundle takes one survey from one machine to another: a zip file of the survey as JSON, the photos as they came from the camera, the pictures made of
// them, what was issued, and the SHA-256 of every file, in the form that sha256sum -c checks. Reading trusts nothing: a bundle that is damaged or made to do harm
// is refused whole, and says why.
//
// A bundle is for the office: originals and survey.json say where photos were taken.
package bundle

import (
	"bytes"
	"encoding/json"
	"time"

	"undercroft/annotate"
	"undercroft/survey"
)

// The names in a bundle.
const (
	surveyName = "survey.json"
	sumsName   = "SHA256SUMS"
)

// What survey.json says that it is. Schema goes up when a reader of the old one would misread the new one.
const (
	format = "undercroft survey bundle"
	schema = 1
)

// document is survey.json.
type document struct {
	Format     string         `json:"format"`
	Schema     int            `json:"schema"`
	Survey     siteDoc        `json:"survey"`
	ChangedAt  time.Time      `json:"changed_at"`
	LastPhoto  int            `json:"last_photo"`
	LastPin    int            `json:"last_pin"`
	Photos     []photoDoc     `json:"photos"`
	Pins       []survey.Pin   `json:"pins"`
	Facts      []factDoc      `json:"facts"`
	Revisions  []revisionDoc  `json:"revisions"`
	Renditions []renditionDoc `json:"reports"`
	Links      []linkDoc      `json:"links,omitempty"`
	Inquiries  []inquiryDoc   `json:"questions,omitempty"`
	Approvals  []approvalDoc  `json:"decisions,omitempty"`
	Finishes   []finishDoc    `json:"finishes,omitempty"`
	Seals      []sealDoc      `json:"seals,omitempty"`
	Filings    []filingDoc    `json:"filings,omitempty"`
	saidDoc
	History []changeDoc `json:"history"`
}

type siteDoc struct {
	ID        survey.SurveyID `json:"id"`
	Title     string          `json:"title"`
	Address   string          `json:"address"`
	Client    string          `json:"client"`
	Contact   string          `json:"contact"`
	Surveyor  string          `json:"surveyor"`
	VisitDate string          `json:"visit_date"`
	Access    string          `json:"access"`
	Notes     string          `json:"notes"`
	Version   int             `json:"version"`
	CreatedAt time.Time       `json:"created_at"`
	UpdatedAt time.Time       `json:"updated_at"`
}

type photoDoc struct {
	ID       survey.PhotoID  `json:"id"`
	Survey   survey.SurveyID `json:"survey"`
	Number   int             `json:"number"`
	Name     string          `json:"name"`
	Caption  string          `json:"caption"`
	SHA256   string          `json:"sha256"`
	Bytes    int64           `json:"bytes"`
	Width    int             `json:"width"`
	Height   int             `json:"height"`
	Screen   string          `json:"screen"`
	Thumb    string          `json:"thumb"`
	Meta     annotate.Meta   `json:"meta"`
	Version  int             `json:"version"`
	AddedAt  time.Time       `json:"added_at"`
	Sequence int64           `json:"-"` // of one store
}

type factDoc struct {
	Survey    survey.SurveyID `json:"-"`
	Key       string          `json:"key"`
	Text      string          `json:"text"`
	Version   int             `json:"version"`
	UpdatedAt time.Time       `json:"updated_at"`
}

type revisionDoc struct {
	Survey   survey.SurveyID `json:"-"`
	Number   int             `json:"number"`
	SHA256   string          `json:"sha256"`
	Prev     string          `json:"prev"`
	By       string          `json:"by"`
	Although string          `json:"although"`
	At       time.Time       `json:"at"`
}

type renditionDoc struct {
	Number int       `json:"revision"`
	Name   string    `json:"name"`
	SHA256 string    `json:"sha256"`
	At     time.Time `json:"at"`
}

type changeDoc struct {
	Kind    string          `json:"kind"`
	ID      string          `json:"id"`
	What    string          `json:"change"`
	Version int             `json:"version"`
	Row     json.RawMessage `json:"row"`
	At      time.Time       `json:"at"`
	By      string          `json:"by"`
}

// documentOf is a snapshot as it is written.
func documentOf(v survey.Snapshot, facts []survey.Fact) document {
	d := document{Format: format, Schema: schema, Survey: siteDoc(v.Record.Survey), ChangedAt: v.Record.ChangedAt, LastPhoto: v.LastPhoto, LastPin: v.LastPin,
		Photos: each(v.Record.Photos, func(p survey.Photo) photoDoc { return photoDoc(p) }), Pins: v.Record.Pins,
		Facts:      each(facts, func(f survey.Fact) factDoc { return factDoc(f) }),
		Revisions:  each(v.Revisions, func(r survey.Revision) revisionDoc { return revisionDoc(r) }),
		Renditions: each(v.Renditions, func(r survey.Rendition) renditionDoc { return renditionDoc(r) }),
		Links:      each(v.Links, func(l survey.Link) linkDoc { return linkDoc(l) }),
		Inquiries:  each(v.Inquiries, func(i survey.Inquiry) inquiryDoc { return inquiryDoc(i) }),
		Approvals:  each(v.Approvals, func(a survey.Approval) approvalDoc { return approvalDoc(a) }),
		Finishes:   each(v.Finishes, func(f survey.Finish) finishDoc { return finishDoc(f) }),
		Seals:      each(v.Seals, func(s survey.Seal) sealDoc { return sealDoc(s) }),
		Filings:    each(v.Filings, func(f survey.Filing) filingDoc { return filingDoc(f) }),
		saidDoc:    saidOf(v.Record),
		History:    each(v.History, func(c survey.Change) changeDoc { return changeDoc(c) })}
	return d
}

// snapshot is the document as a store holds it.
func (d document) snapshot() survey.Snapshot {
	in := d.Survey.ID
	r := survey.Record{Survey: survey.Survey(d.Survey), ChangedAt: d.ChangedAt, Pins: d.Pins, Facts: map[string]survey.Fact{},
		Photos: each(d.Photos, func(p photoDoc) survey.Photo { return survey.Photo(p) })}
	for _, f := range d.Facts {
		f.Survey = in
		r.Facts[f.Key] = survey.Fact(f)
	}
	d.saidDoc.into(&r)
	v := survey.Snapshot{Record: r, LastPhoto: d.LastPhoto, LastPin: d.LastPin,
		Revisions: each(d.Revisions, func(v revisionDoc) survey.Revision {
			v.Survey = in
			return survey.Revision(v)
		}),
		Renditions: each(d.Renditions, func(v renditionDoc) survey.Rendition { return survey.Rendition(v) }),
		Filings: each(d.Filings, func(f filingDoc) survey.Filing {
			f.Survey = in
			return survey.Filing(f)
		}),
		History: each(d.History, changeDoc.change)}
	d.decided(&v)
	return v
}

// change is an entry of the history with its row as the store keeps it, without the indentation of survey.json.
func (c changeDoc) change() survey.Change {
	var row bytes.Buffer
	if err := json.Compact(&row, c.Row); err == nil { // else it is refused by checkHistory
		c.Row = row.Bytes()
	}
	return survey.Change(c)
}

// each is what to makes of every element.
func each[A, B any](list []A, to func(A) B) []B {
	out := make([]B, len(list))
	for i, a := range list {
		out[i] = to(a)
	}
	return out
}

// frozenContent is what a bundle needs to know of a revision's content: what it says of its own place in the chain, and the photos it stands on.
type frozenContent struct {
	Survey survey.SurveyID `json:"survey"`
	Number int             `json:"number"`
	Prev   string          `json:"prev"`
	Photos []frozenPhoto   `json:"photos"`
}

type frozenPhoto struct {
	SHA256 string `json:"sha256"`
	Screen string `json:"screen"`
	Thumb  string `json:"thumb"`
}
