package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"mime/multipart"
	"strconv"

	"github.com/gin-gonic/gin"
	"github.com/google/uuid"

	"undercroft/survey"
)

// replyForm is the form below a question: an answer, or a further question when it is answered. What was typed for this one stands in it again.
func (s *Server) replyForm(c *gin.Context, r survey.Record, t survey.Thread, in questionsInput) *replyView {
	m := survey.Remark{ID: survey.NewID()}
	var texts map[string]string
	if in.typed != nil && in.typed.Question == t.First().ID && in.typed.ID != t.First().ID {
		if m, texts = *in.typed, fieldTexts(in.err); len(texts) == 0 {
			texts["text"] = "What you typed is kept here. It was not sent."
		}
	}
	v := &replyView{Action: questionsPath(r.Survey.ID) + "/" + t.First().ID + "/reply", ID: m.ID, Kind: survey.RemarkAnswer, Photo: string(m.Photo)}
	v.Text, v.By = remarkFields(c, t.First().ID, m, texts)
	if v.Text.Label = "Answer"; !t.Open() {
		v.Text.Label, v.Kind = "Ask a follow-up", survey.RemarkAsk
	}
	for _, p := range r.Photos {
		label := "Photo " + strconv.Itoa(p.Number)
		if p.Caption != "" {
			label += ": " + shorten(p.Caption, 40)
		}
		v.Photos = append(v.Photos, survey.Option{Value: string(p.ID), Label: label})
	}
	return v
}

// maxReplyText is the most bytes of one text of the form: more than may be said, so that what is too long is told and not cut.
const maxReplyText = 16 << 10

// replyPhoto names the photo that comes with a reply, so that sending the form twice makes one photo.
const replyPhoto = "file"

// reply takes an answer, or a further question, as the form that was shown says, with a photo of the survey or one that comes along. The texts come before the photo, which is
// taken in as any photo and stays in the survey whatever becomes of the answer.
func (s *Server) reply(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	i := indexOfThread(r, c.Param("question"))
	if i < 0 {
		return survey.Errorf(survey.NotFound, "There is no such question.")
	}
	thread := survey.Threads(r.Remarks)[i]
	parts, err := c.Request.MultipartReader()
	if err != nil {
		return fmt.Errorf("%w: %w", errUnreadable, err)
	}
	defer longUpload(c)()
	form := replyParts{server: s, body: c.Request.Body, survey: r.Survey.ID, text: map[string]string{}}
	formErr := form.read(c.Request.Context(), parts)
	m := survey.Remark{ID: form.text["id"], Survey: r.Survey.ID, Question: thread.First().ID, Kind: survey.RemarkKind(form.text["kind"]), Text: form.text[fieldPrefix+"text"], Photo: form.photo,
		By: signer(c.Request.Context(), form.text[fieldPrefix+"by"])}
	if formErr != nil {
		return s.replyRefused(c, m, formErr)
	}
	if m.Kind != survey.RemarkAnswer && m.Kind != survey.RemarkAsk {
		return s.replyRefused(c, m, survey.Errorf(survey.Invalid, "Nothing was sent: the page was too old to say whether this answers or asks. Look at the form again and send it."))
	}
	if m, err = s.keepRemark(c, m); err != nil {
		return s.replyRefused(c, m, err)
	}
	saved := map[survey.RemarkKind]string{survey.RemarkAsk: "ask", survey.RemarkAnswer: "answer"}[m.Kind]
	return redirect(c, questionsPath(r.Survey.ID)+"?saved="+saved+"#q-"+m.Question)
}

// replyRefused shows the form again with what was typed. A photo that came along is in the survey by now and is chosen in the form.
func (s *Server) replyRefused(c *gin.Context, m survey.Remark, err error) error {
	switch survey.KindOf(err) {
	case survey.Invalid, survey.Conflict, survey.TooLarge, survey.NoSpace, survey.Busy, survey.TooOften:
	default:
		return err
	}
	if e, ok := errors.AsType[*survey.Error](err); ok && e.Retry > 0 {
		c.Header("Retry-After", strconv.Itoa(int(math.Ceil(e.Retry.Seconds()))))
	}
	r, loadErr := s.record(c)
	if loadErr != nil {
		return loadErr
	}
	return s.showQuestions(c, questionsInput{record: r, typed: &m, err: err})
}

// indexOfThread finds a question among those of the survey, -1 for none.
func indexOfThread(r survey.Record, id string) int {
	for i, t := range survey.Threads(r.Remarks) {
		if t.First().ID == id {
			return i
		}
	}
	return -1
}

// replyParts is a reply's form while it arrives.
type replyParts struct {
	server *Server
	body   io.Reader
	survey survey.SurveyID
	text   map[string]string
	photo  survey.PhotoID
	sent   bool // a photo came along
}

// read goes through the parts in order.
func (f *replyParts) read(ctx context.Context, parts *multipart.Reader) error {
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return unreadable(err)
		}
		switch {
		case part.FormName() == replyPhoto && part.FileName() != "":
			err = f.readPhoto(ctx, part)
		case part.FormName() == "id" || part.FormName() == "kind" || part.FormName() == "photo" || part.FormName() == fieldPrefix+"text" || part.FormName() == fieldPrefix+"by":
			err = f.readText(part)
		}
		if err != nil {
			return err
		}
	}
}

func (f *replyParts) readText(part *multipart.Part) error {
	text, err := io.ReadAll(io.LimitReader(part, maxReplyText))
	if err != nil {
		return unreadable(err)
	}
	f.text[part.FormName()] = cleanText(string(text))
	if part.FormName() == "photo" {
		f.photo = survey.PhotoID(f.text["photo"])
	}
	return nil
}

// readPhoto takes the one photo in that goes with a reply. Its id follows from the form's and from its bytes.
func (f *replyParts) readPhoto(ctx context.Context, part *multipart.Part) error {
	id, err := survey.ParseID(f.text["id"])
	if err != nil {
		return err
	}
	if f.sent {
		return survey.Errorf(survey.Invalid, "One photo goes with a reply. The first is kept and chosen; send the others under Photos, or with a further reply.")
	}
	if err := f.server.mayTake(ctx, f.survey, -1); err != nil {
		return err
	}
	in := f.server.intake
	blob, err := in.receive(ctx, part)
	if err != nil {
		if survey.KindOf(err) == survey.Invalid || survey.KindOf(err) == survey.TooLarge {
			return err
		}
		return unreadable(err)
	}
	if body, ok := f.body.(*timedBody); ok {
		body.pause()
	}
	photo := survey.PhotoID(uuid.NewSHA1(uuid.MustParse(id), []byte(blob.SHA256)).String())
	taken, err := in.take(ctx, survey.Photo{ID: photo, Survey: f.survey, Name: photoName(part.FileName())}, blob)
	f.photo, f.sent = taken.ID, true
	return err
}
