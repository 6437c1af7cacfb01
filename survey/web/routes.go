package web

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
	"undercroft/survey/store"
)

// The limits on what a request may send.
const (
	maxForm = 1 << 20 // a form or a JSON document
	maxMany = 2 << 30 // many photos in one form, with what surrounds them

	maxSignIn  = 8 << 10     // a name and a password
	maxCarried = 4 * maxForm // a form within that form: what was typed when somebody was not signed in any more
	maxShared  = 256 << 10   // a question or a decision by a link; a drawn signature is its largest part
)

// routes lists every address of the site. None has a wildcard that spans segments.
func (s *Server) routes() {
	s.handle(http.MethodGet, "/", s.homePage)
	s.handle(http.MethodGet, "/healthz", s.healthy)
	s.handle(http.MethodGet, "/readyz", s.ready)
	s.handle(http.MethodGet, "/static/:hash/:folder/:file", s.staticFile)
	s.handle(http.MethodGet, "/sw.js", s.workerScript)
	s.handle(http.MethodGet, "/shell", s.shellList)
	s.handle(http.MethodGet, "/shell/:page", s.shellPage)
	s.handle(http.MethodGet, "/waiting", s.waitingPage)

	s.handle(http.MethodGet, "/signin", s.signInPage)
	s.handleUpTo(maxSignIn, http.MethodPost, "/signin", s.signIn)
	s.handleUpTo(maxCarried, http.MethodPost, "/signin/form", s.signInAndSend)
	s.handle(http.MethodPost, "/signout", s.signOut)
	s.handle(http.MethodGet, "/account", s.accountPage)
	s.handle(http.MethodPost, "/account/password", s.changePassword)
	s.handle(http.MethodPost, "/account/signout-everywhere", s.signOutEverywhere)

	s.handle(http.MethodGet, "/surveys", s.surveysPage)
	s.handle(http.MethodGet, "/surveys/new", s.newSurveyPage)
	s.handle(http.MethodPost, "/surveys", s.createSurvey)
	s.handle(http.MethodGet, "/surveys/erased", s.erasedPage)
	s.handle(http.MethodGet, "/surveys/:survey", s.deckPage)
	s.handle(http.MethodGet, "/surveys/:survey/filing", s.filingPage)
	s.handle(http.MethodPost, "/surveys/:survey/filing", s.fileSurvey)
	s.handle(http.MethodPost, returnRoute, s.returnSurvey)
	s.handle(http.MethodGet, "/surveys/:survey/erase", s.erasePage)
	s.handle(http.MethodPost, "/surveys/:survey/erase", s.eraseSurvey)
	s.handle(http.MethodPost, "/surveys/:survey/site", s.saveSite)
	s.handle(http.MethodPost, "/surveys/:survey/deck", s.saveDeck)

	s.handle(http.MethodGet, "/surveys/:survey/walk", s.walkPage)
	s.handle(http.MethodPost, "/surveys/:survey/walk", s.saveWalk)

	s.handle(http.MethodGet, "/surveys/:survey/photos", s.photosPage)
	s.handleUpTo(maxMany, http.MethodPost, "/surveys/:survey/photos", s.sendPhotos)
	s.handleUpTo(survey.MaxPhotoBytes+1, http.MethodPut, "/api/surveys/:survey/photos/:photo", s.putPhoto)
	s.handle(http.MethodGet, "/surveys/:survey/photos/:photo", s.photoPage)
	s.handle(http.MethodPost, "/surveys/:survey/photos/:photo", s.saveCaption)
	s.handle(http.MethodGet, "/surveys/:survey/photos/:photo/remove", s.removePhotoPage)
	s.handle(http.MethodPost, "/surveys/:survey/photos/:photo/remove", s.removePhoto)
	s.handle(http.MethodGet, "/surveys/:survey/photos/:photo/screen.jpg", s.screenImage)
	s.handle(http.MethodGet, "/surveys/:survey/photos/:photo/thumb.jpg", s.thumbImage)
	s.handle(http.MethodGet, "/surveys/:survey/photos/:photo/original", s.originalPhoto)
	s.handle(http.MethodGet, "/surveys/:survey/photos/:photo/pinned.jpg", s.pinnedPhoto)

	s.handle(http.MethodGet, "/surveys/:survey/plan", s.planPage)
	s.handle(http.MethodPost, "/surveys/:survey/outline", s.changeOutline)
	s.handle(http.MethodGet, "/surveys/:survey/sheets", s.sheetsPage)
	s.handle(http.MethodGet, "/surveys/:survey/ceiling", s.ceilingPage)
	s.handle(http.MethodPost, "/surveys/:survey/ceiling", s.saveCeiling)
	s.handle(http.MethodGet, "/surveys/:survey/cover", s.coverPage)
	s.handle(http.MethodPost, "/surveys/:survey/cover", s.saveCover)
	s.handle(http.MethodGet, "/surveys/:survey/leave", s.leavePage)
	s.handle(http.MethodPost, "/surveys/:survey/ready", s.saveReady)
	s.handle(http.MethodGet, "/surveys/:survey/review", s.reviewPage)
	s.handle(http.MethodPost, "/surveys/:survey/review", s.saveReview)
	s.handle(http.MethodGet, "/surveys/:survey/questions", s.questionsPage)
	s.handle(http.MethodPost, "/surveys/:survey/questions", s.askQuestion)
	s.handleUpTo(survey.MaxPhotoBytes+maxForm, http.MethodPost, "/surveys/:survey/questions/:question/reply", s.reply)
	s.handle(http.MethodGet, "/surveys/:survey/verified", s.verifiedPage)
	s.handle(http.MethodPost, "/surveys/:survey/verified", s.saveVerified)
	s.handle(http.MethodGet, "/surveys/:survey/verified/:verification", s.verificationPage)
	s.handle(http.MethodPost, "/surveys/:survey/verified/:verification/back", s.takeBack)
	s.handle(http.MethodGet, "/surveys/:survey/history", s.historyPage)
	s.handle(http.MethodGet, "/surveys/:survey/report", s.reportPage)
	s.handle(http.MethodGet, "/surveys/:survey/report.html", s.reportFile)
	s.handle(http.MethodGet, "/surveys/:survey/report.pdf", s.reportFile)
	s.handle(http.MethodGet, "/surveys/:survey/revisions", s.revisionsPage)
	s.handle(http.MethodPost, "/surveys/:survey/revisions", s.issueRevision)
	s.handle(http.MethodGet, "/surveys/:survey/revisions/:number", s.revisionPage)
	s.handle(http.MethodGet, "/surveys/:survey/revisions/:number/report.html", s.revisionFile)
	s.handle(http.MethodGet, "/surveys/:survey/revisions/:number/report.pdf", s.revisionFile)
	s.handle(http.MethodGet, "/surveys/:survey/revisions/:number/pictures/:sha256", s.revisionPicture)
	s.handle(http.MethodPost, "/surveys/:survey/revisions/:number/links", s.makeLink)
	s.handle(http.MethodPost, "/surveys/:survey/links/:link/revoke", s.revokeLink)
	s.handle(http.MethodPost, "/surveys/:survey/questions/:question", s.answerInquiry)
	s.handle(http.MethodGet, "/surveys/:survey/revisions/:number/sign", s.signPage)
	s.handle(http.MethodPost, "/surveys/:survey/revisions/:number/sign/decide", s.signRevision)
	s.handle(http.MethodGet, "/surveys/:survey/revisions/:number/sign/pictures/:sha256", s.signPicture)
	s.handle(http.MethodGet, "/surveys/:survey/revisions/:number/sign/scope.pdf", s.signScope)
	s.handle(http.MethodGet, "/surveys/:survey/revisions/:number/sign/receipt.pdf", s.signReceipt)
	s.handle(http.MethodGet, "/surveys/:survey/finish", s.finishPage)
	s.handleUpTo(maxMany, http.MethodPost, "/surveys/:survey/finish", s.saveFinish)
	s.handle(http.MethodPost, "/surveys/:survey/finish/reopen", s.reopenFinish)
	s.handle(http.MethodGet, "/surveys/:survey/finish/record.pdf", s.recordPaper)
	s.handle(http.MethodGet, "/surveys/:survey/finish/care.pdf", s.carePaper)
	s.handle(http.MethodGet, "/surveys/:survey/finish/sign", s.signFinishPage)
	s.handle(http.MethodPost, "/surveys/:survey/finish/sign", s.signFinish)
	s.handle(http.MethodGet, "/surveys/:survey/finish/sign/pictures/:sha256", s.signFinishPicture)
	s.handle(http.MethodGet, "/surveys/:survey/lists/:list", s.listFile)
	s.handle(http.MethodGet, "/surveys/:survey/bundle.zip", s.bundleFile)
	s.handle(http.MethodGet, "/surveys/:survey/scope", s.scopePage)
	s.handle(http.MethodPost, "/surveys/:survey/scope", s.saveScope)
	s.handle(http.MethodGet, "/settings", s.settingsPage)
	s.handle(http.MethodPost, "/settings", s.saveSettings)

	pages, pictures := newSharedLimit(sharedBurst, sharedEvery), newSharedLimit(pictureBurst, pictureEvery)
	s.handle(http.MethodGet, "/s/:token", s.shared(pages, s.sharedPage))
	s.handleUpTo(maxShared, http.MethodPost, "/s/:token/ask", s.shared(pages, s.ask))
	s.handleUpTo(maxShared, http.MethodPost, "/s/:token/decide", s.shared(pages, s.decide))
	s.handle(http.MethodGet, "/s/:token/scope.pdf", s.shared(pages, s.sharedScope))
	s.handle(http.MethodGet, "/s/:token/receipt.pdf", s.shared(pages, s.sharedReceipt))
	s.handle(http.MethodGet, "/s/:token/finish", s.shared(pages, s.sharedFinish))
	s.handleUpTo(maxShared, http.MethodPost, "/s/:token/finish", s.shared(pages, s.sharedSignOff))
	s.handle(http.MethodGet, "/s/:token/record.pdf", s.shared(pages, s.sharedRecord))
	s.handle(http.MethodGet, "/s/:token/care.pdf", s.shared(pages, s.sharedCare))
	s.handle(http.MethodGet, "/s/:token/finish/pictures/:sha256", s.shared(pictures, s.sharedFinishPicture))
	s.handle(http.MethodGet, "/s/:token/pictures/:sha256", s.shared(pictures, s.sharedPicture))

	s.handle(http.MethodPost, "/surveys/:survey/photos/:photo/pins", s.createPinForm)
	s.handle(http.MethodPost, "/surveys/:survey/pins/:pin", s.savePinForm)
	s.handle(http.MethodPost, "/surveys/:survey/pins/:pin/delete", s.deletePinForm)
	s.handle(http.MethodGet, "/api/surveys/:survey", s.sendRecord)
	s.handle(http.MethodPut, "/api/surveys/:survey", s.putSurvey)
	s.handle(http.MethodPut, "/api/surveys/:survey/facts", s.putFacts)
	s.handle(http.MethodHead, "/api/surveys/:survey/photos/:photo/upload", s.piecesThere)
	s.handleUpTo(store.PieceBytes+1, http.MethodPatch, "/api/surveys/:survey/photos/:photo/upload", s.addPiece)
	s.handle(http.MethodPut, "/api/surveys/:survey/photos/:photo/preview", s.putPreview)
	s.handle(http.MethodPut, "/api/surveys/:survey/pins/:pin", s.putPin)
	s.handle(http.MethodDelete, "/api/surveys/:survey/pins/:pin", s.removePin)

	s.handle(http.MethodGet, "/api/length", s.readLength)

	s.engine.NoRoute(s.adapt(maxForm, func(*gin.Context) error {
		return survey.Errorf(survey.NotFound, "There is no page at this address.")
	}))
	s.engine.NoMethod(s.adapt(maxForm, func(*gin.Context) error { return errMethod }))
}

// handle registers a handler whose request may send a form's worth of bytes. GET answers HEAD too.
func (s *Server) handle(method, path string, h func(c *gin.Context) error) {
	s.handleUpTo(maxForm, method, path, h)
}

// handleUpTo registers a handler whose request may send up to limit bytes. A route without a rule is not registered, and New fails for it.
func (s *Server) handleUpTo(limit int64, method, path string, h func(c *gin.Context) error) {
	rule, ok := s.ruleOf(method, path)
	if !ok {
		return
	}
	h = s.guarded(rule, s.notDeleted(path, h))
	s.engine.Handle(method, path, s.adapt(limit, h))
	if method == http.MethodGet {
		s.engine.Handle(http.MethodHead, path, s.adapt(limit, h))
	}
}

// adapt is the one place between gin and a handler: it names the route for the log, bounds the body in bytes and in time, and answers for a
// handler that returns an error.
func (s *Server) adapt(limit int64, h func(c *gin.Context) error) gin.HandlerFunc {
	return func(c *gin.Context) {
		requestOf(c.Request.Context()).route = c.FullPath()
		body := newBody(c.Writer, c.Request.Body, limit)
		defer body.pause()
		c.Request.Body = body
		if err := h(c); err != nil {
			s.fail(c, err)
		}
	}
}

// forAPI tells whether an answer is read by a program.
func forAPI(r *http.Request) bool { return strings.HasPrefix(r.URL.Path, "/api/") }
