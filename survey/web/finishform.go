package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/url"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"
	"github.com/google/uuid"

	"undercroft/survey"
	"undercroft/survey/report"
)

// What the form of finishing may send: the parts, the bytes of one text, and the photos of the hose test.
const (
	maxFinishParts  = 2000
	maxFinishText   = 16 << 10
	maxFinishPhotos = 2
)

// saveFinish saves what was typed, always, so that nothing is lost and somebody else can go on; then it finishes the work when that button was pressed.
func (s *Server) saveFinish(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	parts := finishParts{server: s, survey: r.Survey.ID, body: c.Request.Body, values: url.Values{}}
	sendErr := parts.readForm(c)
	if sendErr != nil && survey.KindOf(sendErr) == survey.Internal {
		return sendErr
	}
	if len(parts.photos) > 0 {
		if r, err = s.record(c); err != nil { // with the photos that came along
			return err
		}
	}
	form := parts.typed(r)
	if r.Ended.Finished() {
		return s.showFinish(c, factForm{record: r, err: survey.Errorf(survey.Conflict, "The work is finished already. Open the survey again before you finish it anew.")})
	}
	e, err := s.ending(c, r)
	if err != nil {
		return err
	}
	if in, saved := s.saveDraft(c, r, e, form); !saved {
		return s.showFinish(c, in)
	}
	at := s.now() // before the record is read: a change that comes meanwhile is one since the finishing
	if r, err = s.record(c); err != nil {
		return err
	}
	switch {
	case sendErr != nil:
		return s.showFinish(c, factForm{record: r, texts: map[string]string{survey.FinishPhoto: survey.Message(sendErr)}, err: sendErr})
	case parts.values.Get("do") != "finish" && len(parts.photos) > 0:
		return redirect(c, finishPath(r.Survey.ID)+"?saved=photo#test")
	case parts.values.Get("do") != "finish":
		return redirect(c, finishPath(r.Survey.ID)+"?saved=draft")
	}
	err = s.finish(c, r, parts.values.Get("seen"), at)
	if kind := survey.KindOf(err); kind == survey.Invalid || kind == survey.Conflict {
		if r, failed := s.record(c); failed == nil {
			return s.showFinish(c, factForm{record: r, texts: fieldTexts(err), err: err})
		}
	}
	if err != nil {
		return err
	}
	return redirect(c, finishPath(r.Survey.ID)+"?saved=finished")
}

// saveDraft keeps what was typed as facts. Where it cannot, it gives the form to show again.
func (s *Server) saveDraft(c *gin.Context, r survey.Record, e ending, form typedForm) (again factForm, saved bool) {
	fields := survey.FinishFields(r, e.built)
	changes, clashes := form.merge(fields, func(key string) string { return r.Facts[key].Text })
	if len(clashes) > 0 {
		return factForm{record: r, form: &form, clashes: clashes, err: errClash}, false
	}
	facts := changedFacts(r, fields, changes)
	if err := survey.ValidateFacts(r, facts); err != nil {
		return factForm{record: r, form: &form, texts: fieldTexts(err), err: err}, false
	}
	_, err := s.store.PutFacts(c.Request.Context(), r.Survey.ID, facts)
	if survey.KindOf(err) == survey.Conflict {
		if fresh, failed := s.record(c); failed == nil {
			r = fresh
		}
		_, clashes = form.merge(fields, func(key string) string { return r.Facts[key].Text })
		return factForm{record: r, form: &form, clashes: clashes, err: errClash}, false
	}
	return factForm{record: r, form: &form, err: err}, err == nil
}

// errBuiltChanged is why nothing is finished whose lines the person did not see.
var errBuiltChanged = survey.Errorf(survey.Conflict, "The approved revision, or what differs from it, changed after the page was opened. What you typed is saved. Look at part 1 again before you finish.")

// finish freezes what was said with the papers of it, and keeps that the work is finished. seen is the sum of the lines as built that the form showed; at is a time before the
// record was read, in the zone in which the papers tell the day.
func (s *Server) finish(c *gin.Context, r survey.Record, seen string, at time.Time) error {
	ctx := c.Request.Context()
	e, err := s.ending(c, r)
	if err != nil {
		return err
	}
	if err := e.damaged(); err != nil {
		return &survey.Error{Kind: survey.Conflict, Message: "The record of what was approved or finished is damaged, so it cannot be finished now. Ask whoever looks after the server to run “undercroft check”.", Cause: err}
	}
	shown, err := e.seen()
	if err != nil {
		return err
	}
	if seen != shown {
		return errBuiltChanged
	}
	now := at.Truncate(time.Millisecond)
	work, err := survey.ReadWork(r, e.built, e.issued, e.made, signer(ctx, r.Facts[survey.FinishBy].Text), now)
	if err != nil {
		return err
	}
	company, err := s.store.Company(ctx)
	if err != nil {
		return err
	}
	content, sum, err := report.FreezeFinishing(report.FinishingInput{Record: r, Ceiling: e.ceiling, Company: company, Work: work, Approved: e.approved, By: e.approval, At: now})
	if err != nil {
		return err
	}
	if _, err := s.store.ReceiveBlob(ctx, bytes.NewReader(content), int64(len(content))); err != nil {
		return err
	}
	_, err = s.store.Finish(ctx, survey.Finish{Survey: r.Survey.ID, Act: survey.Finished, SHA256: sum, Approved: work.Approved, By: work.By, Reason: work.Although, At: now})
	return err
}

// errFinishedAnew is why a finishing is not opened again that the person did not see.
var errFinishedAnew = survey.Errorf(survey.Conflict, "The work was finished anew after the page was opened. Look at it before you open the survey again; nothing was done yet.")

// reopenFinish opens a finished survey again, for a reason. The hose test and the check list are asked about anew then.
func (s *Server) reopenFinish(c *gin.Context) error {
	form, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	f := survey.Finish{Survey: r.Survey.ID, Act: survey.Reopened, SHA256: c.Request.PostForm.Get("sha256"), By: signer(c.Request.Context(), form.text["by"]), Reason: form.text["reason"]}
	if !r.Ended.Finished() {
		return s.showFinish(c, factForm{record: r, err: survey.Errorf(survey.Conflict, "The survey is open already.")})
	}
	if f.SHA256 != r.Ended.Done.SHA256 {
		return s.showFinish(c, factForm{record: r, form: &form, err: errFinishedAnew})
	}
	_, err = s.store.Finish(c.Request.Context(), f)
	switch survey.KindOf(err) {
	case survey.Invalid, survey.Conflict:
		return s.showFinish(c, factForm{record: r, form: &form, err: err})
	}
	if err != nil {
		return err
	}
	return redirect(c, finishPath(r.Survey.ID)+"?saved=again")
}

// finishParts is the form of finishing while it arrives: its texts, and the photos of the hose test that were taken in.
type finishParts struct {
	server *Server
	survey survey.SurveyID
	body   io.Reader
	values url.Values
	photos []survey.Photo
}

// readForm reads the form, with photos or without. An error of a kind that may be shown is about a photo; the texts are there all the same.
func (f *finishParts) readForm(c *gin.Context) error {
	if media, _, err := mime.ParseMediaType(c.ContentType()); err != nil || media != "multipart/form-data" {
		_, err := readForm(c)
		f.values = c.Request.PostForm
		return err
	}
	parts, err := c.Request.MultipartReader()
	if err != nil {
		return fmt.Errorf("%w: %w", errUnreadable, err)
	}
	defer longUpload(c)()
	var shown error
	for n := 0; ; n++ {
		part, err := parts.NextPart()
		switch {
		case errors.Is(err, io.EOF):
			return shown
		case err != nil:
			return unreadable(err)
		case n >= maxFinishParts:
			return fmt.Errorf("%w: it has more than %d parts", errUnreadable, maxFinishParts)
		case part.FileName() == "" && part.FormName() != "photos":
			err = f.readText(part)
		case part.FormName() == "photos" && part.FileName() != "" && f.chosen()+len(f.photos) >= maxFinishPhotos:
			err = survey.Errorf(survey.Invalid, "The record shows %d photos of the hose test, so %s was not taken in. Set one of them to “No photo” and send it again, or send it under Photos; the record does not show it then.", maxFinishPhotos, photoName(part.FileName()))
		case part.FormName() == "photos" && part.FileName() != "":
			err = f.readPhoto(c.Request.Context(), part)
		}
		if survey.KindOf(err) != survey.Internal && err != nil {
			shown = err
		} else if err != nil {
			return err
		}
	}
}

func (f *finishParts) readText(part *multipart.Part) error {
	text, err := io.ReadAll(io.LimitReader(part, maxFinishText))
	if err != nil {
		return unreadable(err)
	}
	f.values.Add(part.FormName(), string(text))
	return nil
}

// chosen counts the photos of the hose test that the form names; its choices come before what is sent along.
func (f *finishParts) chosen() int {
	n := 0
	for _, key := range []string{survey.FinishPhoto, survey.FinishPhotoToo} {
		if f.values.Get(fieldPrefix+key) != "" {
			n++
		}
	}
	return n
}

// readPhoto takes a photo in. Its id follows from the form's and from its bytes, so that sending the form twice makes one photo.
func (f *finishParts) readPhoto(ctx context.Context, part *multipart.Part) error {
	form, err := survey.ParseID(f.values.Get("id"))
	if err != nil {
		form = survey.NewID()
	}
	if err := f.server.mayTake(ctx, f.survey, -1); err != nil {
		return err
	}
	blob, err := f.server.intake.receive(ctx, part)
	if err != nil {
		if survey.KindOf(err) != survey.Internal {
			return err
		}
		return unreadable(err)
	}
	if body, ok := f.body.(*timedBody); ok {
		body.pause()
	}
	id := survey.PhotoID(uuid.NewSHA1(uuid.MustParse(form), []byte(blob.SHA256)).String())
	photo, err := f.server.intake.take(ctx, survey.Photo{ID: id, Survey: f.survey, Name: photoName(part.FileName())}, blob)
	if err == nil {
		f.photos = append(f.photos, photo)
	}
	return err
}

// typed is the form as it was typed; a photo that came along is chosen for the test, in the first place of the two that has none, else in the second.
func (f *finishParts) typed(r survey.Record) typedForm {
	form := typedFrom(f.values)
	for _, p := range f.photos {
		key := survey.FinishPhoto
		if form.text[key] != "" {
			key = survey.FinishPhotoToo
		}
		form.text[key], form.was[key] = strconv.Itoa(p.Number), r.Facts[key].Text
	}
	return form
}
