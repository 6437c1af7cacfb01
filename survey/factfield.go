package survey

import (
	"strings"

	"undercroft/calc"
)

// surfaceOptions are the wall surfaces with their labels.
func surfaceOptions() []Option {
	surfaces := []calc.Surface{calc.SurfaceWood, calc.SurfaceVinyl, calc.SurfaceFiberCement, calc.SurfaceBrick, calc.SurfaceBlock, calc.SurfaceConcrete,
		calc.SurfaceStucco, calc.SurfaceStone, calc.SurfaceEIFS, calc.SurfaceLog, calc.SurfaceMetal, calc.SurfaceUnknown}
	options := make([]Option, 0, len(surfaces))
	for _, s := range surfaces {
		label := string(s)
		options = append(options, Option{label, strings.ToUpper(label[:1]) + label[1:]})
	}
	return options
}

// FactFields lists what can be typed about this survey's deck, by group and in the order of the form. The sides of the deck depend on
// its outline, so these fields do too.
func FactFields(r Record) []Field {
	fields := append(sizeFields(), squareFields()...)
	fields = append(fields, joistFields()...)
	for i, side := range sides(r) {
		fields = append(fields, edgeFields(i, side)...)
	}
	fields = append(fields, systemFields()...)
	fields = append(fields, weatherFields()...)
	return append(fields, aroundFields()...)
}

// FactField finds one field of this survey by its key: one of the deck, of what will be covered, of the scope, of the survey's being ready,
// of its finishing, or of the walk list.
func FactField(r Record, key string) (Field, bool) {
	if f, ok := finishField(r, key); ok {
		return f, true
	}
	for _, fields := range [][]Field{FactFields(r), CoverFields(r), ScopeFields(), readyFields(), WalkFields(r)} {
		for _, f := range fields {
			if f.Key == key {
				return f, true
			}
		}
	}
	return Field{}, false
}

func sizeFields() []Field {
	return []Field{
		{Key: "width", Label: "Deck width", Hint: "along the house", Group: "Size", Type: TypeLength, Required: true, Min: 1, Likely: likelyWidth()},
		{Key: "projection", Label: "Deck projection", Hint: "house to outer edge", Group: "Size", Type: TypeLength, Required: true, Min: 1, Likely: likelyProjection()},
		{Key: "outline", Label: "Corners, when it is not a rectangle", Hint: "one a line: along the house, out from it; start at the house's left end", Group: "Size", Type: TypeCorners},
		{Key: "hole", Label: "Corners of a stair opening in the deck", Hint: "one a line, as above; empty when there is none", Group: "Size", Type: TypeCorners},
		{Key: "hole.2", Label: "Corners of a second opening", Hint: "one a line, as above", Group: "Size", Type: TypeCorners},
		{Key: "hole.3", Label: "Corners of a third opening", Hint: "one a line, as above", Group: "Size", Type: TypeCorners},
	}
}

func joistFields() []Field {
	return []Field{
		{Key: "joist.direction", Label: "Joists run", Group: "Joists", Type: TypeChoice, Required: true, Options: []Option{{"y", "Out from the house"}, {"x", "Along the house"}}},
		{Key: "joist.spacing", Label: "Joist spacing", Hint: "center to center", Group: "Joists", Type: TypeLength, Required: true, Min: 1, Likely: likelySpacing()},
		{Key: "joist.depth", Label: "Joist depth", Group: "Joists", Type: TypeLength, Min: 1, Likely: likelyDepth(), Assumed: "9 1/4"},
		{Key: "joist.wood", Label: "Joist wood", Hint: "specific gravity, NDS 2018 table 12.3.3A", Group: "Joists", Type: TypeChoice, Assumed: "0.42", Options: []Option{
			{"0.42", "Spruce-pine-fir, 0.42"}, {"0.43", "Hem-fir, 0.43"}, {"0.50", "Douglas fir-larch, 0.50"}, {"0.55", "Southern pine, 0.55"}, {"0.37", "Redwood, 0.37"}, {"0.36", "Western cedars, 0.36"}}},
	}
}

// edgeFields ask about side i of the outline. A side at the house is taken for a wall and any other for open until somebody says
// otherwise; what a wall is faced with is never assumed.
func edgeFields(i int, s Side) []Field {
	key := func(name string) string { return edgeKey(i, name) }
	side, kind := s.Label, calc.EdgeOpen
	if s.atHouse {
		kind = calc.EdgeWall
	}
	return []Field{
		{Key: key("kind"), Label: side, Assumed: string(kind), Hint: "a wall, or open with a rim joist in the air", Group: "Walls", Type: TypeChoice, Options: []Option{{"wall", "Wall"}, {"open", "Open"}}},
		{Key: key("surface"), Label: side + ": surface", Group: "Walls", Type: TypeChoice, Options: surfaceOptions()},
		{Key: key("wall_end"), Label: side + ": wall ends after", Hint: "from the house or its left end; empty for the whole side", Group: "Walls", Type: TypeLength, Likely: likelyOnPlan()},
		{Key: key("member_drop"), Label: side + ": ledger or rim below the joists", Hint: "above: with a minus", Group: "Walls", Type: TypePosition, Assumed: "0", Likely: likelyDrop()},
	}
}

// confirmedKey is the fact that the supplier has confirmed the profile's figures.
const confirmedKey = "profile.confirmed"

func systemFields() []Field {
	var systems []Option
	for _, s := range calc.BuiltInSystems() {
		systems = append(systems, Option{s.Name, s.Name})
	}
	return []Field{
		{Key: "system", Label: "System profile", Group: "Ceiling", Type: TypeChoice, Options: systems, Assumed: "vinyl-12"},
		{Key: confirmedKey, Label: "Supplier's figures confirmed", Hint: "covers, depths and lengths of the profile, by the supplier", Group: "Ceiling", Type: TypeYesNo},
		{Key: "fall.direction", Label: "Water runs", Group: "Ceiling", Type: TypeChoice, Assumed: "+y", Options: []Option{{"+y", "Away from the house"}, {"+x", "To the right, facing the house"}, {"-x", "To the left, facing the house"}}},
		{Key: "fall.per_foot", Label: "Fall per foot", Hint: "empty: the profile's own", Group: "Ceiling", Type: TypeLength, Min: 1.0 / 32, Likely: Range{1.0 / 8, 1, "A ceiling mostly falls 1/8″ to 1″ a foot" + noSource + "."}},
		{Key: "base", Label: "Base furring", Hint: "least thickness", Group: "Ceiling", Type: TypeLength, Assumed: "0", Likely: Range{0, 6, "Furring is mostly less than 6″ thick at its least" + noSource + "."}},
		{Key: "max_build_down", Label: "Build down to pass under a beam", Hint: "at most", Group: "Ceiling", Type: TypeLength, Assumed: "0", Likely: Range{0, 24, "Ceilings are mostly built down by less than 2′" + noSource + "."}},
		{Key: "cover", Label: "Zones to build", Hint: "as z1 z2; empty for all", Group: "Ceiling", Type: TypeText},
		{Key: "low_edge", Label: "Low edge", Group: "Ceiling", Type: TypeChoice, Assumed: "sealant", Options: []Option{{"sealant", "Sealant bead"}, {"drip-channel", "Inverted channel as a drip"}}},
	}
}

func weatherFields() []Field {
	return []Field{
		{Key: "rain.inches_per_hour", Label: "Rain, 5-minute storm", Unit: "in/h", Group: "Place and house", Type: TypeNumber, Min: 0.1, Max: 30, Assumed: "7"},
		{Key: "rain.roof_ft2", Label: "Roof that drains onto the deck", Unit: "ft²", Group: "Place and house", Type: TypeNumber, Max: 20000, Assumed: "0"},
		{Key: "temperature.install", Label: "Temperature at installation", Unit: "°F", Group: "Place and house", Type: TypeNumber, Min: -60, Max: 150, Assumed: "50"},
		{Key: "temperature.min", Label: "Coldest", Unit: "°F", Group: "Place and house", Type: TypeNumber, Min: -60, Max: 150, Assumed: "0"},
		{Key: "temperature.max", Label: "Hottest under the deck", Unit: "°F", Group: "Place and house", Type: TypeNumber, Min: -60, Max: 180, Assumed: "120"},
		{Key: "built_before_1978", Label: "House built before 1978", Group: "Place and house", Type: TypeYesNo, Required: true},
	}
}

// conditionPrefix starts the keys of the fields about what is around; the rest of the key is the calculator's name for the condition.
const conditionPrefix = "around."

// aroundFields ask about what calls for care at the place of work; an answer that is not given is no answer, not a no. The questions are those
// of what will be covered that the calculator needs the answers of.
func aroundFields() []Field {
	fields := []Field{{Key: "means", Label: "How people work up there", Group: groupPlace, Type: TypeChoice, Options: []Option{{"ladder", "Ladders"}, {"scaffold", "Scaffold"}, {"lift", "Lift"}}}}
	for _, q := range CoverQuestions() {
		if strings.HasPrefix(q.Key, conditionPrefix) {
			fields = append(fields, Field{Key: q.Key, Label: q.Label, Hint: q.Hint, Group: groupPlace, Type: TypeChoice, Options: answers()})
		}
	}
	return fields
}
