package web

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// staleVersion is the version of no stored row: putting a pin with it makes the store answer with the row that is there.
const staleVersion = -1

// deletedPin is the stored pin of a conflict when somebody else has deleted it.
type deletedPin struct {
	survey.Pin
	Deleted bool `json:"deleted"`
}

// putPin saves a pin that a program sends. The query's "restore" brings a deleted pin back on purpose; without it, changing a pin that
// somebody else has deleted is a conflict.
func (s *Server) putPin(c *gin.Context) error {
	id, r, err := s.pinAndRecord(c)
	if err != nil {
		return err
	}
	var p survey.Pin
	if err := readJSON(c, &p); err != nil {
		return err
	}
	p.ID, p.Survey = id, r.Survey.ID
	p.Note = cleanText(p.Note)
	saved, err := s.savePin(c, r, p, c.Query("restore") != "")
	if err != nil {
		return err
	}
	return sendJSON(c, http.StatusOK, saved)
}

// savePin checks a pin and stores it.
func (s *Server) savePin(c *gin.Context, r survey.Record, p survey.Pin, restore bool) (survey.Pin, error) {
	if _, ok := r.Photo(p.Photo); !ok {
		return survey.Pin{}, survey.Errorf(survey.NotFound, "The photo of this pin is not there any more.")
	}
	p = survey.Completed(r, p)
	if err := survey.ValidatePin(r, p); err != nil {
		return survey.Pin{}, err
	}
	stored, there := r.Pin(p.ID)
	if !there && p.Version > 0 && !restore {
		p.Version = staleVersion
	}
	if person, ok := survey.PersonOf(c.Request.Context()); ok { // who placed it stays so, whoever moves it
		p.By = person.Name
		if there {
			p.By = stored.By
		}
	}
	saved, err := s.store.PutPin(c.Request.Context(), p)
	return saved, s.markDeleted(c, r.Survey.ID, err)
}

// markDeleted tells in a conflict whether the stored pin is a deleted one.
func (s *Server) markDeleted(c *gin.Context, in survey.SurveyID, err error) error {
	e, ok := errors.AsType[*survey.Error](err)
	if !ok || e.Kind != survey.Conflict {
		return err
	}
	stored, ok := e.Current.(survey.Pin)
	if !ok {
		return err
	}
	now, loadErr := s.store.Record(c.Request.Context(), in)
	if loadErr != nil {
		return loadErr
	}
	if _, there := now.Pin(stored.ID); there {
		return err
	}
	marked := *e
	marked.Current = deletedPin{stored, true}
	return &marked
}

// removePin deletes a pin for a program; the query's "version" is the one that is to be deleted.
func (s *Server) removePin(c *gin.Context) error {
	id, r, err := s.pinAndRecord(c)
	if err != nil {
		return err
	}
	version, err := strconv.Atoi(c.Query("version"))
	if err != nil {
		return fmt.Errorf("%w: the version is no number", errUnreadable)
	}
	if err := s.store.DeletePin(c.Request.Context(), r.Survey.ID, id, version); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

// pinAndRecord loads the survey and reads the pin's id of the address; there need not be such a pin yet.
func (s *Server) pinAndRecord(c *gin.Context) (survey.PinID, survey.Record, error) {
	id, err := survey.ParseID(c.Param("pin"))
	if err != nil {
		return "", survey.Record{}, survey.Errorf(survey.NotFound, "There is no such pin.")
	}
	r, err := s.record(c)
	return survey.PinID(id), r, err
}

// createPinForm places a pin by a form.
func (s *Server) createPinForm(c *gin.Context) error {
	r, photo, err := s.recordAndPhoto(c)
	if err != nil {
		return err
	}
	if _, err := readForm(c); err != nil {
		return err
	}
	form := c.Request.PostForm
	id, err := survey.ParseID(form.Get("id"))
	if err != nil {
		return err
	}
	kind := survey.PinKind(form.Get("kind"))
	if _, ok := survey.KindInfo(kind); !ok {
		return survey.Errorf(survey.Invalid, "There is no such kind of pin.")
	}
	typed, texts := readPinForm(form, survey.Pin{ID: survey.PinID(id), Survey: r.Survey.ID, Photo: photo.ID, Kind: kind})
	return s.takePinForm(c, r, photo, typed, texts)
}

// savePinForm changes a pin by a form.
func (s *Server) savePinForm(c *gin.Context) error {
	photo, r, p, err := s.formPin(c)
	if err != nil {
		return err
	}
	typed, texts := readPinForm(c.Request.PostForm, p)
	settle(&typed.pin, c.Request.PostForm.Get("settle"))
	if typed.pin.Version, err = strconv.Atoi(c.Request.PostForm.Get("version")); err != nil {
		return fmt.Errorf("%w: the version is no number", errUnreadable)
	}
	return s.takePinForm(c, r, photo, typed, texts)
}

// takePinForm saves what a form sent, or shows the form again with what is wrong.
func (s *Server) takePinForm(c *gin.Context, r survey.Record, photo survey.Photo, typed pinTyped, texts map[string]string) error {
	if len(texts) > 0 {
		for key, text := range fieldTexts(survey.ValidatePin(r, typed.pin)) {
			texts[key] = text
		}
		return s.showPhoto(c, photoInput{record: r, photo: photo, typed: &typed, texts: texts, status: http.StatusUnprocessableEntity})
	}
	was, _ := r.Pin(typed.pin.ID)
	if err := askPin(r, was, typed.pin, func(control string) string { return cleanText(c.Request.PostForm.Get(control)) }); err != nil && survey.ValidatePin(r, typed.pin) == nil {
		return s.showPhoto(c, photoInput{record: r, photo: photo, typed: &typed, texts: fieldTexts(err), err: err, status: http.StatusUnprocessableEntity})
	}
	saved, err := s.savePin(c, r, typed.pin, false)
	switch survey.KindOf(err) {
	case survey.Conflict:
		return s.showClash(c, r, photo, typed, err)
	case survey.Invalid:
		return s.showPhoto(c, photoInput{record: r, photo: photo, typed: &typed, texts: fieldTexts(err), status: http.StatusUnprocessableEntity})
	}
	if err != nil {
		return err
	}
	return redirect(c, fmt.Sprintf("%s?saved=%d#p%d", photoPath(photo), saved.Number, saved.Number))
}

// showClash shows both versions of a pin side by side. The form keeps what was typed and names the newer version, so that saving it again
// is a choice.
func (s *Server) showClash(c *gin.Context, r survey.Record, photo survey.Photo, typed pinTyped, err error) error {
	e, ok := errors.AsType[*survey.Error](err)
	if !ok {
		return err
	}
	stored, ok := e.Current.(survey.Pin)
	if !ok {
		return err // a deleted pin: its page says so
	}
	typed.pin.Version, typed.pin.Number, typed.pin.CreatedAt = stored.Version, stored.Number, stored.CreatedAt
	clash := &pinConflict{
		Head:     fmt.Sprintf("%s was changed by someone else while you changed it.", pinName(stored)),
		KeepMine: "Keep A, mine", KeepTheirs: "Keep B, theirs", TheirsHref: fmt.Sprintf("%s?pin=%s#pin", photoPath(photo), stored.ID),
		Rows: differences(typed.pin, stored, survey.PinFields(r, stored.Kind)),
	}
	return s.showPhoto(c, photoInput{record: r, photo: photo, typed: &typed, clash: clash, status: http.StatusConflict})
}

// differences lists what two versions of a pin say differently, in words.
func differences(mine, theirs survey.Pin, fields []survey.Field) []versionRow {
	var rows []versionRow
	add := func(name, a, b string) {
		if a != b {
			rows = append(rows, versionRow{name, orNothing(a), orNothing(b)})
		}
	}
	for _, f := range fields {
		if mine.Values[f.Key] != theirs.Values[f.Key] {
			add(f.Label, label(f, mine.Values[f.Key]), label(f, theirs.Values[f.Key]))
		}
	}
	add("Note", mine.Note, theirs.Note)
	add("Place in the picture", placeText(mine), placeText(theirs))
	return rows
}

func orNothing(text string) string {
	if text == "" {
		return "nothing"
	}
	return text
}

// placeText is a pin's place in the picture in words.
func placeText(p survey.Pin) string {
	text := fmt.Sprintf("%.3f\u00a0%% across, %.3f\u00a0%% down", p.X*100, p.Y*100)
	if p.X2 != nil && p.Y2 != nil {
		text += fmt.Sprintf(", to %.3f\u00a0%%, %.3f\u00a0%%", *p.X2*100, *p.Y2*100)
	}
	return text
}

// deletePinForm deletes a pin by a form.
func (s *Server) deletePinForm(c *gin.Context) error {
	photo, r, p, err := s.formPin(c)
	if err != nil {
		return err
	}
	version, err := strconv.Atoi(c.Request.PostForm.Get("version"))
	if err != nil {
		return fmt.Errorf("%w: the version is no number", errUnreadable)
	}
	if err := s.store.DeletePin(c.Request.Context(), r.Survey.ID, p.ID, version); err != nil {
		return err
	}
	return redirect(c, fmt.Sprintf("%s?deleted=%d", photoPath(photo), p.Number))
}

// formPin reads the form and finds the pin that the address names, with its photo.
func (s *Server) formPin(c *gin.Context) (survey.Photo, survey.Record, survey.Pin, error) {
	id, r, err := s.pinAndRecord(c)
	if err != nil {
		return survey.Photo{}, survey.Record{}, survey.Pin{}, err
	}
	if _, err := readForm(c); err != nil {
		return survey.Photo{}, survey.Record{}, survey.Pin{}, err
	}
	p, ok := r.Pin(id)
	photo, shown := r.Photo(p.Photo)
	if !ok || !shown {
		return survey.Photo{}, survey.Record{}, survey.Pin{}, survey.Errorf(survey.NotFound, "This pin is not there any more: somebody has deleted it.")
	}
	return photo, r, p, nil
}

// pinName is what a pin is called: "Hanger 14".
func pinName(p survey.Pin) string {
	info, _ := survey.KindInfo(p.Kind)
	return fmt.Sprintf("%s %d", info.Label, p.Number)
}
