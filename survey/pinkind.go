package survey

// PinKindInfo says what a kind of pin is called, how many ends it has, which of the four buttons on site it stands under, and
// what its form asks.
type PinKindInfo struct {
	Kind   PinKind
	Label  string
	Says   string // one sentence for the person who chooses
	Button string // Measure, In the way, Wall or Concern
	Ends   int
	Fields []Field
}

// PinKinds lists the kinds in the order of the buttons.
func PinKinds() []PinKindInfo {
	return []PinKindInfo{
		{PinReference, "Reference", "A point whose place on the plan is known", "Measure", 1, referenceFields()},
		{PinDimension, "Length", "A taped length between two points", "Measure", 2, dimensionFields()},
		{PinLevel, "Level", "The joists' bottom against one level line", "Measure", 1, levelFields()},
		{PinClearance, "Clearance", "From the joists' bottom to the ground here", "Measure", 1, clearanceFields()},
		{PinHanger, "Hanger", "A joist hanger that hangs below the joists", "In the way", 1, hangingFields("A row at equal distances: one pin for all of them")},
		{PinBracket, "Bracket", "An angle, strap or plate below the joists", "In the way", 1, hangingFields("A row at equal distances: one pin for all of them")},
		{PinBeam, "Beam or header", "A beam under or between the joists: its near face", "In the way", 1, beamFields()},
		{PinPost, "Post", "A post and what it carries", "In the way", 1, postFields()},
		{PinFixture, "Fixture, vent or pipe", "A light, fan, box, vent, pipe or wire", "In the way", 1, fixtureFields()},
		{PinWall, "Wall surface", "What a wall is faced with", "Wall", 1, wallFields()},
		{PinOpening, "Door or window", "An opening in the house wall: its two upper corners", "Wall", 2, openingFields()},
		{PinWater, "Water", "Where water can go, or comes from", "Wall", 1, waterFields()},
		{PinConcern, "Concern", "Something to settle before it is covered", "Concern", 1, concernFields()},
		{PinNote, "Note", "Anything else worth knowing", "Concern", 1, nil},
	}
}

// KindInfo finds a kind; false when there is no such kind.
func KindInfo(kind PinKind) (PinKindInfo, bool) {
	for _, k := range PinKinds() {
		if k.Kind == kind {
			return k, true
		}
	}
	return PinKindInfo{}, false
}

// placeFields ask for a typed plan position and how well it is known. On a photo with enough references it may be left empty.
func placeFields(assumedPM string) []Field {
	return []Field{
		{Key: "x", Label: "Along the house", Hint: "from the left end, facing the house", Type: TypePosition, Likely: likelyOnPlan(), Group: "Where on the plan"},
		{Key: "y", Label: "Out from the house", Hint: "to its middle", Type: TypePosition, Likely: likelyOnPlan(), Group: "Where on the plan"},
		{Key: "pm", Label: "Known within", Hint: "± 95 %", Type: TypeLength, Likely: likelyAccuracy(), Group: "Where on the plan", Assumed: assumedPM},
		sameField(),
		{Key: "typed_stands", Label: "The typed place stands, whatever the photo says", Type: TypeYesNo, Group: "Where on the plan"},
	}
}

func referenceFields() []Field {
	return append([]Field{
		{Key: "joist", Label: "Which joist", Hint: "counted from the right end, facing the house", Type: TypeCount},
		{Key: "at", Label: "Where on it", Type: TypeChoice, Options: structureWords()},
		{Key: markKey, Label: "The mark, out from the house", Hint: "along the joist, from the wall", Type: TypeLength, Likely: likelyOnPlan()},
		{Key: "name", Label: "What else it is", Hint: "a tape mark, a post's corner", Type: TypeText},
	}, placeFields(joistPM)[:3]...)
}

func dimensionFields() []Field {
	return []Field{
		{Key: "names", Label: "What it measures", Type: TypeChoice, Required: true, Options: []Option{
			{"width", "Deck width"}, {"projection", "Deck projection"}, {"joist.spacing", "Joist spacing"}, {"joist.depth", "Joist depth"},
			{rimKey, "Width at the outer edge"}, {leftKey, "Projection at the left end"}, {middleKey, "Projection in the middle"}, {rightKey, "Projection at the right end"},
			{diagonalOut, "Diagonal from the house’s left end"}, {diagonalIn, "Diagonal from the house’s right end"}, {"free", "Something else"}}},
		{Key: "length", Label: "Length", Type: TypeLength, Required: true, LikelyAs: map[string]Range{
			"width": likelyWidth(), "projection": likelyProjection(), "joist.spacing": likelySpacing(), "joist.depth": likelyDepth()}},
	}
}

func levelFields() []Field {
	return append(placeFields("1/8"),
		Field{Key: "height", Label: "Height of the joists' bottom", Hint: "above one laser or string line for all", Type: TypeLength, Required: true, Likely: likelyHeight()})
}

func clearanceFields() []Field {
	return append(placeFields("1/8"),
		Field{Key: "clearance", Label: "Joists' bottom to the ground", Type: TypeLength, Required: true, Min: 1, Likely: Range{60, 240, "There is mostly 5′ to 20′ under such a deck" + noSource + "."}},
		Field{Key: "ground", Label: "The ground here", Type: TypeChoice, Options: []Option{
			{"concrete", "Concrete"}, {"pavers", "Pavers"}, {"gravel", "Gravel"}, {"soil", "Soil or grass"}, {"deck", "Lower deck"}}})
}

func hangingFields(rowGroup string) []Field {
	fields := append(rowFields(), []Field{
		{Key: "drop", Label: "Hangs below the joists", Hint: "lowest metal", Type: TypeLength, Required: true, Likely: likelyDrop(), Offers: dropOffers()},
		{Key: "wx", Label: "Size along the house", Type: TypeLength, Required: true, Likely: likelySize("Metal below the joists", 48)},
		{Key: "wy", Label: "Size out from the house", Type: TypeLength, Required: true, Likely: likelySize("Metal below the joists", 48), Offers: seatOffers()},
	}...)
	fields = append(fields, placeFields("1/8")...)
	return append(fields,
		Field{Key: "row_count", Label: "How many", Hint: "empty for one", Type: TypeCount, Group: rowGroup},
		Field{Key: "row_step", Label: "Center to center", Type: TypeLength, Group: rowGroup, Likely: likelySpacing()},
		Field{Key: "row_along", Label: "The row runs", Type: TypeChoice, Group: rowGroup, Assumed: "x", Options: []Option{{"x", "Along the house"}, {"y", "Out from it"}}})
}

// dropOffers are how far the metal of most hangers hangs below the joists: one sheet or two, or a plate (common practice, no source).
func dropOffers() []Offer {
	var offers []Offer
	for _, text := range []string{"1/16", "1/8", "1/4"} {
		offers = append(offers, Offer{text + "″", map[string]string{"drop": text}})
	}
	return offers
}

// seatOffers are the seats of hangers for one and for two pieces of dressed two-inch lumber: a little wider than these, two inches deep (common
// practice, no source).
func seatOffers() []Offer {
	return []Offer{{"One 2×: 1 5/8″ × 2″", map[string]string{"wx": "1 5/8", "wy": "2"}}, {"Two 2×: 3 1/8″ × 2″", map[string]string{"wx": "3 1/8", "wy": "2"}}}
}

func beamFields() []Field {
	return []Field{
		{Key: "set", Label: "How it sits", Type: TypeChoice, Required: true, Options: []Option{{"dropped", "Below the joists"}, {"flush", "Between the joists"}}},
		{Key: "drop", Label: "Hangs below the joists", Type: TypeLength, Likely: Range{0, 24, "Beams mostly hang less than 2′ below the joists" + noSource + "."}, Hint: "0 when flush"},
		{Key: "thick", Label: "Width of the beam", Type: TypeLength, Likely: Range{1.5, 16, "Beams are mostly 1 1/2″ (one 2×) to 16″ wide (PS 20 lumber)."}},
		{Key: "x0", Label: "Left end, along the house", Hint: "empty: the whole deck", Type: TypePosition, Likely: likelyOnPlan(), Group: "Where on the plan"},
		{Key: "x1", Label: "Right end, along the house", Hint: "empty: the whole deck", Type: TypePosition, Likely: likelyOnPlan(), Group: "Where on the plan"},
		{Key: "y0", Label: "Near face, out from the house", Type: TypePosition, Likely: likelyOnPlan(), Group: "Where on the plan"},
		{Key: "y1", Label: "Far face, out from the house", Hint: "empty: by its width", Type: TypePosition, Likely: likelyOnPlan(), Group: "Where on the plan"},
		{Key: "treatment", Label: "The ceiling", Type: TypeChoice, Assumed: "auto", Options: []Option{
			{"auto", "Decide by its drop"}, {"split", "Splits here"}, {"under", "Passes under"}, {"stop", "Stops before it"}}},
		{Key: "gap_to", Label: "Joists stop at it: none from here out to", Hint: "leave empty when joists go on", Type: TypePosition, Likely: likelyOnPlan(), Group: "Joists"},
	}
}

func postFields() []Field {
	fields := []Field{
		{Key: "wx", Label: "Size along the house", Type: TypeLength, Required: true, Likely: Range{3, 24, "Posts are mostly 3″ to 24″ wide, cladding included" + noSource + "."}},
		{Key: "wy", Label: "Size out from the house", Type: TypeLength, Required: true, Likely: Range{3, 24, "Posts are mostly 3″ to 24″ wide, cladding included" + noSource + "."}},
		{Key: "through", Label: "Goes up through the ceiling", Type: TypeYesNo, Required: true},
	}
	return append(fields, placeFields("1/8")...)
}

func fixtureFields() []Field {
	fields := []Field{
		{Key: "sort", Label: "What it is", Type: TypeChoice, Required: true, Options: []Option{
			{"light", "Light"}, {"fan", "Fan"}, {"box", "Junction box"}, {"heater", "Heater"}, {"flue", "Flue or direct vent"}, {"exhaust", "Dryer or bath exhaust"},
			{"gas", "Gas line"}, {"condensate", "Condensate line"}, {"pipe", "Water pipe"}, {"leader", "Downspout"}, {"bib", "Hose bib"}, {"wiring", "Wiring"},
			{"condenser", "Condenser below"}, {"other", "Something else"}}},
		{Key: "state", Label: "It is", Type: TypeChoice, Required: true, Options: []Option{{"existing", "Existing"}, {"moved", "To be moved"}, {"planned", "Planned"}}},
		{Key: "at", Label: "Where", Type: TypeChoice, Required: true, Options: []Option{{"ceiling", "In the ceiling"}, {"wall", "On a wall"}, {"ground", "On the ground"}}},
		{Key: "drop", Label: "Hangs below the joists", Type: TypeLength, Likely: Range{0, 60, "Fixtures mostly hang less than 5′ below the joists" + noSource + "."}},
		{Key: "wx", Label: "Size along the house", Type: TypeLength, Likely: likelySize("A fixture", 120)},
		{Key: "wy", Label: "Size out from the house", Type: TypeLength, Likely: likelySize("A fixture", 120)},
		{Key: "through", Label: "Goes down through the ceiling", Type: TypeYesNo, Assumed: "no"},
	}
	return append(fields, placeFields("1/8")...)
}

func wallFields() []Field {
	return []Field{
		{Key: "edge", Label: "Which side of the deck", Type: TypeChoice, Required: true},
		{Key: "surface", Label: "Surface", Type: TypeChoice, Required: true, Options: surfaceOptions()},
		{Key: "wall_end", Label: "Wall ends part-way, after", Hint: "from the house or its left end; empty for the whole side", Type: TypeLength, Likely: likelyOnPlan()},
		{Key: "member_drop", Label: "Ledger or rim below the joists", Hint: "above: with a minus", Type: TypePosition, Likely: likelyDrop()},
		{Key: "asbestos", Label: "Asbestos suspected", Type: TypeYesNo, Assumed: "no"},
	}
}

func openingFields() []Field {
	return []Field{
		{Key: "sort", Label: "What it is", Type: TypeChoice, Required: true, Options: []Option{{"door", "Door"}, {"window", "Window"}}},
		{Key: "x0", Label: "Left side, along the house", Type: TypePosition, Likely: likelyOnPlan(), Group: "Where on the plan"},
		{Key: "x1", Label: "Right side, along the house", Type: TypePosition, Likely: likelyOnPlan(), Group: "Where on the plan"},
		{Key: "head", Label: "Height of its head", Hint: "above the same level line as the joists", Type: TypeLength, Required: true, Likely: likelyHeight()},
		{Key: "swing", Label: "Swings out", Type: TypeYesNo},
	}
}

func waterFields() []Field {
	return []Field{
		{Key: "what", Label: "What happens here", Type: TypeChoice, Required: true, Options: []Option{
			{"downspout", "A downspout can go here"}, {"discharge", "Water can run off here"}, {"gutter", "A gutter is here already"}, {"roof", "A roof drains onto the deck"}}},
		{Key: "roof_ft2", Label: "Roof that drains onto the deck", Unit: "ft²", Type: TypeNumber, Max: 20000},
	}
}

func concernFields() []Field {
	return []Field{{Key: "what", Label: "What it is", Type: TypeChoice, Required: true, Options: []Option{
		{"rot", "Rot"}, {"rust", "Rust"}, {"ledger", "Loose ledger"}, {"flashing", "Flashing"}, {"leak", "Leak"}, {"nest", "Nest"}, {"wiring", "Wiring"}, {"other", "Something else"}}}}
}
