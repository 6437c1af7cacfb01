package calc

import "undercroft/calc/words"

// Plan is the computed ceiling. Lengths are inches. Everything inside Zones is in the fall frame: x across the fall (small x is
// "left" as seen facing up the fall), y down it; Plane, headroom points, P0, P1 and polygons are in plan coordinates.
type Plan struct {
	FallPerFoot float64       `json:"fall_per_foot"`
	Plane       plane         `json:"plane"`
	Zones       []Zone        `json:"zones"`
	Beams       []beamChoice  `json:"beams"`
	Cutting     []CuttingPlan `json:"cutting"`
	Takeoff     []Item        `json:"takeoff"`
	Issues      []Issue       `json:"issues"`
	Cautions    []Caution     `json:"cautions"`
	Fixings     []Fixing      `json:"fixings"`
	Notes       []NoteGroup   `json:"notes"`
	Access      access        `json:"access"`
	System      System        `json:"system"` // the profile as used, overrides applied
	Money       *money        `json:"money"`  // nil when the profile has no prices and no labour rates
	Assumptions []string      `json:"assumptions"`
}

// money totals the takeoff's lines in whole cents. Unpriced names the lines without a price, which the totals leave out.
type money struct {
	MaterialCents int64    `json:"material_cents"`
	LabourCents   int64    `json:"labour_cents"`
	TotalCents    int64    `json:"total_cents"`
	Unpriced      []string `json:"unpriced"`
}

// plane is the measured underside, height = A + B x + C y in plan coordinates, with the residual of each height in input order.
type plane struct {
	A           float64   `json:"a"`
	B           float64   `json:"b"`
	C           float64   `json:"c"`
	MaxResidual float64   `json:"max_residual"`
	Residuals   []float64 `json:"residuals"`
}

// Zone is a connected piece of ceiling between dropped beams, with its own high edge, low edge and gutter.
type Zone struct {
	ID              string         `json:"id"`
	X0              float64        `json:"x0"`
	X1              float64        `json:"x1"`
	YHigh           float64        `json:"y_high"`
	YLow            float64        `json:"y_low"`
	Polygon         [][2]float64   `json:"polygon"` // plan coordinates, outer ring
	Holes           [][][2]float64 `json:"holes"`   // plan coordinates, rings of holes in it
	Z0              *float64       `json:"z0"`      // ceiling plane at y_high over the datum; nil when no heights were taken
	AreaFt2         float64        `json:"area_ft2"`
	Base            float64        `json:"base"`
	Furring         []Row          `json:"furring"`
	FurringScrew    float64        `json:"furring_screw"`
	FurringScrews   int            `json:"furring_screws"`
	Panels          panels         `json:"panels"`
	Seams           []float64      `json:"seams"`
	Carriers        []Carrier      `json:"carriers"`
	CarrierScrews   int            `json:"carrier_screws"`
	Notches         []Notch        `json:"notches"`
	CutOuts         []CutOut       `json:"cut_outs"`
	Channel         []Run          `json:"channel"`
	ChannelScrews   int            `json:"channel_screws"`
	Gutter          gutter         `json:"gutter"`
	PanelWaterDepth float64        `json:"panel_water_depth"`
	Movement        movement       `json:"movement"`
	ScrewCheck      screwChecks    `json:"screw_check"`
	Headroom        Headroom       `json:"headroom"`
}

// Row is one furring row or the part of it that one stretch of zone takes. Place is "row" or "last"; Fasten is "strip" or
// "joist" (too thin for a strip).
type Row struct {
	Y       float64   `json:"y"`
	X0      float64   `json:"x0"`
	X1      float64   `json:"x1"`
	Left    float64   `json:"left"`
	Middle  float64   `json:"middle"`
	Right   float64   `json:"right"`
	Build   float64   `json:"build"`
	Plies   []float64 `json:"plies"`
	Place   string    `json:"place"`
	Fasten  string    `json:"fasten"`
	Dropped bool      `json:"dropped"` // thicker than furring may be: dropped framing, no plies and no furring screws
	P0      Point     `json:"p0"`      // the row's ends in plan coordinates
	P1      Point     `json:"p1"`

	BuildText string `json:"build_text"`
	Tapered   bool   `json:"tapered"` // the ends differ by more than a sixteenth
}

// panels is the layout across one zone. RunnerUp is nil when no other count of panels is possible.
type panels struct {
	Count    int       `json:"count"`
	First    float64   `json:"first"`
	Last     float64   `json:"last"`
	Pieces   []Piece   `json:"pieces"`
	Cost     cost      `json:"cost"`
	RunnerUp *RunnerUp `json:"runner_up"`
}

// Piece is one panel to cut: the box of its part of the strip after the gaps. Shape is "rectangle", "notched" or "angled";
// LeftLength and RightLength are set for angled pieces.
type Piece struct {
	N           int      `json:"n"`
	X0          float64  `json:"x0"`
	X1          float64  `json:"x1"`
	Y0          float64  `json:"y0"`
	Y1          float64  `json:"y1"`
	Width       float64  `json:"width"`
	Length      float64  `json:"length"`
	LengthText  string   `json:"length_text"`
	Shape       string   `json:"shape"`
	LeftLength  *float64 `json:"left_length,omitempty"`
	RightLength *float64 `json:"right_length,omitempty"`
}

// cost is the crew time of a layout, in minutes, by its parts.
type cost struct {
	Blocked float64 `json:"blocked"`
	Notches float64 `json:"notches"`
	Narrow  float64 `json:"narrow"`
	Panels  float64 `json:"panels"`
	Uneven  float64 `json:"uneven"`
	Through float64 `json:"through"`
	Total   float64 `json:"total"`
}

// RunnerUp is the best layout with another count of panels.
type RunnerUp struct {
	Count int     `json:"count"`
	First float64 `json:"first"`
	Cost  cost    `json:"cost"`
}

// Carrier is one rail, numbered by x then y; Seam is the index of the seam it lies under.
type Carrier struct {
	N      int     `json:"n"`
	Seam   int     `json:"seam"`
	X      float64 `json:"x"`
	Y0     float64 `json:"y0"`
	Y1     float64 `json:"y1"`
	Length float64 `json:"length"`

	LengthText string `json:"length_text"` // rounded down to a sixteenth
}

// Notch is material to cut from the top of a carrier: From and To are exact distances from its high end, FromText and ToText the
// same rounded outward to a sixteenth as they are to be marked; Depth is rounded up to a sixteenth. State is "expected" or "check
// on site".
type Notch struct {
	Obstruction string  `json:"obstruction"`
	Carrier     int     `json:"carrier"`
	From        float64 `json:"from"`
	To          float64 `json:"to"`
	Depth       float64 `json:"depth"`
	Probability float64 `json:"probability"`
	State       string  `json:"state"`
	FromText    string  `json:"from_text"`
	ToText      string  `json:"to_text"`
	DepthText   string  `json:"depth_text"`
}

// CutOut is a hole in the panels for a fixture or for what goes through, in plan coordinates, clearance included.
type CutOut struct {
	Obstruction string  `json:"obstruction"`
	Kind        string  `json:"kind"` // "fixture" or "through"
	X           float64 `json:"x"`
	Y           float64 `json:"y"`
	WX          float64 `json:"wx"`
	WY          float64 `json:"wy"`
}

// Run is one straight piece of channel. Edge is "high", "left" or "right"; Length is along the slope, Plan in plan. T0 and T1 are
// the drops of the ceiling below the underside at P0 and P1.
type Run struct {
	Edge    string  `json:"edge"`
	Length  float64 `json:"length"`
	Plan    float64 `json:"run"`
	Surface Surface `json:"surface"`
	P0      Point   `json:"p0"`
	P1      Point   `json:"p1"`
	T0      float64 `json:"t0"`
	T1      float64 `json:"t1"`
	Screws  int     `json:"screws"`
	Backer  *backer `json:"backer,omitempty"`

	Kind       EdgeKind `json:"kind"`        // wall, open, or beam
	LengthText string   `json:"length_text"` // rounded down to a sixteenth
}

// backer is the tapered piece that an open side needs behind its channel.
type backer struct {
	Length   float64 `json:"length"`
	Thickest float64 `json:"thickest"`
	Screws   int     `json:"screws"`
}

// gutter is a zone's water: Runs are the low edges, one gutter each.
type gutter struct {
	Length     float64     `json:"length"`
	FlowGPM    float64     `json:"flow_gpm"`
	Size       string      `json:"size"`
	Carries    float64     `json:"carries_gpm"`
	Leader     string      `json:"leader"`
	Downspouts int         `json:"downspouts"`
	Runs       []float64   `json:"runs"`
	Lines      []GutterRun `json:"lines"`
}

// GutterRun is one gutter in plan, with its own flow and downspouts.
type GutterRun struct {
	P0         Point   `json:"p0"`
	P1         Point   `json:"p1"`
	Length     float64 `json:"length"`
	FlowGPM    float64 `json:"flow_gpm"`
	Size       string  `json:"size"`
	Downspouts int     `json:"downspouts"`
}

// movement is the end gap to leave at the install temperature and what is engaged at the coldest.
type movement struct {
	Gap            float64 `json:"gap"`
	EngagementCold float64 `json:"engagement_cold"`
}

// screwChecks are the two withdrawal screenings.
type screwChecks struct {
	Carrier ScrewCheck `json:"carrier"`
	Furring ScrewCheck `json:"furring"`
}

// ScrewCheck compares pounds on one screw with its withdrawal capacity; nil where no capacity is claimed.
type ScrewCheck struct {
	Load     float64  `json:"load"`
	Capacity *float64 `json:"capacity"`
	Ratio    *float64 `json:"ratio"`
}

// Headroom is the least finished height over the zone's corners; Min and At are nil when nothing was measured.
type Headroom struct {
	Min  *float64     `json:"min"`
	At   *[2]float64  `json:"at"`
	Ties [][2]float64 `json:"ties"`
}

// beamChoice says what was done about a beam and what passing under it would take. Treatment is "split", "under", "stop" or
// "outside".
type beamChoice struct {
	ID        string     `json:"id"`
	Treatment string     `json:"treatment"`
	Under     *passUnder `json:"under"`
}

// passUnder is the base furring that passes under a beam, and the headroom left then.
type passUnder struct {
	Base     float64  `json:"base"`
	Headroom *float64 `json:"headroom"`
}

// CuttingPlan is the sticks to buy of one material and the cuts of each. Optimal is true when Bound proves that no plan buys
// less. Unplanned are pieces longer than all stock.
type CuttingPlan struct {
	Material  string    `json:"material"`
	Stock     []Stick   `json:"stock"`
	Bought    float64   `json:"bought"`
	Used      float64   `json:"used"`
	Optimal   bool      `json:"optimal"`
	Bound     float64   `json:"bound"`
	Unplanned []float64 `json:"unplanned"`
}

// Stick is one stock length with its cuts in order.
type Stick struct {
	Length float64   `json:"length"`
	Cuts   []float64 `json:"cuts"`
	Offcut float64   `json:"offcut"`
}

// Item is a line of the takeoff: exact need, waste allowance as a fraction, packs to buy where a pack size is given.
type Item struct {
	Item   string  `json:"item"`
	Label  string  `json:"label"`
	Need   float64 `json:"need"`
	Unit   string  `json:"unit"`
	Waste  float64 `json:"waste"`
	Packs  *int    `json:"packs,omitempty"`
	Pack   string  `json:"pack,omitempty"`
	From   string  `json:"from"`             // where the number came from, in words
	Cents  *int64  `json:"cents,omitempty"`  // price of the line where one is given
	Length float64 `json:"length,omitempty"` // stock length of the item

	Said     words.Phrase `json:"-"` // Label, to be said in any language
	PackSaid words.Phrase `json:"-"` // Pack, likewise; the zero Phrase without one
	Because  words.Phrase `json:"-"` // From, likewise
}

// Issue is a finding about the deck. Severity is "blocking" or "warning"; About lists the zone first, then input ids.
type Issue struct {
	Rule     string   `json:"rule"`
	Severity string   `json:"severity"`
	Text     string   `json:"text"`
	About    []string `json:"about"`
	Base     *float64 `json:"base,omitempty"`
	Headroom *float64 `json:"headroom,omitempty"`

	Said words.Phrase `json:"-"` // Text, to be said in any language
}

// Caution is a safety or care rule that the work touches, with what triggered it and its source.
type Caution struct {
	Rule    string       `json:"rule"`
	Text    string       `json:"text"`
	Trigger string       `json:"trigger"`
	Source  string       `json:"source"`
	Said    words.Phrase `json:"-"` // Text, to be said in any language
	Because words.Phrase `json:"-"` // Trigger, likewise
}

// Fixing is how the channel is fastened to one wall surface that the deck has. Bit and Fastener are empty where nothing is fastened
// into the wall.
type Fixing struct {
	Surface    Surface `json:"surface"`
	PreDrill   bool    `json:"pre_drill"`
	Bit        string  `json:"bit"`
	Fastener   string  `json:"fastener"`
	IntoWall   string  `json:"into_wall"` // empty when framing is the only choice
	UpIntoWood string  `json:"up_into_framing"`
	Protection string  `json:"protection"`
	Silica     string  `json:"silica"` // dust control row of the silica standard; empty where none applies
	Lead       string  `json:"lead"`   // lead paint rule; empty for homes from 1978 on
	Sealing    string  `json:"sealing"`
	Source     string  `json:"source"`
}

// NoteGroup is one heading of the crew notes (layout, framing, channel, field, cold and heat, water, bring, later).
type NoteGroup struct {
	Group string   `json:"group"`
	Lines []string `json:"lines"`
}

// access is how high people work: Platform is the working platform's height above the ground, nil when nothing was measured.
type access struct {
	Platform *float64 `json:"platform"`
}
