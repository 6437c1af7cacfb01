package calc

import (
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"undercroft/calc/length"
)

// maxDocument is the greatest document that Decode reads, in bytes: room for 100,000 obstructions.
const maxDocument = 64 << 20

// Decode reads the document of the calc command. It is strict: unknown and repeated keys, null, values of another kind, missing
// required values, text after the document and everything that Check refuses are errors of type *InputError that name the place.
// Values left out have the defaults of defaultInput. Lists are never nil afterwards.
func Decode(r io.Reader) (Input, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxDocument+1))
	if err != nil {
		return Input{}, fmt.Errorf("read the document: %w", err)
	}
	if len(data) > maxDocument {
		return Input{}, faultf("", "the document is longer than %d MB", maxDocument>>20)
	}
	tree, err := parseTree(data)
	if err != nil {
		return Input{}, err
	}
	in := defaultInput()
	d := valueReader{required: requiredInput, nullable: nil}
	if err := d.read(tree, "", reflect.ValueOf(&in).Elem()); err != nil {
		return Input{}, err
	}
	if err := Check(in); err != nil {
		return Input{}, err
	}
	return in, nil
}

// defaultInput is an input with every default set and no deck: fall away from the house at the profile's own slope, wood of
// specific gravity 0.42, 7 in/h of rain, 50 F at installation between 0 and 120 F, low edge sealed, system vinyl-12.
func defaultInput() Input {
	return Input{
		Outline: []Point{}, Edges: []Edge{}, Fall: Fall{Direction: FallOut}, Joists: Joists{SpecificGravity: 0.42, Gaps: []Box{}},
		Heights: []Height{}, Clearances: []Clearance{}, Beams: []Beam{}, Obstructions: []Obstruction{}, Openings: []Opening{},
		Rain: Rain{InchesPerHour: 7}, Temperature: Temperature{Install: 50, Max: 120}, LowEdge: LowEdgeSealant,
		Holes: [][]Point{}, Cover: []string{}, System: SystemSelection{Name: "vinyl-12"},
	}
}

// requiredInput lists the keys that each kind of object must have.
func requiredInput(t reflect.Type) []string {
	switch t {
	case reflect.TypeFor[Input]():
		return []string{"outline", "edges", "joists"}
	case reflect.TypeFor[Edge]():
		return []string{"kind"}
	case reflect.TypeFor[Joists]():
		return []string{"direction", "spacing"}
	case reflect.TypeFor[Box]():
		return []string{"x0", "x1", "y0", "y1"}
	case reflect.TypeFor[Height]():
		return []string{"x", "y", "height"}
	case reflect.TypeFor[Clearance]():
		return []string{"x", "y", "clearance"}
	case reflect.TypeFor[Beam]():
		return []string{"id", "x0", "x1", "y0", "y1", "drop"}
	case reflect.TypeFor[Obstruction]():
		return []string{"id", "kind", "x", "y", "wx", "wy", "drop"}
	case reflect.TypeFor[Opening]():
		return []string{"id", "x0", "x1", "head"}
	}
	return nil
}

// valueReader fills Go values from a tree: structs by their json tags, exactly spelled.
type valueReader struct {
	required func(reflect.Type) []string // keys that an object must have
	nullable []string                    // keys that may be null
}

func (d valueReader) read(n node, place string, v reflect.Value) error {
	switch v.Type() {
	case reflect.TypeFor[length.Inches]():
		l, err := readInches(n, place)
		v.SetFloat(float64(l))
		return err
	case reflect.TypeFor[Point]():
		return d.point(n, place, v)
	case reflect.TypeFor[SystemSelection]():
		return readSelection(n, place, v.Addr().Interface().(*SystemSelection))
	}
	switch v.Kind() {
	case reflect.Struct:
		return d.object(n, place, v)
	case reflect.Slice:
		return d.list(n, place, v)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		return d.read(n, place, v.Elem())
	case reflect.String:
		if n.kind != '"' {
			return faultf(place, "expected a text, not %s", n.name())
		}
		v.SetString(n.text)
		return nil
	case reflect.Bool:
		if n.kind != 't' {
			return faultf(place, "expected true or false, not %s", n.name())
		}
		v.SetBool(n.text == "true")
		return nil
	case reflect.Int, reflect.Int64:
		if n.kind != '0' {
			return faultf(place, "expected a whole number, not %s", n.name())
		}
		i, err := strconv.ParseInt(n.text, 10, 64)
		if err != nil || v.OverflowInt(i) {
			return faultf(place, "%s is not a whole number that fits", clip(n.text))
		}
		v.SetInt(i)
		return nil
	}
	f, err := readNumber(n, place, "a number")
	v.SetFloat(f)
	return err
}

// readNumber takes a JSON number that is finite as a float64.
func readNumber(n node, place, expected string) (float64, error) {
	if n.kind != '0' {
		return 0, faultf(place, "expected %s, not %s", expected, n.name())
	}
	f, err := strconv.ParseFloat(n.text, 64)
	if err != nil || math.IsInf(f, 0) || math.IsNaN(f) {
		return 0, faultf(place, "%s is out of range", clip(n.text))
	}
	return f, nil
}

// readInches takes a number of inches or a length text.
func readInches(n node, place string) (length.Inches, error) {
	if n.kind != '"' {
		f, err := readNumber(n, place, "a number of inches or a length text")
		return length.Inches(f), err
	}
	l, err := length.Parse(n.text)
	if err != nil {
		return 0, faultf(place, "%v", err)
	}
	return l, nil
}

func (d valueReader) point(n node, place string, v reflect.Value) error {
	if n.kind != '[' || len(n.items) != 2 {
		return faultf(place, "expected a point [x, y], not %s", n.name())
	}
	for i := range 2 {
		l, err := readInches(n.items[i], place+"["+strconv.Itoa(i)+"]")
		if err != nil {
			return err
		}
		v.Field(i).SetFloat(float64(l))
	}
	return nil
}

func (d valueReader) list(n node, place string, v reflect.Value) error {
	if n.kind != '[' {
		return faultf(place, "expected a list, not %s", n.name())
	}
	if place == "obstructions" && len(n.items) > maxObstructions {
		return faultf(place, "%d obstructions are more than the %d that can be planned", len(n.items), maxObstructions)
	}
	list := reflect.MakeSlice(v.Type(), len(n.items), len(n.items))
	for i, item := range n.items {
		at := place + "[" + strconv.Itoa(i) + "]"
		if err := d.read(item, at, list.Index(i)); err != nil {
			return err
		}
	}
	v.Set(list)
	return nil
}

func (d valueReader) object(n node, place string, v reflect.Value) error {
	if n.kind != '{' {
		return faultf(place, "expected an object, not %s", n.name())
	}
	for i, key := range n.keys {
		f := fieldByKey(v, key)
		if !f.IsValid() {
			return faultf(join(place, key), "there is no such key here")
		}
		if n.items[i].kind == 'n' && slices.Contains(d.nullable, key) {
			f.SetZero()
			continue
		}
		if err := d.read(n.items[i], join(place, key), f); err != nil {
			return err
		}
	}
	for _, key := range d.required(v.Type()) {
		if !slices.Contains(n.keys, key) {
			return faultf(join(place, key), "is required and missing")
		}
	}
	return nil
}

// fieldByKey is the field with that json name, embedded structs included; the zero Value when there is none.
func fieldByKey(v reflect.Value, key string) reflect.Value {
	t := v.Type()
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Anonymous {
			if in := fieldByKey(v.Field(i), key); in.IsValid() {
				return in
			}
			continue
		}
		if name, _, _ := strings.Cut(f.Tag.Get("json"), ","); name == key {
			return v.Field(i)
		}
	}
	return reflect.Value{}
}
