package report

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"github.com/gowebpki/jcs"

	"undercroft/calc"
	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// frozenFormat goes up when a reader of the old content would misread the new one.
const frozenFormat = 1

// Content is what a revision freezes: what is known, what was computed of it, and every report in every language. Its canonical JSON (RFC 8785) is what the
// revision's SHA-256 is of; every photo stands in it with the SHA-256 of its bytes.
type Content struct {
	Format    int                 `json:"format"`
	Survey    survey.SurveyID     `json:"survey"`
	Number    int                 `json:"number"`
	Prev      string              `json:"prev"`
	By        string              `json:"by"`
	Although  string              `json:"although"`
	At        time.Time           `json:"at"`
	Site      frozenSite          `json:"site"`
	Company   survey.Company      `json:"company"`
	Facts     map[string]string   `json:"facts"`
	Pins      []survey.Pin        `json:"pins"`
	Photos    []frozenPhoto       `json:"photos"`
	Plan      *calc.Plan          `json:"plan"`
	Documents []document.Document `json:"documents"`
}

// frozenSite is the survey's own texts.
type frozenSite struct {
	Title     string `json:"title"`
	Address   string `json:"address"`
	Client    string `json:"client"`
	Contact   string `json:"contact"`
	Surveyor  string `json:"surveyor"`
	VisitDate string `json:"visit_date"`
	Access    string `json:"access"`
	Notes     string `json:"notes"`
}

// frozenPhoto is a photo by its bytes: the original and the pictures made of it, empty where there are none.
type frozenPhoto struct {
	ID      survey.PhotoID `json:"id"`
	Number  int            `json:"number"`
	Caption string         `json:"caption"`
	SHA256  string         `json:"sha256"`
	Screen  string         `json:"screen"`
	Thumb   string         `json:"thumb"`
}

// Freeze writes the content of a revision of a survey as it stands and gives it with its SHA-256, which v.SHA256 is to be; v says everything else of the revision. o
// gives the contractor's texts and the revision before it; every document is written with and without metric lengths. The same survey, options and revision make the
// same bytes.
func Freeze(v survey.Revision, r survey.Record, c survey.Ceiling, o Options) (content []byte, sum string, err error) {
	frozen := contentOf(v, r, c, o.Company)
	frozen.Documents = issuedDocuments(v, r, c, o)
	plain, err := json.Marshal(frozen)
	if err != nil {
		return nil, "", fmt.Errorf("freeze revision: %w", err)
	}
	if content, err = jcs.Transform(plain); err != nil {
		return nil, "", fmt.Errorf("freeze revision: %w", err)
	}
	digest := sha256.Sum256(content)
	return content, hex.EncodeToString(digest[:]), nil
}

// contentOf is a survey as it stands, without a report.
func contentOf(v survey.Revision, r survey.Record, c survey.Ceiling, company survey.Company) Content {
	frozen := Content{Format: frozenFormat, Survey: v.Survey, Number: v.Number, Prev: v.Prev, By: v.By, Although: v.Although, At: v.At.UTC(), Company: company, Plan: c.Plan,
		Facts: map[string]string{}, Pins: append([]survey.Pin{}, r.Pins...), Photos: []frozenPhoto{}}
	s := r.Survey
	frozen.Site = frozenSite{s.Title, s.Address, s.Client, s.Contact, s.Surveyor, s.VisitDate, s.Access, s.Notes}
	for key, f := range r.Facts {
		if f.Text != "" {
			frozen.Facts[key] = f.Text
		}
	}
	for _, p := range r.Photos {
		frozen.Photos = append(frozen.Photos, frozenPhoto{p.ID, p.Number, p.Caption, p.SHA256, p.Screen, p.Thumb})
	}
	return frozen
}

// issuedDocuments writes every report in every language, with and without metric lengths.
func issuedDocuments(v survey.Revision, r survey.Record, c survey.Ceiling, o Options) []document.Document {
	model := Build(r, c, WithinReport(), v.At)
	var list []document.Document
	for _, reader := range []document.Reader{document.Crew, document.Scope, document.Survey} {
		for _, lang := range []words.Lang{words.English, words.Spanish} {
			for _, o.Metric = range []bool{false, true} {
				d := model.Document(reader, lang, o)
				d.Issue = words.Say("Revision %d of %s", v.Number, voice{lang}.date(v.At)).In(lang)
				list = append(list, d)
			}
		}
	}
	return list
}

// Thaw reads the content of a revision. It fails on content of a format that this program does not know.
func Thaw(content []byte) (Content, error) {
	var c Content
	if err := json.Unmarshal(content, &c); err != nil {
		return Content{}, fmt.Errorf("read revision: %w", err)
	}
	if c.Format != frozenFormat {
		return Content{}, fmt.Errorf("read revision: its format is %d, and this program knows %d", c.Format, frozenFormat)
	}
	return c, nil
}

// Document finds a report among what was frozen, and puts the fingerprint of the revision on it. NotFound when there is none for this reader in this language.
func (c Content) Document(reader document.Reader, lang words.Lang, metric bool, sha256 string) (document.Document, error) {
	for _, d := range c.Documents {
		if d.Reader == reader && d.Lang == string(lang) && d.Metric == metric {
			d.Print = survey.Fingerprint(sha256)
			return d, nil
		}
	}
	return document.Document{}, survey.Errorf(survey.NotFound, "There is no such report.")
}
