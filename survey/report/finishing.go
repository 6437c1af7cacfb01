package report

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"github.com/gowebpki/jcs"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// finishingFormat goes up when a reader of the old content would misread the new one.
const finishingFormat = 1

// Finishing is what is frozen when the work is finished: what was said, the survey as it stood then, and the papers for the client in every language. Its canonical JSON
// (RFC 8785) is what the finishing's SHA-256 is of. Photos are those of the hose test; As is the survey without any report, against which later changes are told.
type Finishing struct {
	Format  int                 `json:"format"`
	Survey  survey.SurveyID     `json:"survey"`
	At      time.Time           `json:"at"`
	Work    survey.Work         `json:"work"`
	Photos  []frozenPhoto       `json:"photos"`
	As      Content             `json:"as"`
	Records []document.Document `json:"records"` // the completion record without a sign-off
	Care    []document.Document `json:"care"`    // the care sheet
}

// FinishingInput is what a finishing is made of. Approved is the content of the approved revision that the work is held against and By its approval; both are nil and empty when
// there is none. At is the time in the zone in which the papers tell the day; what is kept of it is in UTC. The day of a revision is told as the revision itself tells it.
type FinishingInput struct {
	Record   survey.Record
	Ceiling  survey.Ceiling
	Company  survey.Company
	Work     survey.Work
	Approved *Content
	By       survey.Approval
	At       time.Time
}

// AsBuilt lists what differs between an approved revision and the survey as it stands that a client is told: the ceiling and what was measured and pinned. Notes, photos, material, prices
// and the contractor's texts are not in it. Why is empty.
func AsBuilt(approved Content, r survey.Record, c survey.Ceiling, lang words.Lang) []survey.Built {
	d := &differ{voice: voice{lang}, old: approved, record: r, toClient: true}
	d.deck(c)
	list := make([]survey.Built, 0, len(d.list))
	for _, diff := range d.list {
		list = append(list, survey.Built{What: diff.What, Was: diff.Was, Now: diff.Now})
	}
	return list
}

// FreezeFinishing writes the content of a finishing and gives it with its SHA-256. The same input makes the same bytes.
func FreezeFinishing(in FinishingInput) (content []byte, sum string, err error) {
	f := Finishing{Format: finishingFormat, Survey: in.Record.Survey.ID, At: in.At.UTC(), Work: in.Work, Photos: []frozenPhoto{}}
	f.As = contentOf(survey.Revision{Survey: f.Survey, At: in.At}, in.Record, in.Ceiling, in.Company)
	f.As.Documents = []document.Document{}
	for _, p := range f.As.Photos {
		if slices.Contains(in.Work.Test.Photos, p.Number) {
			f.Photos = append(f.Photos, p)
		}
	}
	model := Build(in.Record, in.Ceiling, WithinReport(), in.At)
	for _, lang := range []words.Lang{words.English, words.Spanish} {
		f.Records = append(f.Records, completionRecord(model, in, lang))
		f.Care = append(f.Care, careSheet(model, in, lang))
	}
	plain, err := json.Marshal(f)
	if err != nil {
		return nil, "", fmt.Errorf("freeze finishing: %w", err)
	}
	if content, err = jcs.Transform(plain); err != nil {
		return nil, "", fmt.Errorf("freeze finishing: %w", err)
	}
	digest := sha256.Sum256(content)
	return content, hex.EncodeToString(digest[:]), nil
}

// ThawFinishing reads the content of a finishing. It fails on content of a format that this program does not know.
func ThawFinishing(content []byte) (Finishing, error) {
	var f Finishing
	if err := json.Unmarshal(content, &f); err != nil {
		return Finishing{}, fmt.Errorf("read finishing: %w", err)
	}
	if f.Format != finishingFormat {
		return Finishing{}, fmt.Errorf("read finishing: its format is %d, and this program knows %d", f.Format, finishingFormat)
	}
	return f, nil
}

// inLanguage finds the document of a language, the first where there is none in it.
func inLanguage(list []document.Document, lang words.Lang) document.Document {
	for _, d := range list {
		if d.Lang == string(lang) {
			return d
		}
	}
	return list[0]
}

// Said is the completion record in a language, as it is read before it is signed off.
func (f Finishing) Said(lang words.Lang) document.Document { return inLanguage(f.Records, lang) }

// DraftCareSheet is the care sheet of a ceiling that is not finished yet, as it would be at a time.
func DraftCareSheet(r survey.Record, c survey.Ceiling, company survey.Company, lang words.Lang, at time.Time) document.Document {
	d := careSheet(Build(r, c, WithinReport(), at), FinishingInput{Record: r, Ceiling: c, Company: company}, lang)
	v := voice{lang}
	d.Issue = v.say("Draft of %s", v.date(at))
	return d
}

// CareSheet is the care sheet in a language.
func (f Finishing) CareSheet(lang words.Lang) document.Document { return inLanguage(f.Care, lang) }

// frame fills in what every paper of a finishing has round its blocks.
func (c *composer) frame(house string, at time.Time) document.Document {
	d := c.doc
	d.Reader, d.Lang, d.House, d.Issue = document.Scope, string(c.lang), house, c.say("Finished %s", c.date(at))
	d.Labels = document.Labels{Contents: c.in("Contents"), PageOf: c.in("page {n} of {all}"), Continued: c.in("continued")}
	return d
}
