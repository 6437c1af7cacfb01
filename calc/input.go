package calc

import "undercroft/calc/length"

// Point is a plan position in inches: X along the house from its left end as seen facing it, Y out from the house.
type Point struct{ X, Y length.Inches }

// Input is what the calculator needs to know of a deck: the document of the calc command. Lengths are inches; in JSON each may
// also be a length text. Decode reads and checks it; Compute takes an Input that Decode or Check accepted.
type Input struct {
	Outline      []Point         `json:"outline"`        // corners, either way round, not closed
	Edges        []Edge          `json:"edges"`          // edge i runs from corner i to corner i+1
	Fall         Fall            `json:"fall"`           //
	Base         length.Inches   `json:"base"`           // least furring thickness asked for
	MaxBuildDown length.Inches   `json:"max_build_down"` // how much thicker the furring may get to pass under a beam
	Joists       Joists          `json:"joists"`         //
	Heights      []Height        `json:"heights"`        // underside over one level datum
	Clearances   []Clearance     `json:"clearances"`     // underside to the ground below
	Beams        []Beam          `json:"beams"`          //
	Obstructions []Obstruction   `json:"obstructions"`   //
	Openings     []Opening       `json:"openings"`       //
	Rain         Rain            `json:"rain"`           //
	Temperature  Temperature     `json:"temperature"`    //
	Before1978   bool            `json:"built_before_1978"`
	LowEdge      LowEdge         `json:"low_edge"`
	Holes        [][]Point       `json:"holes"`                // stair openings and the like, rings inside the outline
	Cover        []string        `json:"cover"`                // zone ids to build; empty means all
	Means        string          `json:"means,omitempty"`      // how people get up to the work: ladder, scaffold, lift; empty: not chosen
	Conditions   []string        `json:"conditions,omitempty"` // what is about the deck that calls for care; see the list in caution.go
	System       SystemSelection `json:"system"`
}

// EdgeKind says whether an outline edge stands against a wall or in the air.
type EdgeKind string

// The kinds of outline edge.
const (
	EdgeWall EdgeKind = "wall"
	EdgeOpen EdgeKind = "open"
)

// Edge is one side of the outline. Surface is set for walls and only there. MemberDrop is how far the ledger, rim or header
// hangs below (+) or above (-) the joists. Asbestos marks siding that is suspected to hold it: it is not drilled.
type Edge struct {
	Kind       EdgeKind      `json:"kind"`
	Surface    Surface       `json:"surface,omitempty"`
	MemberDrop length.Inches `json:"member_drop,omitempty"`
	Asbestos   bool          `json:"asbestos,omitempty"`
}

// Direction is where the finished ceiling falls to: away from the house or along it.
type Direction string

// The directions of fall.
const (
	FallOut   Direction = "+y"
	FallRight Direction = "+x"
	FallLeft  Direction = "-x"
)

// Fall is the slope asked for, in inches per foot. PerFoot nil means the profile's own.
type Fall struct {
	Direction Direction      `json:"direction"`
	PerFoot   *length.Inches `json:"per_foot,omitempty"`
}

// Joists describes the framing overhead. Direction is the plan axis they run along, "x" or "y".
type Joists struct {
	Direction       string        `json:"direction"`
	Spacing         length.Inches `json:"spacing"`
	Depth           length.Inches `json:"depth"`
	SpecificGravity float64       `json:"specific_gravity"`
	Gaps            []Box         `json:"gaps"` // rectangles without joists
}

// Box is a rectangle in plan, X0 < X1 and Y0 < Y1.
type Box struct {
	X0 length.Inches `json:"x0"`
	X1 length.Inches `json:"x1"`
	Y0 length.Inches `json:"y0"`
	Y1 length.Inches `json:"y1"`
}

// Height is the underside's height at one point over the one level datum.
type Height struct {
	X      length.Inches `json:"x"`
	Y      length.Inches `json:"y"`
	Height length.Inches `json:"height"`
}

// Clearance is the distance from the underside to the ground at one point.
type Clearance struct {
	X         length.Inches `json:"x"`
	Y         length.Inches `json:"y"`
	Clearance length.Inches `json:"clearance"`
}

// Treatment is what to do about a dropped beam.
type Treatment string

// The treatments of a beam: decide by its drop, split the ceiling there, pass under it, or stop before it.
const (
	TreatAuto  Treatment = "auto"
	TreatSplit Treatment = "split"
	TreatUnder Treatment = "under"
	TreatStop  Treatment = "stop"
)

// Beam is a beam or header whose bottom hangs Drop below the joists' underside.
type Beam struct {
	ID string `json:"id"`
	Box
	Drop      length.Inches `json:"drop"`
	Treatment Treatment     `json:"treatment"`
}

// ObstructionKind sorts what hangs in the way.
type ObstructionKind string

// The kinds of obstruction.
const (
	KindHanger  ObstructionKind = "hanger"
	KindBracket ObstructionKind = "bracket"
	KindFixture ObstructionKind = "fixture"
	KindPipe    ObstructionKind = "pipe"
	KindWiring  ObstructionKind = "wiring"
	KindOther   ObstructionKind = "other"
)

// Obstruction is something that hangs Drop below the underside: centre, sizes and one-sigma deviations of its position.
// Through marks what goes through the ceiling, such as a post. Sort says what a fixture, pipe or wiring is, for its caution; see
// the list in fixture.go.
type Obstruction struct {
	ID      string          `json:"id"`
	Kind    ObstructionKind `json:"kind"`
	X       length.Inches   `json:"x"`
	Y       length.Inches   `json:"y"`
	WX      length.Inches   `json:"wx"`
	WY      length.Inches   `json:"wy"`
	Drop    length.Inches   `json:"drop"`
	SX      length.Inches   `json:"sx"`
	SY      length.Inches   `json:"sy"`
	Through bool            `json:"through"`
	Sort    string          `json:"sort,omitempty"`
}

// Opening is a door or window in the house wall: its extent along the wall and the height of its head over the datum.
type Opening struct {
	ID   string        `json:"id"`
	X0   length.Inches `json:"x0"`
	X1   length.Inches `json:"x1"`
	Head length.Inches `json:"head"`
}

// Rain is the storm the gutters must carry. RoofFt2 is roof that drains onto the deck.
type Rain struct {
	InchesPerHour float64 `json:"inches_per_hour"`
	RoofFt2       float64 `json:"roof_ft2"`
}

// Temperature is in degrees Fahrenheit: at installation, and the site's coldest and hottest.
type Temperature struct {
	Install float64 `json:"install"`
	Min     float64 `json:"min"`
	Max     float64 `json:"max"`
}

// LowEdge is how the panels' low ends are finished.
type LowEdge string

// The finishes of the low edge.
const (
	LowEdgeSealant     LowEdge = "sealant"
	LowEdgeDripChannel LowEdge = "drip-channel"
)
