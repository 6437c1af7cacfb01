package report

import (
	"fmt"
	"strconv"
	"strings"

	"undercroft/calc"
	"undercroft/survey"
	"undercroft/survey/report/draw"
)

// Drawn is a drawing as a list of shapes for a template, so that the page's own escaping writes it and its styles can colour it.
// Box is the viewBox, in points.
type Drawn struct {
	Title, Desc string
	Box         string
	Shapes      []shape
	Over        bool // lies over a photo and keeps its colours
}

// shape is one path, circle or text. Tag is "path", "circle" or "text". Ink and Fill are colours as #rrggbb, "none" for no paint; Class
// names both, so that a dark page may turn them over.
type shape struct {
	Tag       string
	D         string // path data
	X, Y, R   string // a circle's center and radius, a text's baseline point
	S         string
	Size      string
	Bold      bool
	Anchor    string
	Transform string
	Width     string // measured width of a text
	Ink, Fill string
	Pen       string
	Dash      string
	Class     string
}

// drawn prepares a drawing for a template; nil stays nil.
func drawn(d *draw.Drawing) *Drawn {
	if d == nil {
		return nil
	}
	v := d.View
	p := shapes{}
	d.Paint(&p)
	return &Drawn{Title: d.Title, Desc: d.Desc, Box: strings.Join([]string{points(v.X0), points(v.Y0), points(v.W()), points(v.H())}, " "), Shapes: p.list}
}

// shapes is a painter that keeps what it is given.
type shapes struct{ list []shape }

// Path keeps a path.
func (p *shapes) Path(a draw.Path) {
	var d strings.Builder
	for _, chain := range a.Chains {
		for i, q := range chain {
			if i == 0 {
				d.WriteString("M")
			} else {
				d.WriteString("L")
			}
			d.WriteString(points(q.X) + " " + points(q.Y))
		}
		if a.Closed {
			d.WriteString("Z")
		}
	}
	s := styled(a.Style)
	s.Tag, s.D = "path", d.String()
	p.list = append(p.list, s)
}

// Circle keeps a circle.
func (p *shapes) Circle(c draw.Circle) {
	s := styled(c.Style)
	s.Tag, s.X, s.Y, s.R = "circle", points(c.Center.X), points(c.Center.Y), points(c.R)
	p.list = append(p.list, s)
}

// Text keeps a line of text.
func (p *shapes) Text(t draw.Text) {
	s := shape{Tag: "text", X: points(t.At.X), Y: points(t.At.Y), S: draw.Clean(t.S), Size: points(t.Size), Bold: t.Bold, Width: points(t.Width),
		Fill: colour(t.Ink, "#000000"), Class: "t-" + tone(t.Ink, "black")}
	s.Anchor = [...]string{"start", "middle", "end"}[t.Anchor]
	if t.Halo {
		s.Class += " halo"
	}
	if t.Up {
		s.Transform = fmt.Sprintf("rotate(-90 %s %s)", s.X, s.Y)
	}
	p.list = append(p.list, s)
}

func styled(st draw.Style) shape {
	s := shape{Fill: colour(st.Fill, "none"), Ink: "none", Class: "f-" + tone(st.Fill, "none")}
	if st.Pen > 0 {
		s.Ink, s.Pen = colour(st.Ink, "#000000"), points(float64(st.Pen))
		s.Class += " s-" + tone(st.Ink, "black")
		dashes := make([]string, len(st.Dash))
		for i, on := range st.Dash {
			dashes[i] = points(on)
		}
		s.Dash = strings.Join(dashes, " ")
	}
	return s
}

func colour(c draw.Color, none string) string {
	if c == draw.None {
		return none
	}
	r, g, b := c.RGB()
	return fmt.Sprintf("#%02x%02x%02x", r, g, b)
}

// tone is the name that a style sheet knows a colour by.
func tone(c draw.Color, none string) string {
	switch c {
	case draw.None:
		return none
	case draw.Black:
		return "black"
	case draw.Dark:
		return "dark"
	case draw.Grey:
		return "grey"
	case draw.Pale:
		return "pale"
	case draw.Faint:
		return "faint"
	case draw.White:
		return "white"
	case draw.Water:
		return "water"
	case draw.WaterPale:
		return "waterpale"
	case draw.Alert:
		return "alert"
	}
	return "other"
}

// points prints a coordinate to the hundredth of a point, without trailing zeros.
func points(v float64) string {
	text := strings.TrimRight(strconv.FormatFloat(v, 'f', 2, 64), "0")
	text = strings.TrimSuffix(text, ".")
	if text == "-0" {
		return "0"
	}
	return text
}

// addPlan draws plan and section for both widths. A drawing that cannot be made is left out: the tables say the same.
func (d *Drawings) addPlan(r survey.Record, c survey.Ceiling, named things) {
	job := voice{}.jobOf(r, c, named)
	makeOne := func(figure func(drawnJob, calc.Input, calc.Plan, figureSize) (*draw.Drawing, error), size figureSize) *Drawn {
		d, err := figure(job, c.Input, *c.Plan, size)
		if err != nil {
			return nil
		}
		return drawn(d)
	}
	d.Plan, d.PlanPhone, d.Section, d.SectionPhone = makeOne(planFigure, desk), makeOne(planFigure, phone), makeOne(sectionFigure, desk), makeOne(sectionFigure, phone)
}

// DrawnSheets draws the sheets for paper: plan, section, notches, furring, cutting, channel and gutter. There are none while the ceiling
// cannot be computed.
func DrawnSheets(r survey.Record, c survey.Ceiling) ([]*Drawn, error) {
	if c.Plan == nil {
		return nil, nil
	}
	sheets, err := sheetSet(voice{}.jobOf(r, c, thingsOf(r, c.Assembly, WithinReport())), c.Input, *c.Plan)
	if err != nil {
		return nil, fmt.Errorf("draw the sheets: %w", err)
	}
	out := make([]*Drawn, len(sheets))
	for i, d := range sheets {
		out[i] = drawn(d)
	}
	return out, nil
}

// jobOf is what the drawings say of the job: names, the date of the visit, and the posts that have a place.
func (v voice) jobOf(r survey.Record, c survey.Ceiling, named things) drawnJob {
	job := drawnJob{voice: v, Name: r.Survey.Title, Surveyed: r.Survey.VisitDate, System: c.Plan.System.Name, Names: map[string]string{}}
	for id, t := range named {
		job.Names[id] = strings.ToLower(t.Label[:1]) + t.Label[1:]
	}
	for _, p := range c.Posts {
		job.Posts = append(job.Posts, post(p))
	}
	return job
}
