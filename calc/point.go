package calc

import (
	"encoding/json"
	"reflect"
)

// MarshalJSON writes the point as [x, y].
func (p Point) MarshalJSON() ([]byte, error) {
	return json.Marshal([2]float64{float64(p.X), float64(p.Y)})
}

// UnmarshalJSON reads [x, y]; each may be a number of inches or a length text.
func (p *Point) UnmarshalJSON(data []byte) error {
	tree, err := parseTree(data)
	if err != nil {
		return err
	}
	return valueReader{}.point(tree, "", reflect.ValueOf(p).Elem())
}

// MarshalJSON writes the input as Decode reads it: lists that are nil are empty.
func (in Input) MarshalJSON() ([]byte, error) {
	type plain Input
	in = withDefaults(in)
	return json.Marshal(plain(in))
}

// withDefaults fills what a caller that builds an Input in code may leave at its zero value: lists, direction of fall, low edge,
// the joists' wood and the beams' treatment.
func withDefaults(in Input) Input {
	d := defaultInput()
	if in.Fall.Direction == "" {
		in.Fall.Direction = d.Fall.Direction
	}
	if in.LowEdge == "" {
		in.LowEdge = d.LowEdge
	}
	if in.Joists.SpecificGravity == 0 {
		in.Joists.SpecificGravity = d.Joists.SpecificGravity
	}
	in.Outline, in.Edges, in.Joists.Gaps = list(in.Outline), list(in.Edges), list(in.Joists.Gaps)
	in.Heights, in.Clearances, in.Openings = list(in.Heights), list(in.Clearances), list(in.Openings)
	in.Obstructions, in.Holes, in.Cover = list(in.Obstructions), list(in.Holes), list(in.Cover)
	beams := make([]Beam, len(in.Beams))
	for i, b := range in.Beams {
		if b.Treatment == "" {
			b.Treatment = TreatAuto
		}
		beams[i] = b
	}
	in.Beams = beams
	return in
}

// list is the list itself, an empty one for nil.
func list[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}
