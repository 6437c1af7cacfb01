package web

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/survey/report/document"
)

// reportPage is Reports: the choices, and the chosen document below them.
type reportPage struct {
	basePage
	Report                  report.Page
	Action                  string
	Choices                 []choiceView
	Saved                   string
	FileHref, PDFHref       string
	ScopeHref, SettingsHref string // empty for a revision, which nothing changes
	RevisionsHref           string
}

// choiceView is one choice of a report: a row of answers.
type choiceView struct {
	Label, Name, Chosen string
	Options             []survey.Option
}

// reportChoice is what an address asks for.
type reportChoice struct {
	reader document.Reader
	lang   catalogue.Lang
	paper  string
	metric bool
}

// reportChoices are the choices with their answers; the first answer stands where none, or one that is no answer, is given.
func reportChoices() []choiceView {
	return []choiceView{
		{"For", "for", "", []survey.Option{{Value: "crew", Label: "Crew"}, {Value: "scope", Label: "Homeowner"}, {Value: "survey", Label: "Office"}}},
		{"Language", "lang", "", []survey.Option{{Value: "en", Label: "English"}, {Value: "es", Label: "Español"}}},
		{"Paper", "paper", "", []survey.Option{{Value: "letter", Label: "Letter"}, {Value: "a4", Label: "A4"}}},
		{"Lengths", "metric", "", []survey.Option{{Value: "no", Label: "Feet and inches"}, {Value: "yes", Label: "Metric beside"}}},
	}
}

// readChoice reads what an address asks for, and gives the choices with the chosen answers.
func readChoice(c *gin.Context) (reportChoice, []choiceView) {
	views := reportChoices()
	for i, v := range views {
		asked := c.Query(v.Name)
		if !slices.ContainsFunc(v.Options, func(o survey.Option) bool { return o.Value == asked }) {
			asked = v.Options[0].Value
		}
		views[i].Chosen = asked
	}
	return reportChoice{document.Reader(views[0].Chosen), catalogue.Lang(views[1].Chosen), views[2].Chosen, views[3].Chosen == "yes"}, views
}

// query asks for the same again.
func (k reportChoice) query() string {
	v := url.Values{"for": {string(k.reader)}, "lang": {string(k.lang)}, "paper": {k.paper}}
	if k.metric {
		v.Set("metric", "yes")
	}
	return v.Encode()
}

// reportPage shows the chosen document; printing it is the browser's business, the style sheet's print part makes it fit for paper.
func (s *Server) reportPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	choice, views := readChoice(c)
	doc, err := s.document(c, r, choice)
	if err != nil {
		return err
	}
	home := surveyPath(r.Survey.ID)
	page := reportPage{basePage: s.surveyPage("Report", screenReport, r), Action: home + "/report", Choices: views, FileHref: home + "/report.html?" + choice.query(), PDFHref: home + "/report.pdf?" + choice.query(), ScopeHref: home + "/scope",
		SettingsHref: "/settings", RevisionsHref: home + "/revisions", Report: report.NewPage(doc, choice.paper, func(sha256 string) string { return screenOf(r, sha256) })}
	if choice.reader == document.Crew {
		page.Report.AskHref = questionsPath(r.Survey.ID) + "?about=" + string(survey.SubjectLine) + "&target="
	}
	if c.Query("saved") == "scope" {
		page.Saved = "What the scope says is saved."
	}
	return s.render(c, http.StatusOK, "report", page)
}

// screenOf is the address of the picture with these bytes.
func screenOf(r survey.Record, sha256 string) string {
	for _, p := range r.Photos {
		if p.Screen == sha256 {
			return screenPath(p)
		}
	}
	return ""
}

// document is the chosen document as the survey stands now.
func (s *Server) document(c *gin.Context, r survey.Record, choice reportChoice) (document.Document, error) {
	company, err := s.store.Company(c.Request.Context())
	if err != nil {
		return document.Document{}, err
	}
	issued, err := s.store.Revisions(c.Request.Context(), r.Survey.ID)
	if err != nil {
		return document.Document{}, err
	}
	last, err := s.lastContent(issued)
	if err != nil {
		return document.Document{}, err
	}
	approved, err := s.approvedContent(c, issued)
	if err != nil {
		return document.Document{}, err
	}
	m := report.Build(r, survey.Compute(r), report.WithinReport(), s.now())
	return m.Document(choice.reader, choice.lang, report.Options{Metric: choice.metric, Company: company, Last: last, Approved: approved}), nil
}

// reportFile sends the chosen document as one file that needs no other, to be kept or passed on: a page, or a PDF.
func (s *Server) reportFile(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	choice, _ := readChoice(c)
	doc, err := s.document(c, r, choice)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	kind := fileKind(c)
	if err := s.paintFile(c, &out, doc, choice, kind); err != nil {
		return err
	}
	c.Header("Content-Disposition", attachment(fileName(r.Survey.Title)+"-"+choice.file()+"."+kind))
	c.Header("Content-Length", strconv.Itoa(out.Len()))
	c.Header("Cache-Control", "no-store")
	c.Data(http.StatusOK, fileTypes[kind], out.Bytes())
	return nil
}

// file names the document in the name of a file: report, scope or survey, with its language unless that is English.
func (k reportChoice) file() string {
	name := string(k.reader)
	if k.reader == document.Crew {
		name = "report"
	}
	if k.lang != catalogue.English {
		name += "-" + string(k.lang)
	}
	return name
}

// picture reads a stored picture.
func (s *Server) picture(sha256 string) ([]byte, error) {
	f, err := s.store.OpenBlob(sha256)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	body, err := io.ReadAll(f)
	if err != nil {
		return nil, fmt.Errorf("read picture %s: %w", sha256, err)
	}
	return body, nil
}

// fileName makes a file's name of a title: letters and digits of ASCII, at most 40, with dashes between; "survey" when none are left.
func fileName(title string) string {
	words := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool { return r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	name := strings.Join(words, "-")
	if len(name) > 40 {
		name = strings.Trim(name[:40], "-")
	}
	if name == "" {
		return "survey"
	}
	return name
}
