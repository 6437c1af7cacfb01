package calc

import (
	"encoding/json"

	"undercroft/calc/length"
)

// SystemSelection names a built-in profile or starts from one and overrides fields of it. Its zero value is vinyl-12 as it is.
type SystemSelection struct {
	Name      string
	Overrides json.RawMessage // a JSON object of profile keys; nil for none
}

// System is a profile: every figure of a ceiling system that the calculator uses. The built-in ones are worked examples, common
// practice or assumptions without a source; the supplier's own figures replace them. Lengths are inches, Fall and GutterFall
// inches per foot, temperatures degrees Fahrenheit, costs minutes of crew time.
type System struct {
	Name string `json:"name"`

	PanelCover     length.Inches   `json:"panel_cover"`     // installed width of a panel
	PanelGain      length.Inches   `json:"panel_gain"`      // what each panel takes up beyond its cover when it is engaged
	PanelRib       length.Inches   `json:"panel_rib"`       // rib depth: how much water a panel holds
	PanelStock     []length.Inches `json:"panel_stock"`     // lengths on sale
	PanelMinEnd    length.Inches   `json:"panel_min_end"`   // least width of an end panel
	PanelMinTrim   length.Inches   `json:"panel_min_trim"`  // least cut from an end panel
	PanelGoodEnd   length.Inches   `json:"panel_good_end"`  // width from which an end panel is not narrow
	PanelAlpha     float64         `json:"panel_alpha"`     // thermal movement, in/in per F
	PanelClearance length.Inches   `json:"panel_clearance"` // free height between what hangs and the panel
	PanelGainSD    length.Inches   `json:"panel_gain_sd"`   // one-sigma deviation of the gain, a panel
	PlaceSD        length.Inches   `json:"place_sd"`        // one-sigma deviation of the first seam's place

	CarrierDepth         length.Inches   `json:"carrier_depth"`
	CarrierWidth         length.Inches   `json:"carrier_width"`
	CarrierMaxNotch      length.Inches   `json:"carrier_max_notch"` // deepest cut from its top
	CarrierStock         []length.Inches `json:"carrier_stock"`
	CarrierScrewDiameter length.Inches   `json:"carrier_screw_diameter"`
	CarrierScrewThread   length.Inches   `json:"carrier_screw_thread"` // thread in wood

	ChannelStock        []length.Inches `json:"channel_stock"`
	ChannelPocket       length.Inches   `json:"channel_pocket"` // depth that a panel's end can sit in
	ChannelScrewSpacing length.Inches   `json:"channel_screw_spacing"`
	ChannelPenetration  length.Inches   `json:"channel_penetration"` // of a channel screw beyond what it goes through
	EndGap              length.Inches   `json:"end_gap"`             // least gap left at a panel's high end
	SideClearance       length.Inches   `json:"side_clearance"`      // between side channel and panel, each side
	NotchClearance      length.Inches   `json:"notch_clearance"`     // round what a notch clears, and below it
	CutOutClearance     length.Inches   `json:"cut_out_clearance"`   // round what a panel is cut out for
	Kerf                length.Inches   `json:"kerf"`

	FurringSpacing         length.Inches   `json:"furring_spacing"`
	FurringPlies           []length.Inches `json:"furring_plies"` // stock thicknesses
	FurringWidth           length.Inches   `json:"furring_width"`
	FurringStock           []length.Inches `json:"furring_stock"`
	FurringMaterial        string          `json:"furring_material"`
	MaxFurring             length.Inches   `json:"max_furring"` // thicker rows are dropped framing
	FurringPenetration     length.Inches   `json:"furring_penetration"`
	FurringScrewDiameter   length.Inches   `json:"furring_screw_diameter"`
	FurringSpecificGravity *float64        `json:"furring_specific_gravity"` // of the strip; nil: no capacity is claimed

	CeilingPSF float64 `json:"ceiling_psf"`
	FurringPSF float64 `json:"furring_psf"`

	Fall         length.Inches `json:"fall"`
	ColdCutBelow float64       `json:"cold_cut_below"`
	Headroom     length.Inches `json:"headroom"` // finished heights below this are flagged

	GutterStock    []length.Inches `json:"gutter_stock"`
	GutterGap      length.Inches   `json:"gutter_gap"` // panels stop this far short of the framing's edge
	GutterFall     length.Inches   `json:"gutter_fall"`
	GutterMount    gutterMount     `json:"gutter_mount"`
	GutterShapes   []gutterShape   `json:"gutter_shapes"`
	GutterPrefer   string          `json:"gutter_prefer"`  // name of one of the shapes
	HangerSpacing  length.Inches   `json:"hanger_spacing"` // of gutter hangers
	Leader         length.Inches   `json:"leader"`         // downspout size: 2, 3, 4, 5, 6 or 8
	LeaderSpacing  length.Inches   `json:"leader_spacing"` // longest gutter for one downspout
	SealantBead    length.Inches   `json:"sealant_bead"`   // diameter of a round bead
	SealantOunces  float64         `json:"sealant_ounces"` // fl oz of a cartridge
	SealantWaste   float64         `json:"sealant_waste"`  // share
	SealantProduct string          `json:"sealant_product"`

	CostBlocked float64 `json:"cost_blocked"`
	CostNotch   float64 `json:"cost_notch"`
	CostNarrow  float64 `json:"cost_narrow"`
	CostPanel   float64 `json:"cost_panel"`
	CostUneven  float64 `json:"cost_uneven"`
	CostThrough float64 `json:"cost_through"`

	Spares   int      `json:"spares"`   // spare panels and carriers
	Release  string   `json:"release"`  // how a seam is released again, in words
	Finishes []string `json:"finishes"` // colours and finishes on offer, in the supplier's own names

	Packs               []packSize `json:"packs"`
	Prices              []price    `json:"prices"`
	Labour              []labour   `json:"labour"`
	LabourCentsPerHour  int64      `json:"labour_cents_per_hour"`
	TakeoffWastePercent float64    `json:"takeoff_waste_percent"` // allowance on furring lumber

	Notes []noteText `json:"notes"` // crew notes in the user's own words
}

// gutterMount is where the gutter hangs.
type gutterMount string

// The mounts of a gutter: under the rim with its front flush with the framing's edge, on a fascia outside that edge, or on the
// face of a beam.
const (
	mountRim    gutterMount = "rim"
	mountFascia gutterMount = "fascia"
	mountBeam   gutterMount = "beam"
)

// gutterShape is one gutter on sale. Section is "half-round", "rectangular" or "ogee"; Depth is needed for rectangular ones and
// TableFt2, the roof that a published table lets it drain at 1 in/h, for ogee ones.
type gutterShape struct {
	Name     string        `json:"name"`
	Section  string        `json:"section"`
	Width    length.Inches `json:"width"`
	Depth    length.Inches `json:"depth"`
	TableFt2 float64       `json:"table_ft2"`
}

// packSize is how many units of a takeoff item come in a pack.
type packSize struct {
	Item string  `json:"item"`
	Size float64 `json:"size"`
}

// price is what one unit of a takeoff item costs, in cents: a pack where a pack size is given, one stick of Length for stock.
type price struct {
	Item   string        `json:"item"`
	Length length.Inches `json:"length"`
	Cents  int64         `json:"cents"`
}

// labour is the crew time of one unit of a takeoff item, in minutes.
type labour struct {
	Item    string  `json:"item"`
	Minutes float64 `json:"minutes"`
}

// BuiltInSystems lists the built-in profiles, a fresh copy each time: vinyl-12, a worked example from common practice, and
// metal-16, which differs where it says so and shows that nothing is tied to one system.
func BuiltInSystems() []System { return []System{vinyl12(), metal16()} }

// vinyl12 is the default profile. Its figures are common practice or assumptions (no source), save the ogee table areas, which
// are the 1/16 in/ft row of the plumbing codes' horizontal gutter table.
func vinyl12() System {
	gravity := 0.42
	stock := func() []length.Inches { return []length.Inches{96, 120, 144, 168, 192, 240} }
	return System{
		Name:       "vinyl-12",
		PanelCover: 12, PanelGain: 1.0 / 16, PanelRib: 0.75, PanelStock: stock(), PanelMinEnd: 3, PanelMinTrim: 0.5,
		PanelGoodEnd: 6, PanelAlpha: 3.0e-5, PanelClearance: 0.25, PanelGainSD: 1.0 / 64, PlaceSD: 1.0 / 16,
		CarrierDepth: 1.5, CarrierWidth: 1.5, CarrierMaxNotch: 1, CarrierStock: stock(), CarrierScrewDiameter: 0.164,
		CarrierScrewThread: 0.9,
		ChannelStock:       []length.Inches{144}, ChannelPocket: 1.25, ChannelScrewSpacing: 12, ChannelPenetration: 1.25,
		EndGap: 0.125, SideClearance: 0.125, NotchClearance: 0.125, CutOutClearance: 0.25, Kerf: 0.125,
		FurringSpacing: 48, FurringPlies: []length.Inches{0.5, 1}, FurringWidth: 1.5, FurringStock: []length.Inches{96, 120, 144, 192},
		FurringMaterial: "treated", MaxFurring: 3, FurringPenetration: 1.25, FurringScrewDiameter: 0.190,
		FurringSpecificGravity: &gravity,
		CeilingPSF:             1, FurringPSF: 0.3, Fall: 0.125, ColdCutBelow: 50, Headroom: 84,
		GutterStock: []length.Inches{120}, GutterGap: 2, GutterFall: 1.0 / 16, GutterMount: mountRim, GutterShapes: gutterShapes(),
		GutterPrefer: "5 in half-round", HangerSpacing: 24, Leader: 3, LeaderSpacing: 480,
		SealantBead: 0.25, SealantOunces: 10.1, SealantWaste: 0.1, SealantProduct: "sealant that suits the panel's plastic",
		CostBlocked: 60, CostNotch: 2, CostNarrow: 10, CostPanel: 8, CostUneven: 2, CostThrough: 6,
		Spares: 1, Release: "start at the end where no sealant holds, and lift one panel at a time out of its carriers",
		Finishes: []string{}, Packs: []packSize{}, Prices: []price{}, Labour: []labour{}, TakeoffWastePercent: 10, Notes: []noteText{},
	}
}

// metal16 is vinyl-12 except the values named here.
func metal16() System {
	s := vinyl12()
	s.Name = "metal-16"
	s.PanelCover, s.PanelGain, s.PanelRib, s.PanelAlpha = 16, 0, 1, 1.3e-5
	s.CarrierDepth, s.Fall = 2, 0.25
	return s
}

func gutterShapes() []gutterShape {
	return []gutterShape{
		{Name: "5 in half-round", Section: "half-round", Width: 5, Depth: 2.5},
		{Name: "6 in half-round", Section: "half-round", Width: 6, Depth: 3},
		{Name: "5 in ogee", Section: "ogee", Width: 5, Depth: 3.5, TableFt2: 5520},
		{Name: "6 in ogee", Section: "ogee", Width: 6, Depth: 4.25, TableFt2: 7960},
	}
}
