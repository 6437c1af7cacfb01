package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/survey/report/document"
	"undercroft/templates"
)

// questionsPage is what staff ask each other about a survey: open questions, answered ones, and the form that asks.
type questionsPage struct {
	basePage
	Open, Answered []threadView
	Ask            *questionForm
	AskHref        string // where one asks about the whole survey
	Action         string
	Problem        problemView
	Saved          string
}

// questionForm is the form of a new question.
type questionForm struct {
	ID, Subject, Target, About, Href string
	Text, By                         fieldView
}

// threadView is a question with everything that was said, and the form that goes on with it.
type threadView struct {
	ID, About, Href string // Href is empty when what it is about is gone
	Open            bool
	State           stateView
	Remarks         []remarkView
	Reply           *replyView
}

// remarkView is one thing that was said.
type remarkView struct {
	Asks           bool
	Text, By, When string
	Photo          string // its name, empty for none
	PhotoHref, Img string
	Width, Height  int
}

// replyView is the form of an answer, or of a further question once there is one.
type replyView struct {
	Action, ID string
	Kind       survey.RemarkKind // what the form says that it sends
	Text, By   fieldView
	Photos     []survey.Option
	Photo      string // the chosen one
}

// maxPrefill is the most of an address's words that a question's field begins with.
const maxPrefill = 200

func questionsPath(in survey.SurveyID) string { return surveyPath(in) + "/questions" }

// askPath is where one asks about a thing; words begin the question.
func askPath(r survey.Record, subject survey.Subject, target, words string) string {
	q := url.Values{"about": {string(subject)}, "target": {target}}
	if words != "" {
		q.Set("text", words+": ")
	}
	return questionsPath(r.Survey.ID) + "?" + q.Encode() + "#ask"
}

// askWords is what the button says that asks about a thing: how many questions about it are open, too.
func askWords(r survey.Record, subject survey.Subject, target string) string {
	open := 0
	for _, t := range r.ThreadsAbout(subject, target) {
		if t.Open() {
			open++
		}
	}
	if open > 0 {
		return "Ask (" + counted(open, "open question") + ")"
	}
	return "Ask"
}

// questionsInput is what the page is made of: the record, and, when a form is shown again, what was typed with what is wrong with it.
type questionsInput struct {
	record survey.Record
	typed  *survey.Remark // as it was not kept
	err    error
}

// questionsPage lists the questions; the query's "about" and "target" open the form of a new one.
func (s *Server) questionsPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showQuestions(c, questionsInput{record: r})
}

// showQuestions renders the page, with the status of what went wrong, if anything.
func (s *Server) showQuestions(c *gin.Context, in questionsInput) error {
	r := in.record
	path := questionsPath(r.Survey.ID)
	page := questionsPage{basePage: s.surveyPage("Questions", screenQuestions, r), Action: path, AskHref: path + "?about=" + string(survey.SubjectSurvey) + "#ask"}
	for _, t := range survey.Threads(r.Remarks) {
		v := s.viewThread(r, t)
		v.Reply = s.replyForm(c, r, t, in)
		if v.Open {
			page.Open = append(page.Open, v)
		} else {
			page.Answered = append(page.Answered, v)
		}
	}
	slices.Reverse(page.Answered)
	var err error
	if page.Ask, err = s.askForm(c, in); err != nil {
		return err
	}
	status := http.StatusOK
	switch {
	case in.err != nil:
		requestOf(c.Request.Context()).err = in.err
		status = statusOf(in.err)
		page.Problem = problemView{Weight: weightStop, Head: survey.Message(in.err), Fields: page.problems()}
		if status == http.StatusConflict {
			page.Problem.Weight = weightWarn
		}
	default:
		page.Saved = map[string]string{"ask": "The question is asked. It stays open until somebody answers.", "answer": "The answer is kept."}[c.Query("saved")]
	}
	return s.render(c, status, "questions", page)
}

// problems are the fields of the form that was sent that need another look.
func (p questionsPage) problems() []problemField {
	var views []fieldView
	if p.Ask != nil {
		views = append(views, p.Ask.Text, p.Ask.By)
	}
	for _, t := range slices.Concat(p.Open, p.Answered) {
		if t.Reply != nil {
			views = append(views, t.Reply.Text, t.Reply.By)
		}
	}
	return problems(views)
}

// viewThread is a question without its form.
func (s *Server) viewThread(r survey.Record, t survey.Thread) threadView {
	first := t.First()
	v := threadView{ID: first.ID, About: first.About, Href: subjectPath(r, first), Open: t.Open(), State: stateView{weightFine, "answered"}}
	if v.Open {
		v.State = stateView{weightWarn, "open"}
	}
	for _, m := range t {
		said := remarkView{Asks: m.Kind == survey.RemarkAsk, Text: m.Text, By: m.By, When: templates.When(s.now(), m.At)}
		if photo, ok := r.Photo(m.Photo); ok {
			said.Photo, said.PhotoHref = fmt.Sprintf("Photo %d", photo.Number), photoPath(photo)
			if photo.Shown() {
				said.Img, said.Width, said.Height = thumbPath(photo), photo.Width, photo.Height
			}
		} else if m.Photo != "" {
			said.Photo = "Its photo was removed from the survey."
		}
		v.Remarks = append(v.Remarks, said)
	}
	return v
}

// subjectPath is where a question's subject is found, empty when it is gone.
func subjectPath(r survey.Record, m survey.Remark) string {
	home := surveyPath(r.Survey.ID)
	switch m.Subject {
	case survey.SubjectPin:
		if pin, ok := r.Pin(survey.PinID(m.Target)); ok {
			return fmt.Sprintf("%s?pin=%s#pin", photoPathOf(r.Survey.ID, pin.Photo), pin.ID)
		}
	case survey.SubjectPhoto:
		if photo, ok := r.Photo(survey.PhotoID(m.Target)); ok {
			return photoPath(photo)
		}
	case survey.SubjectFact:
		if _, ok := survey.FactField(r, m.Target); ok {
			return home + "#" + controlID(fieldPrefix+m.Target)
		}
	case survey.SubjectLine:
		return home + "/report#" + m.Target
	case survey.SubjectSurvey:
		return home
	}
	return ""
}

// askForm is the form of a new question: about what the address names, or what was asked and not kept. nil when the address names nothing.
func (s *Server) askForm(c *gin.Context, in questionsInput) (*questionForm, error) {
	m := survey.Remark{ID: survey.NewID(), Subject: survey.Subject(c.Query("about")), Target: c.Query("target"), Text: cleanText(c.Query("text"))}
	if len(m.Text) > maxPrefill {
		m.Text = ""
	}
	if m.Text != "" {
		m.Text += " "
	}
	var texts map[string]string
	if in.typed != nil {
		if m = *in.typed; m.Question != m.ID {
			return nil, nil
		}
		texts = fieldTexts(in.err)
	} else if m.Subject == "" {
		return nil, nil
	}
	about, err := s.nameSubject(in.record, m.Subject, m.Target)
	if err != nil {
		return nil, err
	}
	m.About = about
	text, by := remarkFields(c, "ask", m, texts)
	return &questionForm{ID: m.ID, Subject: string(m.Subject), Target: m.Target, About: about, Href: subjectPath(in.record, m), Text: text, By: by}, nil
}

// remarkFields are the fields of what is said and who says it.
func remarkFields(c *gin.Context, form string, m survey.Remark, texts map[string]string) (text, by fieldView) {
	text = newFieldView(survey.Field{Key: "text", Label: "Your question", Type: survey.TypeText, Required: true}, fieldPrefix+"text", "")
	text.Control, text.Text, text.Problem = "area", m.Text, texts["text"]
	by = newFieldView(survey.Field{Key: "by", Label: "Your name", Type: survey.TypeText, Required: true}, fieldPrefix+"by", "")
	by.Text, by.Problem = m.By, texts["by"]
	text.ID, by.ID = "text-"+form, "by-"+form
	return text, signedBy(c.Request.Context(), by)
}

// nameSubject says what a subject is called: a part of the report by its heading. NotFound when there is none.
func (s *Server) nameSubject(r survey.Record, subject survey.Subject, target string) (string, error) {
	if subject == survey.SubjectLine {
		m := report.Build(r, survey.Compute(r), report.WithinReport(), s.now())
		for _, b := range m.Document(document.Crew, catalogue.English, report.Options{}).Blocks {
			if b.Heading != nil && b.Heading.ID == target && target != "" {
				return b.Heading.Text, nil
			}
		}
	} else if about, ok := r.NameSubject(subject, target); ok {
		return about, nil
	}
	return "", survey.Errorf(survey.NotFound, "What you ask about is not there any more.")
}

// askQuestion keeps a new question.
func (s *Server) askQuestion(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	id, err := survey.ParseID(form.id)
	if err != nil {
		return survey.Errorf(survey.Invalid, "The form's own number is missing. Open the page anew.")
	}
	sent := c.Request.PostForm
	m := survey.Remark{ID: id, Survey: r.Survey.ID, Question: id, Kind: survey.RemarkAsk, Subject: survey.Subject(sent.Get("about")), Target: strings.TrimSpace(sent.Get("target")), Text: form.text["text"],
		By: signer(c.Request.Context(), form.text["by"])}
	if m.About, err = s.nameSubject(r, m.Subject, m.Target); err != nil {
		return err
	}
	if m, err = s.keepRemark(c, m); err != nil {
		return s.showQuestions(c, questionsInput{record: r, typed: &m, err: err})
	}
	return redirect(c, questionsPath(r.Survey.ID)+"?saved=ask#q-"+m.ID)
}

// keepRemark stores a remark; one that is refused comes back as it was typed.
func (s *Server) keepRemark(c *gin.Context, m survey.Remark) (survey.Remark, error) {
	kept, err := s.store.Remark(c.Request.Context(), m)
	if err != nil {
		return m, err
	}
	return kept, nil
}
