package web

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// photosPage is all photos of a survey, with the form that adds some.
type photosPage struct {
	basePage
	Action   string
	FormID   string
	MaxBytes int64
	MaxText  string
	Outcome  outcomeView
	Done     string
	Photos   []photoCard
}

// photoCard is one photo of the grid.
type photoCard struct {
	ID                              survey.PhotoID
	Href, Thumb, Alt, Caption, Pins string
	Number                          int
	States                          []stateView
}

// photosPage shows the photos.
func (s *Server) photosPage(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	return s.showPhotos(c, r)
}

// showPhotos renders the page.
func (s *Server) showPhotos(c *gin.Context, r survey.Record) error {
	home := surveyPath(r.Survey.ID) + "/photos"
	page := photosPage{
		basePage: s.surveyPage("Photos", screenPhotos, r), Action: home, FormID: survey.NewID(), MaxBytes: survey.MaxPhotoBytes,
		MaxText: fmt.Sprintf("%d MB", survey.MaxPhotoBytes>>20), Outcome: s.outcome(c, r.Survey.ID),
	}
	if n, err := strconv.Atoi(c.Query("removed")); err == nil && n > 0 {
		page.Done = fmt.Sprintf("Photo %d is removed.", n)
	}
	among := survey.PhotoDoubts(r)
	for _, p := range r.Photos {
		page.Photos = append(page.Photos, viewPhoto(r, p, slices.Concat(p.Meta.Warnings, among[p.ID])))
	}
	return s.render(c, http.StatusOK, "photos", page)
}

// photoDoubts is everything that makes one look at a photo again: what the picture shows, and how it stands among the others.
func photoDoubts(r survey.Record, p survey.Photo) []string {
	return slices.Concat(p.Meta.Warnings, survey.PhotoDoubts(r)[p.ID])
}

func viewPhoto(r survey.Record, p survey.Photo, doubts []string) photoCard {
	card := photoCard{ID: p.ID, Href: photoPath(p), Alt: p.Caption, Caption: p.Caption, Number: p.Number, Pins: pinCount(len(r.PinsOn(p.ID)))}
	if card.Alt == "" {
		card.Alt = fmt.Sprintf("Photo %d", p.Number)
	}
	if p.Shown() {
		card.Thumb = thumbPath(p)
	} else {
		card.States = append(card.States, stateView{weightWarn, "kept, cannot be shown: " + lowerFirst(firstSentence(p.Meta.Problem))})
	}
	for _, doubt := range doubts {
		card.States = append(card.States, stateView{weightNote, lowerFirst(firstSentence(doubt))})
	}
	return card
}

// pinCount is "1 pin" or "2 pins".
func pinCount(n int) string {
	if n == 1 {
		return "1\u00a0pin"
	}
	return fmt.Sprintf("%d\u00a0pins", n)
}

// firstSentence is a text up to its first full stop, without it.
func firstSentence(text string) string {
	for i, r := range text {
		if r == '.' && (i+1 == len(text) || text[i+1] == ' ') {
			return text[:i]
		}
	}
	return text
}

// saveCaption changes a photo's caption.
func (s *Server) saveCaption(c *gin.Context) error {
	r, photo, err := s.recordAndPhoto(c)
	if err != nil {
		return err
	}
	if _, err := readForm(c); err != nil {
		return err
	}
	version, err := strconv.Atoi(c.Request.PostForm.Get("version"))
	if err != nil {
		return fmt.Errorf("%w: the version is no number", errUnreadable)
	}
	typed := photo
	typed.Version, typed.Caption = version, cleanText(c.Request.PostForm.Get("caption"))
	if utf8.RuneCountInString(typed.Caption) > maxCaption {
		err = &survey.Error{Kind: survey.Invalid, Message: "The caption was not saved.", Fields: map[string]string{"caption": fmt.Sprintf("Keep this under %d characters.", maxCaption)}}
	} else {
		_, err = s.store.UpdatePhoto(c.Request.Context(), typed)
	}
	switch survey.KindOf(err) {
	case survey.Conflict:
		if r, photo, err = s.again(c, err); err != nil {
			return err
		}
		return s.showPhoto(c, photoInput{record: r, photo: photo, caption: &typed, err: errClash, status: http.StatusConflict})
	case survey.Invalid:
		return s.showPhoto(c, photoInput{record: r, photo: photo, caption: &typed, err: err, status: http.StatusUnprocessableEntity})
	}
	if err != nil {
		return err
	}
	return redirect(c, photoPath(photo)+"?captioned=1#about")
}

// maxCaption is the longest caption, in characters.
const maxCaption = 300

// again loads what is saved now after a conflict; when it is gone, the conflict is the answer.
func (s *Server) again(c *gin.Context, conflict error) (survey.Record, survey.Photo, error) {
	r, photo, err := s.recordAndPhoto(c)
	if survey.KindOf(err) == survey.NotFound {
		return r, photo, conflict
	}
	return r, photo, err
}

// removePage asks before a photo is removed.
type removePage struct {
	basePage
	Photo  survey.Photo
	Thumb  string
	Pins   string
	Action string
	Back   string
	Row    pinList
}

// removePhotoPage shows what would go with the photo.
func (s *Server) removePhotoPage(c *gin.Context) error {
	r, photo, err := s.recordAndPhoto(c)
	if err != nil {
		return err
	}
	page := removePage{basePage: s.surveyPage(fmt.Sprintf("Remove photo %d?", photo.Number), screenPhotos, r), Photo: photo, Action: photoPath(photo) + "/remove", Back: photoPath(photo)}
	page.BackHref, page.BackLabel = photoPath(photo), fmt.Sprintf("Photo %d", photo.Number)
	page.Pins = pinCount(len(r.PinsOn(photo.ID)))
	page.Row = viewPins(r, survey.Ceiling{}, photo, "")
	if photo.Shown() {
		page.Thumb = thumbPath(photo)
	}
	return s.render(c, http.StatusOK, "remove", page)
}

// removePhoto removes a photo and its pins.
func (s *Server) removePhoto(c *gin.Context) error {
	r, photo, err := s.recordAndPhoto(c)
	if err != nil {
		return err
	}
	if _, err := readForm(c); err != nil {
		return err
	}
	version, err := strconv.Atoi(c.Request.PostForm.Get("version"))
	if err != nil {
		return fmt.Errorf("%w: the version is no number", errUnreadable)
	}
	if err := s.store.DeletePhoto(c.Request.Context(), r.Survey.ID, photo.ID, version); err != nil {
		return err
	}
	return redirect(c, fmt.Sprintf("%s/photos?removed=%d", surveyPath(r.Survey.ID), photo.Number))
}
