package plane

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// The document of Answer. Numbers are pointers so that what is missing shows.
type (
	document struct {
		Refs      []refDoc   `json:"refs"`
		Pins      []pinDoc   `json:"pins"`
		Image     *imageDoc  `json:"image"`
		Options   optionsDoc `json:"options"`
		Distances [][]string `json:"distances"`
		Photos    []photoDoc `json:"photos"`
		Points    []pointDoc `json:"points"`
		SameX     []tieDoc   `json:"same_x"`
		SameY     []tieDoc   `json:"same_y"`
		Dist      []tieDoc   `json:"dist"`
	}
	refDoc struct {
		ID      string   `json:"id"`
		PX      *float64 `json:"px"`
		PY      *float64 `json:"py"`
		X       *float64 `json:"x"`
		Y       *float64 `json:"y"`
		SigmaPx *float64 `json:"sigma_px"`
		SigmaIn *float64 `json:"sigma_in"`
	}
	pinDoc struct {
		ID          string   `json:"id"`
		PX          *float64 `json:"px"`
		PY          *float64 `json:"py"`
		SigmaPx     *float64 `json:"sigma_px"`
		DropIn      *float64 `json:"drop_in"`
		SigmaDropIn *float64 `json:"sigma_drop_in"`
	}
	imageDoc struct {
		W   *float64 `json:"w"`
		H   *float64 `json:"h"`
		F35 *float64 `json:"f35"`
	}
	optionsDoc struct {
		Model       string   `json:"model"`
		SigmaLambda *float64 `json:"sigma_lambda"`
		SigmaF      *float64 `json:"sigma_f"`
		SigmaPP     *float64 `json:"sigma_pp"`
		SigmaZ      *float64 `json:"sigma_z"`
		Handedness  string   `json:"handedness"`
		Mirror      bool     `json:"mirror"`
		TiltDeg     *float64 `json:"tilt_deg"`
		LengthIn    *float64 `json:"length_in"`
	}
	photoDoc struct {
		ID    string    `json:"id"`
		Image *imageDoc `json:"image"`
		Obs   []pinDoc  `json:"obs"`
	}
	pointDoc struct {
		ID      string   `json:"id"`
		X       *float64 `json:"x"`
		Y       *float64 `json:"y"`
		SigmaIn *float64 `json:"sigma_in"`
	}
	tieDoc struct {
		A       string   `json:"a"`
		B       string   `json:"b"`
		In      *float64 `json:"in"`
		SigmaIn *float64 `json:"sigma_in"`
	}
)

// parse reads a document strictly: unknown, repeated and misspelled keys, other kinds of values and text after it are errors.
func parse(data []byte) (document, *Error) {
	var doc document
	if err := checkKeys(data); err != nil {
		return doc, err
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&doc); err != nil {
		return doc, faultf(CodeBadInput, "%s", plainly(err))
	}
	return doc, nil
}

// plainly puts a decoder's error into a line for a person.
func plainly(err error) string {
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		return fmt.Sprintf("%s: expected %s, not a %s", kind.Field, kind.Type, kind.Value)
	}
	return strings.TrimPrefix(err.Error(), "json: ")
}

// maxDepth is how deep a document may nest; its own depth is five.
const maxDepth = 16

// checkKeys walks the document for repeated keys and keys that are not in lower case, which the decoder would accept.
func checkKeys(data []byte) *Error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	if err := walkValue(d, 0); err != nil {
		return err
	}
	if _, err := d.Token(); err != io.EOF {
		return faultf(CodeBadInput, "there is text after the document, from byte %d on", d.InputOffset())
	}
	return nil
}

func walkValue(d *json.Decoder, depth int) *Error {
	if depth > maxDepth {
		return faultf(CodeBadInput, "nested deeper than %d levels", maxDepth)
	}
	token, err := nextToken(d)
	if err != nil {
		return err
	}
	delim, ok := token.(json.Delim)
	if !ok {
		return nil
	}
	keys := map[string]bool{}
	for d.More() {
		if delim == '{' {
			if err = walkKey(d, keys); err != nil {
				return err
			}
		}
		if err := walkValue(d, depth+1); err != nil {
			return err
		}
	}
	_, err = nextToken(d)
	return err
}

// walkKey adds the next key to those of its object.
func walkKey(d *json.Decoder, keys map[string]bool) *Error {
	token, err := nextToken(d)
	if err != nil {
		return err
	}
	key, _ := token.(string)
	if keys[key] {
		return faultf(CodeBadInput, "the key %q is there twice", key)
	}
	if key != strings.ToLower(key) {
		return faultf(CodeBadInput, "unknown field %q", key)
	}
	keys[key] = true
	return nil
}

func nextToken(d *json.Decoder) (json.Token, *Error) {
	token, err := d.Token()
	switch {
	case err == nil:
		return token, nil
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return nil, faultf(CodeBadInput, "the document ends too early")
	}
	return nil, faultf(CodeBadInput, "not JSON near byte %d: %s", d.InputOffset(), plainly(err))
}

// need is a value that must be there.
func need(v *float64, what string) (float64, *Error) {
	if v == nil {
		return 0, faultf(CodeBadInput, "%s is missing", what)
	}
	return *v, nil
}

func orElse(v *float64, usual float64) float64 {
	if v == nil {
		return usual
	}
	return *v
}

func (d *imageDoc) image() (Image, *Error) {
	if d == nil {
		return Image{}, nil
	}
	var i Image
	var err *Error
	if i.Width, err = need(d.W, "image.w"); err != nil {
		return i, err
	}
	if i.Height, err = need(d.H, "image.h"); err != nil {
		return i, err
	}
	if d.F35 != nil && *d.F35 <= 0 {
		return i, faultf(CodeBadInput, "image.f35 must be over 0; leave it out when it is not known")
	}
	i.F35 = orElse(d.F35, 0)
	return i, nil
}

// options are the usual ones but for the joists' unevenness, which is 0 unless it is said.
func (d optionsDoc) options() Options {
	o := DefaultOptions()
	o.Model, o.Handedness = Model(d.Model), Handedness(d.Handedness)
	if d.Mirror && o.Handedness == AnyHandedness {
		o.Handedness = Mirrored
	}
	o.SigmaLambda = orElse(d.SigmaLambda, o.SigmaLambda)
	o.SigmaF = orElse(d.SigmaF, o.SigmaF)
	o.SigmaPP = orElse(d.SigmaPP, o.SigmaPP)
	o.SigmaZ = orElse(d.SigmaZ, 0)
	o.TiltDegrees = orElse(d.TiltDeg, o.TiltDegrees)
	return o
}

// check refuses a sigma of 0 that would stand for the usual value, and a statement that contradicts itself.
func (d optionsDoc) check() *Error {
	if d.SigmaF != nil && !(*d.SigmaF > 0) {
		return faultf(CodeBadInput, "options.sigma_f must be over 0")
	}
	if d.Mirror && d.Handedness == string(Same) {
		return faultf(CodeBadInput, "options.mirror and options.handedness contradict each other")
	}
	return nil
}

func (d refDoc) reference(i int, along *float64) (Reference, *Error) {
	r := Reference{ID: d.ID, SigmaPx: orElse(d.SigmaPx, DefaultTap), SigmaIn: orElse(d.SigmaIn, DefaultTape)}
	if r.ID == "" {
		r.ID = fmt.Sprintf("R%d", i+1)
	}
	if along != nil {
		if d.X != nil || d.Y != nil {
			return r, faultf(CodeBadInput, "reference %s has a place, and options.length_in says that only a length is known", r.ID)
		}
		zero := 0.0
		d.X, d.Y = &zero, &zero
		if i == 1 {
			d.X = along
		}
	}
	for _, f := range []struct {
		to   *float64
		from *float64
		key  string
	}{{&r.Pixel.U, d.PX, "px"}, {&r.Pixel.V, d.PY, "py"}, {&r.Plan.X, d.X, "x"}, {&r.Plan.Y, d.Y, "y"}} {
		v, err := need(f.from, fmt.Sprintf("reference %s: %s", r.ID, f.key))
		if err != nil {
			return r, err
		}
		*f.to = v
	}
	return r, nil
}

func (d pinDoc) tap(i int) (Tap, *Error) {
	t := Tap{ID: d.ID, SigmaPx: orElse(d.SigmaPx, DefaultTap)}
	if t.ID == "" {
		t.ID = fmt.Sprintf("P%d", i+1)
	}
	var err *Error
	if t.Pixel.U, err = need(d.PX, "pin "+t.ID+": px"); err != nil {
		return t, err
	}
	t.Pixel.V, err = need(d.PY, "pin "+t.ID+": py")
	return t, err
}
