package draw

import (
	"encoding/json"
	"errors"
	"fmt"
)

// A drawing is kept as JSON: {"title", "desc", "view": [x0, y0, x1, y1], "ops": [...]}, where an op is a path (its chains as flat lists of x and y), a
// circle ([x, y, radius]) or a text. What is zero is left out; colours are numbers 0xffRRGGBB. Reading gives back the very same drawing.

type drawingJSON struct {
	Title string     `json:"title,omitempty"`
	Desc  string     `json:"desc,omitempty"`
	View  [4]float64 `json:"view"`
	Ops   []opJSON   `json:"ops"`
}

// opJSON is one op: exactly one of Path, Circle and Text is there.
type opJSON struct {
	Path   [][]float64 `json:"path,omitempty"`
	Closed bool        `json:"closed,omitempty"`
	Circle []float64   `json:"circle,omitempty"`
	Pen    Pen         `json:"pen,omitempty"`
	Ink    Color       `json:"ink,omitempty"`
	Fill   Color       `json:"fill,omitempty"`
	Dash   []float64   `json:"dash,omitempty"`
	Text   *textJSON   `json:"text,omitempty"`
}

type textJSON struct {
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	S      string  `json:"s"`
	Size   float64 `json:"size"`
	Bold   bool    `json:"bold,omitempty"`
	Anchor Anchor  `json:"anchor,omitempty"`
	Up     bool    `json:"up,omitempty"`
	Ink    Color   `json:"ink,omitempty"`
	Halo   bool    `json:"halo,omitempty"`
	Width  float64 `json:"width"`
}

// MarshalJSON writes the drawing with all its parts.
func (d Drawing) MarshalJSON() ([]byte, error) {
	out := &toJSON{ops: []opJSON{}}
	d.Paint(out)
	return json.Marshal(drawingJSON{d.Title, d.Desc, [4]float64{d.View.X0, d.View.Y0, d.View.X1, d.View.Y1}, out.ops})
}

// toJSON is the painter that writes JSON.
type toJSON struct{ ops []opJSON }

func (o *toJSON) Path(p Path) {
	chains := make([][]float64, len(p.Chains))
	for i, chain := range p.Chains {
		chains[i] = []float64{}
		for _, q := range chain {
			chains[i] = append(chains[i], q.X, q.Y)
		}
	}
	o.ops = append(o.ops, opJSON{Path: chains, Closed: p.Closed, Pen: p.Pen, Ink: p.Ink, Fill: p.Fill, Dash: p.Dash})
}

func (o *toJSON) Circle(c Circle) {
	o.ops = append(o.ops, opJSON{Circle: []float64{c.Center.X, c.Center.Y, c.R}, Pen: c.Pen, Ink: c.Ink, Fill: c.Fill, Dash: c.Dash})
}

func (o *toJSON) Text(t Text) {
	o.ops = append(o.ops, opJSON{Text: &textJSON{t.At.X, t.At.Y, t.S, t.Size, t.Bold, t.Anchor, t.Up, t.Ink, t.Halo, t.Width}})
}

// UnmarshalJSON reads what MarshalJSON writes; anything else is an error.
func (d *Drawing) UnmarshalJSON(text []byte) error {
	var in drawingJSON
	if err := json.Unmarshal(text, &in); err != nil {
		return fmt.Errorf("read drawing: %w", err)
	}
	*d = Drawing{Title: in.Title, Desc: in.Desc, View: Box{in.View[0], in.View[1], in.View[2], in.View[3]}}
	for i, o := range in.Ops {
		part, err := o.op()
		if err != nil {
			return fmt.Errorf("read part %d of a drawing: %w", i, err)
		}
		d.ops = append(d.ops, part)
	}
	return nil
}

func (o opJSON) op() (op, error) {
	style := Style{Pen: o.Pen, Ink: o.Ink, Fill: o.Fill, Dash: o.Dash}
	switch {
	case o.Text != nil && o.Path == nil && o.Circle == nil:
		t := o.Text
		return Text{At: Point{t.X, t.Y}, S: t.S, Size: t.Size, Bold: t.Bold, Anchor: t.Anchor, Up: t.Up, Ink: t.Ink, Halo: t.Halo, Width: t.Width}, nil
	case len(o.Circle) == 3 && o.Path == nil && o.Text == nil:
		return Circle{Center: Point{o.Circle[0], o.Circle[1]}, R: o.Circle[2], Style: style}, nil
	case o.Path != nil && o.Circle == nil && o.Text == nil:
		p := Path{Closed: o.Closed, Style: style}
		for _, flat := range o.Path {
			if len(flat)%2 != 0 {
				return nil, errors.New("a chain has half a point")
			}
			var chain []Point
			for i := 0; i < len(flat); i += 2 {
				chain = append(chain, Point{flat[i], flat[i+1]})
			}
			p.Chains = append(p.Chains, chain)
		}
		return p, nil
	}
	return nil, errors.New("it is neither a path nor a circle nor a text")
}
