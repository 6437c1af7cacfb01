package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"undercroft/annotate"
	"undercroft/survey"
	"undercroft/templates"
)

// smallestStage is how wide, in px, a photo is on the smallest screen; without script the heads of the pins are placed for it.
const smallestStage = 360

// photoPage is one photo with its pins.
type photoPage struct {
	basePage
	Photo                                   survey.Photo
	Picture                                 templates.PinnedPhoto
	Geometry                                geometryView
	Previous, Next                          string
	Done                                    string
	PinBase, PinsJSON                       string
	ChosenID                                survey.PinID
	SideOnly                                bool
	Shell                                   bool // the empty page of a photo that waits on a phone
	Groups                                  []kindGroup
	Templates                               []pinForm
	Form                                    *pinForm
	List                                    pinList
	Cautions, Warnings                      []cautionView
	NotShown                                cautionView
	CaptionAction, OriginalHref, RemoveHref string
	HistoryHref                             string
	AskHref, AskWords                       string
	SharpHref                               string // the original, when a browser can show it
	PinnedHref                              string // the picture with its pins drawn into it; empty for none
	SoonHref                                string // the small picture, shown until the large one has come; empty for none
	CaptionProblem                          problemView
	Caption                                 fieldView
	About                                   []aboutRow
}

// kindGroup is one of the four buttons with its kinds. Mark is the kind whose shape stands on the button.
type kindGroup struct {
	Name, Ask string
	Mark      survey.PinKind
	Kinds     []kindChoice
}

// kindChoice is a kind of pin to choose. Href is where its form is, for pages without script.
type kindChoice struct {
	survey.PinKindInfo
	Href string
}

// aboutRow is one line of what the photo's file says.
type aboutRow struct{ Label, Value string }

// photoInput is what the page is made of: the record, and, when a form is shown again, what was typed with what is wrong with it.
type photoInput struct {
	record  survey.Record
	photo   survey.Photo
	typed   *pinTyped
	texts   map[string]string
	clash   *pinConflict
	caption *survey.Photo // as typed, when it was not saved
	err     error         // why not
	status  int
}

// photoPage shows one photo. The query's "pin" opens the form of a pin, "kind" that of a new one; "part=side" is the list and the form
// alone, which the script fetches after a change.
func (s *Server) photoPage(c *gin.Context) error {
	r, photo, err := s.recordAndPhoto(c)
	if err != nil {
		return err
	}
	in := photoInput{record: r, photo: photo, status: http.StatusOK}
	if p, ok := r.Pin(survey.PinID(c.Query("pin"))); ok && p.Photo == photo.ID {
		typed := typedAs(p)
		in.typed = &typed
	} else if _, ok := survey.KindInfo(survey.PinKind(c.Query("kind"))); ok && photo.Shown() {
		in.typed = &pinTyped{pin: survey.Pin{ID: survey.PinID(survey.NewID()), Survey: r.Survey.ID, Photo: photo.ID, Kind: survey.PinKind(c.Query("kind"))}}
	}
	return s.showPhoto(c, in)
}

// showPhoto renders the page.
func (s *Server) showPhoto(c *gin.Context, in photoInput) error {
	page, err := s.newPhotoPage(in)
	if err != nil {
		return err
	}
	page.Done = doneText(c)
	page.SideOnly = c.Query("part") == "side"
	if !page.SideOnly {
		page.Templates = s.kindForms(in.record, in.photo)
	}
	return s.render(c, in.status, "photo", page)
}

// doneText confirms what a form has just done.
func doneText(c *gin.Context) string {
	for _, done := range []struct{ key, text string }{{"saved", "Pin %d is saved."}, {"deleted", "Pin %d is deleted."}} {
		if n, err := strconv.Atoi(c.Query(done.key)); err == nil && n > 0 {
			return fmt.Sprintf(done.text, n)
		}
	}
	if c.Query("captioned") != "" {
		return "The caption is saved."
	}
	return ""
}

func (s *Server) newPhotoPage(in photoInput) (photoPage, error) {
	r, photo := in.record, in.photo
	ceiling := survey.Compute(r)
	page := photoPage{
		basePage: s.surveyPage(fmt.Sprintf("Photo %d", photo.Number), screenPhotos, r), Photo: photo, Groups: kindGroups(photo), PinBase: "/api" + surveyPath(r.Survey.ID) + "/pins/",
		CaptionAction: photoPath(photo), OriginalHref: photoPath(photo) + "/original", RemoveHref: photoPath(photo) + "/remove", HistoryHref: photoHistoryPath(photo), AskHref: askPath(r, survey.SubjectPhoto, string(photo.ID), ""), AskWords: askWords(r, survey.SubjectPhoto, string(photo.ID)), About: aboutPhoto(photo),
	}
	page.BackHref, page.BackLabel = surveyPath(r.Survey.ID)+"/photos", "All photos"
	page.Title, page.Previous, page.Next = photoSteps(r, photo)
	if in.typed != nil {
		form := s.newPinForm(r, photo, *in.typed, in.texts)
		form.Conflict, form.Verdict = in.clash, verdict(ceiling, in.typed.pin)
		form.place(placeOf(r, ceiling, photo, in.typed.pin))
		page.Form = &form
		if in.typed.pin.Number > 0 {
			page.ChosenID = in.typed.pin.ID
		}
	}
	page.List = viewPins(r, ceiling, photo, page.ChosenID)
	var err error
	if page.Picture, page.Geometry, err = layCeiling(r, ceiling, photo, picture(photo, page.List)); err != nil {
		return page, err
	}
	page.Cautions = append(planeCautions(ceiling.Geometry[photo.ID], page.Geometry.Placed, page.Geometry.Spare), photoCautions(ceiling, page.List)...)
	pins, err := json.Marshal(append([]survey.Pin{}, r.PinsOn(photo.ID)...))
	if err != nil {
		return page, fmt.Errorf("write pins: %w", err)
	}
	page.PinsJSON = string(pins)
	page.Caption, page.CaptionProblem = captionField(in)
	for _, w := range photoDoubts(r, photo) {
		page.Warnings = append(page.Warnings, cautionView{Weight: weightNote, Head: w})
	}
	if slices.Contains([]annotate.Format{annotate.FormatJPEG, annotate.FormatPNG, annotate.FormatWebP}, photo.Meta.Format) {
		page.SharpHref = page.OriginalHref
	}
	if photo.Shown() {
		page.SoonHref, page.PinnedHref = thumbPath(photo), photoPath(photo)+"/pinned.jpg"
	} else {
		page.NotShown = cautionView{Weight: weightWarn, Head: "This picture cannot be shown.", Body: notShownWhy(photo)}
	}
	return page, nil
}

func notShownWhy(p survey.Photo) string {
	if p.Meta.Problem == "" {
		return "The original is kept and can be downloaded."
	}
	return p.Meta.Problem + " The original is kept and can be downloaded."
}

// photoSteps are the page's title and the addresses of the photos before and after.
func photoSteps(r survey.Record, photo survey.Photo) (title, previous, next string) {
	i := slices.IndexFunc(r.Photos, func(p survey.Photo) bool { return p.ID == photo.ID })
	if i > 0 {
		previous = photoPath(r.Photos[i-1])
	}
	if i+1 < len(r.Photos) {
		next = photoPath(r.Photos[i+1])
	}
	title = fmt.Sprintf("Photo %d", photo.Number)
	if last := r.Photos[len(r.Photos)-1]; last.Number == len(r.Photos) { // none was removed
		title += fmt.Sprintf(" of %d", last.Number)
	}
	title = joinWords(title, shorten(photo.Caption, 60))
	return title, previous, next
}

// pinLabel says a pin to those who do not see it: its name, how many it stands for as the picture shows it, and its values.
func pinLabel(row pinRow) string {
	name := pinName(row.Pin)
	if n := row.Count(); n > 1 {
		name = fmt.Sprintf("%s ×%d", name, n)
	}
	return strings.TrimSuffix(name+", "+row.Words, ", ")
}

// picture places the marks of a photo's pins.
func picture(photo survey.Photo, list pinList) templates.PinnedPhoto {
	var pins []templates.PinnedPin
	for _, row := range list.Rows {
		pins = append(pins, templates.PinnedPin{
			Kind: string(row.Kind), Number: row.Number, X: row.X, Y: row.Y, X2: row.X2, Y2: row.Y2, Label: pinLabel(row),
			Href: fmt.Sprintf("#p%d", row.Number), ID: string(row.ID), Selected: row.Current, Caution: row.Caution, Count: row.Count(),
		})
	}
	alt := photo.Caption
	if alt == "" {
		alt = fmt.Sprintf("Photo %d", photo.Number)
	}
	if !photo.Shown() {
		return templates.PinPhoto("", alt, photo.Width, photo.Height, smallestStage, nil)
	}
	return templates.PinPhoto(screenPath(photo), alt, photo.Width, photo.Height, smallestStage, pins)
}

// photoCautions is what the plan warns of about the pins of a photo, the blocking ones first.
func photoCautions(ceiling survey.Ceiling, list pinList) []cautionView {
	if ceiling.Plan == nil {
		return nil
	}
	var stops, checks []cautionView
	for _, issue := range ceiling.Plan.Issues {
		var about []string
		for _, row := range list.Rows {
			if slices.ContainsFunc(issue.About, func(id string) bool { n, ok := survey.PinNumber(id); return ok && n == row.Number }) {
				about = append(about, pinName(row.Pin))
			}
		}
		if len(about) == 0 {
			continue
		}
		v := cautionView{Weight: weightWarn, Head: issue.Text, Rule: joinWords(append([]string{"rule " + issue.Rule}, about...)...)}
		if issue.Severity == "blocking" {
			v.Weight = weightStop
			stops = append(stops, v)
		} else {
			checks = append(checks, v)
		}
	}
	return append(stops, checks...)
}

// kindGroups are the kinds of pin under the four buttons.
func kindGroups(photo survey.Photo) []kindGroup {
	groups := []kindGroup{
		{Name: "Measure", Ask: "What is measured here?", Mark: survey.PinDimension}, {Name: "In the way", Ask: "What is in the way here?", Mark: survey.PinHanger},
		{Name: "Wall", Ask: "What is on the wall here?", Mark: survey.PinWall}, {Name: "Concern", Ask: "What is to be said here?", Mark: survey.PinConcern},
	}
	for _, k := range survey.PinKinds() {
		for i := range groups {
			if groups[i].Name == k.Button {
				groups[i].Kinds = append(groups[i].Kinds, kindChoice{k, photoPath(photo) + "?kind=" + string(k.Kind) + "#pin"})
			}
		}
	}
	return groups
}

// kindForms is an empty form of each kind, which the script fills.
func (s *Server) kindForms(r survey.Record, photo survey.Photo) []pinForm {
	var forms []pinForm
	for _, k := range survey.PinKinds() {
		f := s.newPinForm(r, photo, pinTyped{pin: survey.Pin{Survey: r.Survey.ID, Photo: photo.ID, Kind: k.Kind}}, nil)
		f.DeleteAction, f.PlaceOpen, f.Save = photoPath(photo)+"/pins", false, "Save pin" // the script answers for both buttons
		forms = append(forms, f)
	}
	return forms
}

// captionField is the caption as saved, or as typed when it was not saved.
func captionField(in photoInput) (fieldView, problemView) {
	v := fieldView{Field: survey.Field{Key: "caption", Label: "Caption", Hint: "what the photo shows", Type: survey.TypeText}, Name: "caption", ID: "c-caption",
		Control: "input", InputType: "text", ReadWord: "read as", Text: in.photo.Caption, emptyLine: true}
	if in.caption == nil {
		return v, problemView{}
	}
	v.Text, v.Problem = in.caption.Caption, fieldTexts(in.err)["caption"]
	weight := weightStop
	if survey.KindOf(in.err) == survey.Conflict {
		weight = weightWarn
		v.Problem = fmt.Sprintf("Saved meanwhile: %q. Save again to replace it.", in.photo.Caption)
	}
	return v, problemView{Weight: weight, Head: survey.Message(in.err)}
}

// aboutPhoto is what the photo's file says, without where it was taken.
func aboutPhoto(p survey.Photo) []aboutRow {
	rows := []aboutRow{{"File", p.Name}}
	if t, err := time.Parse("2006-01-02T15:04:05", p.Meta.Taken); err == nil {
		rows = append(rows, aboutRow{"Taken", t.Format("2 Jan 2006, 15:04") + ", camera’s clock"})
	}
	if camera := strings.TrimSpace(p.Meta.Make + " " + p.Meta.Model); camera != "" {
		rows = append(rows, aboutRow{"Camera", camera})
	}
	if p.Width > 0 && p.Height > 0 {
		rows = append(rows, aboutRow{"Size", fmt.Sprintf("%d × %d px, %s", p.Width, p.Height, megabytes(p.Bytes))})
	} else {
		rows = append(rows, aboutRow{"Size", megabytes(p.Bytes)})
	}
	return rows
}

// megabytes writes a count of bytes for people: kB below a megabyte.
func megabytes(n int64) string {
	if n < 1e6 {
		return fmt.Sprintf("%d\u00a0kB", (n+999)/1000)
	}
	return fmt.Sprintf("%.1f\u00a0MB", float64(n)/1e6)
}
