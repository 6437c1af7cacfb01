package web

import (
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/survey/report/document"
)

// signOffPage is the completion record as the client reads it and signs it off: by the link, or on the phone of who stands there. It has no way into the rest of the site.
type signOffPage struct {
	basePage
	Lang      string
	Languages []offerLanguage
	Words     report.FinishWords
	Report    report.Page
	Print     string
	At, Query string
	Record    string // its address as a PDF
	Care      string
	SHA256    string
	Agreed    string // sum of the text that is agreed to
	Signed    string // who signed off and when; empty while nobody has
	Problem   problemView

	Name, Signature                          string // as typed
	NameProblem, TickProblem, DrawingProblem string
	InPerson                                 bool
	Wide, High                               int
}

// signOff is what a sign-off page is made of.
type signOff struct {
	survey     survey.SurveyID
	revision   int // the only one that may be shown, 0 for any
	done, sign survey.Finish
	finishing  report.Finishing
	lang       catalogue.Lang
	at         string // the address of the page
	papers     string // what the addresses of the papers begin with
	with       string // who hands the phone over; empty by a link
	link       survey.LinkID
	back       string
}

// loadSignOff reads finished work. NotFound while it is not finished, and when it was held against another revision than the one named; 0 names none.
func (s *Server) loadSignOff(c *gin.Context, in survey.SurveyID, revision int) (signOff, error) {
	acts, err := s.checkedActs(c, in)
	if err != nil {
		return signOff{}, err
	}
	now := survey.FinishNow(acts)
	if !now.Finished() || revision != 0 && now.Done.Approved != revision {
		return signOff{}, survey.Errorf(survey.NotFound, "The work is not finished yet.")
	}
	o := signOff{survey: in, revision: revision, done: now.Done, sign: now.Sign, lang: queryLang(c)}
	o.finishing, err = s.finishing(now.Done)
	return o, err
}

// handedFinish is finished work on the phone of who is signed in. Where nobody has to sign in, it is who finished it.
func (s *Server) handedFinish(c *gin.Context) (signOff, error) {
	id, err := surveyID(c)
	if err != nil {
		return signOff{}, err
	}
	if _, err := s.store.Survey(c.Request.Context(), id); err != nil {
		return signOff{}, err
	}
	o, err := s.loadSignOff(c, id, 0)
	if err != nil {
		return signOff{}, err
	}
	o.at, o.papers, o.back = finishPath(id)+"/sign", finishPath(id)+"/", finishPath(id)
	o.with = signer(c.Request.Context(), o.done.By)
	return o, nil
}

// signFinishPage shows finished work to somebody who is handed the phone.
func (s *Server) signFinishPage(c *gin.Context) error {
	o, err := s.handedFinish(c)
	if err != nil {
		return err
	}
	return s.showSignOff(c, http.StatusOK, s.signOffPage(o))
}

// signFinish keeps a sign-off in person.
func (s *Server) signFinish(c *gin.Context) error {
	o, err := s.handedFinish(c)
	if err != nil {
		return err
	}
	return s.signOffBy(c, o)
}

// signFinishPicture sends a picture of the record.
func (s *Server) signFinishPicture(c *gin.Context) error {
	o, err := s.handedFinish(c)
	if err != nil {
		return err
	}
	return s.finishPicture(c, o, "private, max-age=31536000, immutable")
}

// linkFinish is finished work under a link to the revision that it was held against.
func (s *Server) linkFinish(c *gin.Context, o offer, link survey.LinkID) (signOff, error) {
	f, err := s.loadSignOff(c, o.revision.Survey, o.revision.Number)
	f.at, f.papers, f.back, f.link = o.at+"/finish", o.at+"/", o.at+o.query(""), link
	return f, err
}

// sharedFinish shows finished work under a link. While the work goes on, or goes on again, the link leads to the scope.
func (s *Server) sharedFinish(c *gin.Context, o offer, link survey.LinkID) error {
	f, err := s.linkFinish(c, o, link)
	if survey.KindOf(err) == survey.NotFound {
		return redirect(c, o.at+o.query(""))
	}
	if err != nil {
		return err
	}
	return s.showSignOff(c, http.StatusOK, s.signOffPage(f))
}

// sharedSignOff keeps a sign-off that came by a link.
func (s *Server) sharedSignOff(c *gin.Context, o offer, link survey.LinkID) error {
	f, err := s.linkFinish(c, o, link)
	if survey.KindOf(err) == survey.NotFound {
		return redirect(c, o.at+o.query(""))
	}
	if err != nil {
		return err
	}
	return s.signOffBy(c, f)
}

// sharedFinishPicture sends a picture of the record.
func (s *Server) sharedFinishPicture(c *gin.Context, o offer, link survey.LinkID) error {
	f, err := s.linkFinish(c, o, link)
	if err != nil {
		return err
	}
	return s.finishPicture(c, f, "no-store")
}

// sharedRecord sends the completion record.
func (s *Server) sharedRecord(c *gin.Context, o offer, link survey.LinkID) error {
	f, err := s.linkFinish(c, o, link)
	if err != nil {
		return err
	}
	return s.sendFinishRecord(c, f.done, f.sign)
}

// sharedCare sends the care sheet.
func (s *Server) sharedCare(c *gin.Context, o offer, link survey.LinkID) error {
	f, err := s.linkFinish(c, o, link)
	if err != nil {
		return err
	}
	return s.sendCareSheet(c, f.done)
}

func (o signOff) query() string {
	if o.lang == catalogue.English {
		return ""
	}
	return "?lang=" + string(o.lang)
}

// document is the record as the page shows it: with the sign-off once there is one.
func (o signOff) document() document.Document {
	if o.sign.Seq == 0 {
		return o.finishing.Said(o.lang)
	}
	return o.finishing.Record(o.lang, o.done, o.sign)
}

// signOffPage fills what the page shows when nothing was typed yet.
func (s *Server) signOffPage(o signOff) signOffPage {
	doc, w := o.document(), report.NewFinishWords(o.lang, o.finishing)
	p := signOffPage{basePage: s.plainPage(doc.Title), Lang: string(o.lang), Words: w, Print: survey.Fingerprint(o.done.SHA256), At: o.at, Query: o.query(), Record: o.papers + "record.pdf" + o.query(), Care: o.papers + "care.pdf" + o.query(),
		SHA256: o.done.SHA256, Agreed: survey.Finish{Consent: w.Consent}.ConsentSum(), Report: report.NewPage(doc, "letter", func(sha256 string) string { return o.at + "/pictures/" + sha256 }), InPerson: o.with != "", Wide: survey.StrokesWide, High: survey.StrokesHigh}
	p.House, p.BackHref = o.finishing.As.Site.Title, o.back
	if o.sign.Seq > 0 {
		p.Signed = w.Signed(o.sign)
	}
	for _, l := range []struct {
		lang  catalogue.Lang
		label string
	}{{catalogue.English, "English"}, {catalogue.Spanish, "Español"}} {
		in := o
		in.lang = l.lang
		p.Languages = append(p.Languages, offerLanguage{Href: o.at + in.query(), Label: l.label, Lang: string(l.lang), Current: l.lang == o.lang})
	}
	return p
}

func (s *Server) showSignOff(c *gin.Context, status int, p signOffPage) error {
	return s.render(c, status, "signoff", p)
}

// signOffBy keeps what the form signs. The form says which content the person saw: another is a Conflict, and so is work that was signed off or opened again meanwhile.
func (s *Server) signOffBy(c *gin.Context, o signOff) error {
	if _, err := readForm(c); err != nil {
		return err
	}
	form, w := c.Request.PostForm, report.NewFinishWords(o.lang, o.finishing)
	f := survey.Finish{Survey: o.survey, Act: survey.SignedOff, SHA256: o.done.SHA256, By: o.with, Name: oneLine(form.Get("name")), Consent: w.Consent, Lang: string(o.lang), Link: o.link,
		Address: c.ClientIP(), Agent: clipped(oneLine(c.Request.UserAgent()), maxAgent)}
	if o.with != "" {
		f.Signature = form.Get("signature")
	}
	err := f.Validate()
	texts := fieldTexts(err)
	if form.Get("consent") != "yes" {
		texts["consent"] = w.NeedTick
	}
	switch {
	case len(texts) == 0 && err == nil && (form.Get("sha256") != o.done.SHA256 || form.Get("agreed") != f.ConsentSum()):
		err = survey.Errorf(survey.Conflict, "Another finishing or another text was read.")
	case len(texts) == 0 && err == nil:
		_, err = s.store.Finish(c.Request.Context(), f)
	case err == nil:
		err = survey.Errorf(survey.Invalid, "The consent was not given.")
	}
	switch survey.KindOf(err) {
	case survey.Invalid, survey.Conflict:
		return s.unsigned(c, o, f, texts, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, o.at+o.query()+"#sign")
}

// unsigned shows the form again with what was typed and what is wrong with it; after a Conflict with what stands now.
func (s *Server) unsigned(c *gin.Context, o signOff, f survey.Finish, texts map[string]string, err error) error {
	requestOf(c.Request.Context()).err = err
	if survey.KindOf(err) == survey.Conflict {
		fresh, failed := s.loadSignOff(c, o.survey, o.revision)
		if failed != nil {
			return failed
		}
		fresh.at, fresh.papers, fresh.back, fresh.with, fresh.link = o.at, o.papers, o.back, o.with, o.link
		p := s.signOffPage(fresh)
		p.Problem, p.Name = problemView{Weight: weightWarn, Head: p.Words.Changed}, f.Name
		return s.showSignOff(c, http.StatusConflict, p)
	}
	p := s.signOffPage(o)
	w := p.Words
	p.Name, p.Problem = f.Name, problemView{Weight: weightStop, Head: w.LookAgain}
	if texts["signature"] == "" {
		p.Signature = f.Signature
	}
	for _, x := range []struct {
		key, id, label, text string
		at                   *string
	}{{"name", "name", w.FullName, w.NeedName, &p.NameProblem}, {"signature", "signpad", w.Drawn, w.NeedDrawing, &p.DrawingProblem}, {"consent", "consent", w.NeedTick, w.NeedTick, &p.TickProblem}} {
		if texts[x.key] != "" {
			*x.at = x.text
			p.Problem.Fields = append(p.Problem.Fields, problemField{x.id, x.label, x.text})
		}
	}
	return s.showSignOff(c, http.StatusUnprocessableEntity, p)
}

// finishPicture sends a picture that the record shows, and no other.
func (s *Server) finishPicture(c *gin.Context, o signOff, cache string) error {
	sum := c.Param("sha256")
	if sum == "" || !slices.ContainsFunc(o.document().Blocks, func(b document.Block) bool { return b.Photo != nil && b.Photo.SHA256 == sum }) {
		return survey.Errorf(survey.NotFound, "There is no such picture.")
	}
	c.Header("Content-Type", "image/jpeg")
	return s.sendBlob(c, sum, cache)
}
