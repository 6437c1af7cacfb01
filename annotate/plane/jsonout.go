package plane

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
)

// number is a float64 that is null in JSON when it is not finite.
type number float64

// MarshalJSON writes the shortest text that reads back as the same number.
func (n number) MarshalJSON() ([]byte, error) {
	if !finite(float64(n)) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// known is null when there is none.
func known(v float64, there bool) number {
	if !there {
		return number(math.NaN())
	}
	return number(v)
}

type (
	ellipseOut struct {
		A   number `json:"a"`
		B   number `json:"b"`
		Deg number `json:"deg"`
	}
	pinOut struct {
		ID          string        `json:"id"`
		Error       Code          `json:"error,omitempty"`
		X           *number       `json:"x,omitempty"`
		Y           *number       `json:"y,omitempty"`
		Cov         *[2][2]number `json:"cov,omitempty"`
		Ellipse95   *ellipseOut   `json:"ellipse95,omitempty"`
		WRatio      *number       `json:"w_ratio,omitempty"`
		RelW        *number       `json:"rel_w,omitempty"`
		SigmaTap    *number       `json:"sigma_tap,omitempty"`
		SigmaRefs   *number       `json:"sigma_refs,omitempty"`
		OutsideHull *number       `json:"outside_hull_in,omitempty"`
		Apparent    *[2]number    `json:"apparent,omitempty"`
	}
	refOut struct {
		ID         string    `json:"id"`
		ResPx      [2]number `json:"res_px"`
		ResIn      [2]number `json:"res_in"`
		T          number    `json:"T"`
		TX         number    `json:"tx"`
		TY         number    `json:"ty"`
		Redundancy number    `json:"redundancy"`
		MDBIn      [2]number `json:"mdb_in"`
	}
	focalOut struct {
		Exif  number `json:"exif_px"`
		FromH number `json:"from_h_px"`
		Sigma number `json:"sigma_px"`
	}
	poseOut struct {
		X         number       `json:"x"`
		Y         number       `json:"y"`
		Below     number       `json:"below"`
		Heading   number       `json:"heading_deg"`
		Elevation number       `json:"elevation_deg"`
		Cov       [5][5]number `json:"cov"`
	}
	hypothesisOut struct {
		Kind      string     `json:"kind"`
		Ref       string     `json:"ref"`
		Other     *string    `json:"other"`
		Omega     number     `json:"omega"`
		DOF       int        `json:"dof"`
		PhotoSays *[2]number `json:"photo_says,omitempty"`
		SD        *[2]number `json:"sd,omitempty"`
		PinShould *[2]number `json:"pin_should_be,omitempty"`
	}
	blunderOut struct {
		Verdict    string          `json:"verdict"`
		Refs       []string        `json:"refs"`
		Best       *hypothesisOut  `json:"best"`
		Hypotheses []hypothesisOut `json:"hypotheses"`
	}
	warningOut struct {
		Code         Code     `json:"code"`
		Message      string   `json:"message"`
		Pin          string   `json:"pin,omitempty"`
		Refs         []string `json:"refs,omitempty"`
		DistanceIn   *number  `json:"distance_in,omitempty"`
		RelW         *number  `json:"rel_w,omitempty"`
		Ratio        *number  `json:"ratio,omitempty"`
		Conditioning *number  `json:"conditioning,omitempty"`
		Advice       string   `json:"advice,omitempty"`
	}
	distanceOut struct {
		Pins  [2]string `json:"pins"`
		Error Code      `json:"error,omitempty"`
		In    *number   `json:"in,omitempty"`
		Sigma *number   `json:"sigma_in,omitempty"`
	}
	photoOut struct {
		Mode         string        `json:"mode"`
		Blunder      *blunderOut   `json:"blunder,omitempty"`
		Model        Model         `json:"model"`
		H            [3][3]number  `json:"H"`
		Omega        number        `json:"omega"`
		DOF          int           `json:"dof"`
		Iterations   int           `json:"iterations"`
		Sigma0       number        `json:"sigma0"`
		Conditioning number        `json:"conditioning"`
		Handedness   Handedness    `json:"handedness"`
		RefsRelW     number        `json:"refs_rel_w"`
		CovScale     number        `json:"cov_scale"`
		Lambda       *number       `json:"lambda,omitempty"`
		LambdaSigma  *number       `json:"lambda_sigma,omitempty"`
		Refs         []refOut      `json:"refs"`
		Focal        *focalOut     `json:"focal,omitempty"`
		Pose         *poseOut      `json:"pose,omitempty"`
		Pins         []pinOut      `json:"pins"`
		Distances    []distanceOut `json:"distances,omitempty"`
		Warnings     []warningOut  `json:"warnings"`
	}
	scaleOut struct {
		Mode      string        `json:"mode"`
		Label     string        `json:"label,omitempty"`
		InchPerPx number        `json:"inch_per_px"`
		Pins      []pinOut      `json:"pins,omitempty"`
		Distances []distanceOut `json:"distances,omitempty"`
		Warnings  []warningOut  `json:"warnings"`
	}
	pointOut struct {
		ID        string       `json:"id"`
		X         number       `json:"x"`
		Y         number       `json:"y"`
		Cov       [2][2]number `json:"cov"`
		Ellipse95 ellipseOut   `json:"ellipse95"`
		Photos    int          `json:"photos"`
	}
	bundleOut struct {
		Mode       string         `json:"mode"`
		Blunder    *blunderOut    `json:"blunder,omitempty"`
		Model      Model          `json:"model"`
		Points     []pointOut     `json:"points"`
		H          [][3][3]number `json:"H"`
		Omega      number         `json:"omega"`
		DOF        int            `json:"dof"`
		Iterations int            `json:"iterations"`
		CovScale   number         `json:"cov_scale"`
		Lambda     *number        `json:"lambda,omitempty"`
		Warnings   []warningOut   `json:"warnings"`
	}
)

func some(v float64) *number { n := number(v); return &n }

func square2(c Cov) [2][2]number {
	return [2][2]number{{number(c[0][0]), number(c[0][1])}, {number(c[1][0]), number(c[1][1])}}
}

func square3(h [3][3]float64) (out [3][3]number) {
	for i, row := range h {
		for j, v := range row {
			out[i][j] = number(v)
		}
	}
	return out
}

func ellipseOf(c Cov) ellipseOut {
	e := c.Ellipse95()
	return ellipseOut{number(e.A), number(e.B), number(e.Degrees)}
}

func (w Warning) out() warningOut {
	o := warningOut{Code: w.Code, Message: w.Message, Pin: w.Pin, Refs: w.Refs, Advice: w.Code.Advice()}
	switch w.Code {
	case codeExtrapolated, codeFarFromRefs:
		o.DistanceIn = some(w.Value)
	case codeWeakFit, CodeNearHorizon:
		o.RelW = some(w.Value)
	case codeRefsDominate, CodeFocal:
		o.Ratio = some(w.Value)
	case codeWeakLayout:
		o.Conditioning = some(w.Value)
	}
	return o
}

func warningsOut(list []Warning) []warningOut {
	out := []warningOut{}
	for _, w := range list {
		out = append(out, w.out())
	}
	return out
}

func (h Hypothesis) out(full bool) hypothesisOut {
	o := hypothesisOut{Kind: h.Kind, Ref: h.Ref, Omega: number(h.Omega), DOF: h.DOF}
	if h.Other != "" {
		o.Other = &h.Other
	}
	if !full {
		return o
	}
	if h.SD.X > 0 {
		o.PhotoSays = &[2]number{number(h.PhotoSays.X), number(h.PhotoSays.Y)}
		o.SD = &[2]number{number(h.SD.X), number(h.SD.Y)}
	}
	if h.PinShould != nil {
		o.PinShould = &[2]number{number(h.PinShould.U), number(h.PinShould.V)}
	}
	return o
}

func (b *Blunder) out() *blunderOut {
	if b == nil {
		return nil
	}
	o := &blunderOut{Verdict: b.Verdict, Refs: b.Refs, Hypotheses: []hypothesisOut{}}
	if o.Refs == nil {
		o.Refs = []string{}
	}
	if b.Best != nil {
		best := b.Best.out(true)
		o.Best = &best
	}
	for _, h := range b.Hypotheses {
		o.Hypotheses = append(o.Hypotheses, h.out(false))
	}
	return o
}

func (t ReferenceTest) out() refOut {
	return refOut{
		ID: t.ID, ResPx: [2]number{number(t.ResPx.U), number(t.ResPx.V)}, ResIn: [2]number{number(t.ResIn.X), number(t.ResIn.Y)},
		T: number(t.T), TX: number(t.TX), TY: number(t.TY), Redundancy: number(t.Redundancy), MDBIn: [2]number{number(t.MDBX), number(t.MDBY)},
	}
}

// out is the photo without its pins.
func (p *Photo) out() photoOut {
	o := photoOut{
		Mode: "homography", Blunder: p.Blunder.out(), Model: p.Model, H: square3(p.H), Omega: number(p.Omega), DOF: p.DOF, Iterations: p.Iterations,
		Sigma0: known(math.Sqrt(p.Omega/float64(p.DOF)), p.DOF > 0), Conditioning: number(p.Conditioning), Handedness: p.Handedness,
		RefsRelW: number(p.RefsRelW), CovScale: number(p.CovScale), Refs: []refOut{}, Pins: []pinOut{}, Warnings: warningsOut(p.Warnings),
	}
	if p.Model != ModelH {
		o.Lambda, o.LambdaSigma = some(p.Lambda), some(p.LambdaSigma)
	}
	for _, t := range p.References {
		o.Refs = append(o.Refs, t.out())
	}
	if f := p.Focal; f != nil {
		o.Focal = &focalOut{known(f.Exif, f.Exif > 0), known(f.FromH, f.FromH > 0), known(f.Sigma, f.FromH > 0)}
	}
	if c := p.Pose; c != nil {
		o.Pose = &poseOut{X: number(c.X), Y: number(c.Y), Below: number(c.Below), Heading: number(c.Heading), Elevation: number(c.Elevation)}
		for i, row := range c.Cov {
			for j, v := range row {
				o.Pose.Cov[i][j] = number(v)
			}
		}
	}
	return o
}

// encode writes an answer as indented JSON with a line end.
func encode(v any) ([]byte, error) {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetIndent("", " ")
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// pair names a distance for messages.
func pair(p [2]string) string { return strconv.Quote(p[0]) + " and " + strconv.Quote(p[1]) }
