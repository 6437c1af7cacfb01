package calc

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"undercroft/calc/length"
)

// MarshalJSON writes the name, or the overrides with the name among them.
func (s SystemSelection) MarshalJSON() ([]byte, error) {
	if len(s.Overrides) == 0 {
		return json.Marshal(s.name())
	}
	tree, err := parseTree(s.Overrides)
	if err != nil {
		return nil, err
	}
	if tree.kind != '{' {
		return nil, faultf("system", "expected an object of overrides, not %s", tree.name())
	}
	if tree.field("name") != nil {
		return s.Overrides, nil
	}
	name, err := json.Marshal(s.name())
	if err != nil {
		return nil, err
	}
	rest := bytes.TrimSpace(s.Overrides)[1:]
	if len(tree.keys) > 0 {
		name = append(name, ',')
	}
	return append(append([]byte(`{"name":`), name...), rest...), nil
}

// UnmarshalJSON takes the name of a profile, or an object of overrides.
func (s *SystemSelection) UnmarshalJSON(data []byte) error {
	tree, err := parseTree(data)
	if err != nil {
		return err
	}
	return readSelection(tree, "system", s)
}

func (s SystemSelection) name() string {
	if s.Name == "" {
		return "vinyl-12"
	}
	return s.Name
}

// readSelection takes the system's name or its overrides; whether the keys are right is for Resolve to say.
func readSelection(n node, place string, s *SystemSelection) error {
	switch n.kind {
	case '"':
		*s = SystemSelection{Name: n.text}
		return nil
	case '{':
		*s = SystemSelection{Name: "vinyl-12"}
		if name := n.field("name"); name != nil {
			if name.kind != '"' {
				return faultf(join(place, "name"), "expected a text, not %s", name.name())
			}
			s.Name = name.text
		}
		var err error
		s.Overrides, err = json.Marshal(n)
		return err
	}
	return faultf(place, "expected a profile's name or an object of overrides, not %s", n.name())
}

// MarshalJSON writes the value back, members in their order.
func (n node) MarshalJSON() ([]byte, error) {
	switch n.kind {
	case '"':
		return json.Marshal(n.text)
	case '0', 't':
		return []byte(n.text), nil
	case 'n':
		return []byte("null"), nil
	}
	var b bytes.Buffer
	b.WriteByte(n.kind)
	for i, item := range n.items {
		if i > 0 {
			b.WriteByte(',')
		}
		if n.kind == '{' {
			key, err := json.Marshal(n.keys[i])
			if err != nil {
				return nil, err
			}
			b.Write(append(key, ':'))
		}
		text, err := item.MarshalJSON()
		if err != nil {
			return nil, err
		}
		b.Write(text)
	}
	b.WriteByte(n.kind + 2) // '[' and ']', '{' and '}' are two apart
	return b.Bytes(), nil
}

// Resolve gives the profile that a selection means, its overrides applied and everything checked. Errors are *InputError with a
// place that starts with "system".
func Resolve(s SystemSelection) (System, error) {
	sys, err := builtIn(s.name())
	if err != nil {
		return System{}, err
	}
	if len(s.Overrides) > 0 {
		tree, err := parseTree(s.Overrides)
		if err != nil {
			return System{}, faultf("system", "%v", err)
		}
		d := valueReader{required: requiredProfile, nullable: []string{"furring_specific_gravity"}}
		if err := d.read(tree, "system", reflect.ValueOf(&sys).Elem()); err != nil {
			return System{}, err
		}
		if sys.Name != s.name() {
			return System{}, faultf("system.name", "is %q here and %q beside the overrides", clip(sys.Name), clip(s.name()))
		}
	}
	if err := checkSystem(sys); err != nil {
		return System{}, err
	}
	return sys, nil
}

func builtIn(name string) (System, error) {
	var names []string
	for _, s := range BuiltInSystems() {
		if s.Name == name {
			return s, nil
		}
		names = append(names, s.Name)
	}
	return System{}, faultf("system", "there is no profile %q; there are %s", clip(name), strings.Join(names, ", "))
}

// requiredProfile lists the keys that the profile's list entries must have.
func requiredProfile(t reflect.Type) []string {
	switch t {
	case reflect.TypeFor[gutterShape]():
		return []string{"name", "section", "width"}
	case reflect.TypeFor[packSize]():
		return []string{"item", "size"}
	case reflect.TypeFor[price]():
		return []string{"item", "cents"}
	case reflect.TypeFor[labour]():
		return []string{"item", "minutes"}
	case reflect.TypeFor[noteText]():
		return []string{"key", "text"}
	}
	return nil
}

// limit is the range that a profile value must lie in.
type limit struct {
	key    string
	v      float64
	lo, hi float64
}

// checkSystem refuses profiles that no ceiling can have.
func checkSystem(s System) error {
	for _, l := range slices.Concat(lengthLimits(s), numberLimits(s)) {
		if !(l.v >= l.lo && l.v <= l.hi) {
			return faultf("system."+l.key, "%g must be from %g to %g", l.v, l.lo, l.hi)
		}
	}
	if err := checkLists(s); err != nil {
		return err
	}
	if err := checkNoteTexts(s.Notes); err != nil {
		return err
	}
	return checkGutter(s)
}

func lengthLimits(s System) []limit {
	const most = MaxLength
	in := func(key string, v length.Inches, lo, hi float64) limit { return limit{key, float64(v), lo, hi} }
	return []limit{
		in("panel_cover", s.PanelCover, 0.1, most), in("panel_gain", s.PanelGain, 0, most), in("panel_rib", s.PanelRib, 0, most),
		in("panel_min_end", s.PanelMinEnd, 0, most), in("panel_min_trim", s.PanelMinTrim, 0, most),
		in("panel_good_end", s.PanelGoodEnd, 0, most), in("panel_clearance", s.PanelClearance, 0, most),
		in("panel_gain_sd", s.PanelGainSD, 0, most), in("place_sd", s.PlaceSD, 0, most),
		in("carrier_depth", s.CarrierDepth, 0, most), in("carrier_width", s.CarrierWidth, 0, most),
		in("carrier_max_notch", s.CarrierMaxNotch, 0, most), in("carrier_screw_diameter", s.CarrierScrewDiameter, 0.01, 2),
		in("carrier_screw_thread", s.CarrierScrewThread, 0.01, most), in("channel_pocket", s.ChannelPocket, 0, most),
		in("channel_screw_spacing", s.ChannelScrewSpacing, 1, most), in("channel_penetration", s.ChannelPenetration, 0, most),
		in("end_gap", s.EndGap, 0, most), in("side_clearance", s.SideClearance, 0, most), in("notch_clearance", s.NotchClearance, 0, most),
		in("cut_out_clearance", s.CutOutClearance, 0, most), in("kerf", s.Kerf, 0, 12),
		in("furring_spacing", s.FurringSpacing, 4, most), in("furring_width", s.FurringWidth, 0.1, 24),
		in("max_furring", s.MaxFurring, 0, 24), in("furring_penetration", s.FurringPenetration, 0.01, most),
		in("furring_screw_diameter", s.FurringScrewDiameter, 0.01, 2), in("fall", s.Fall, leastFall, most), in("headroom", s.Headroom, 0, most),
		in("gutter_gap", s.GutterGap, 0, most), in("gutter_fall", s.GutterFall, 0, 12), in("hanger_spacing", s.HangerSpacing, 1, most),
		in("leader_spacing", s.LeaderSpacing, 1, most), in("sealant_bead", s.SealantBead, 0.01, 12),
	}
}

func numberLimits(s System) []limit {
	gravity := 0.42
	if s.FurringSpecificGravity != nil {
		gravity = *s.FurringSpecificGravity
	}
	return []limit{
		{"panel_alpha", s.PanelAlpha, 0, 1e-3}, {"furring_specific_gravity", gravity, 0.01, 1.5},
		{"ceiling_psf", s.CeilingPSF, 0, 1e4}, {"furring_psf", s.FurringPSF, 0, 1e4}, {"cold_cut_below", s.ColdCutBelow, -1000, 1000},
		{"sealant_ounces", s.SealantOunces, 0.1, 1e4}, {"sealant_waste", s.SealantWaste, 0, 10},
		{"cost_blocked", s.CostBlocked, 0, 1e6}, {"cost_notch", s.CostNotch, 0, 1e6}, {"cost_narrow", s.CostNarrow, 0, 1e6},
		{"cost_panel", s.CostPanel, 0, 1e6}, {"cost_uneven", s.CostUneven, 0, 1e6}, {"cost_through", s.CostThrough, 0, 1e6},
		{"spares", float64(s.Spares), 0, 1e4}, {"labour_cents_per_hour", float64(s.LabourCentsPerHour), 0, 1e9},
		{"takeoff_waste_percent", s.TakeoffWastePercent, 0, 1000},
	}
}

// checkLists refuses empty stock, thicknesses that are none and prices below nothing.
func checkLists(s System) error {
	lists := []struct {
		key    string
		list   []length.Inches
		lo, hi float64
		most   int
	}{
		{"panel_stock", s.PanelStock, 1, MaxLength, 100}, {"carrier_stock", s.CarrierStock, 1, MaxLength, 100},
		{"channel_stock", s.ChannelStock, 1, MaxLength, 100}, {"gutter_stock", s.GutterStock, 1, MaxLength, 100},
		{"furring_stock", s.FurringStock, 1, MaxLength, 100}, {"furring_plies", s.FurringPlies, 1.0 / 16, 24, 8},
	}
	for _, l := range lists {
		if len(l.list) == 0 || len(l.list) > l.most {
			return faultf("system."+l.key, "has %d entries; it must have from 1 to %d", len(l.list), l.most)
		}
		for i, v := range l.list {
			if !(float64(v) >= l.lo && float64(v) <= l.hi) {
				return faultf(fmt.Sprintf("system.%s[%d]", l.key, i), "%g must be from %g to %g", float64(v), l.lo, l.hi)
			}
		}
	}
	for i, p := range s.Packs {
		if !(p.Size > 0 && p.Size <= 1e6) {
			return faultf(fmt.Sprintf("system.packs[%d].size", i), "%g must be over 0 and at most 1000000", p.Size)
		}
	}
	for i, p := range s.Prices {
		if p.Cents < 0 || p.Cents > 1<<31 || p.Length < 0 || p.Length > MaxLength {
			return faultf(fmt.Sprintf("system.prices[%d]", i), "the price must be from 0 to 2147483648 cents, the length from 0 to %d in", MaxLength)
		}
	}
	for i, l := range s.Labour {
		if !(l.Minutes >= 0 && l.Minutes <= 1e6) {
			return faultf(fmt.Sprintf("system.labour[%d].minutes", i), "%g must be from 0 to 1000000", l.Minutes)
		}
	}
	return nil
}

// checkGutter checks shapes, mount and leader.
func checkGutter(s System) error {
	if len(s.GutterShapes) == 0 {
		return faultf("system.gutter_shapes", "is empty")
	}
	preferred := false
	for i, g := range s.GutterShapes {
		at := fmt.Sprintf("system.gutter_shapes[%d]", i)
		preferred = preferred || g.Name == s.GutterPrefer
		switch {
		case !(g.Width >= 1 && g.Width <= 120), !(g.Depth >= 0 && g.Depth <= 120), !(g.TableFt2 >= 0 && g.TableFt2 <= 1e9):
			return faultf(at, "width must be from 1 to 120 in, depth from 0 to 120 in, table_ft2 from 0 to 1000000000")
		case g.Section == "half-round":
		case g.Section == "rectangular" && g.Depth > 0:
		case g.Section == "ogee" && g.TableFt2 > 0:
		default:
			return faultf(at, "section %q must be half-round, rectangular (with a depth) or ogee (with table_ft2)", clip(g.Section))
		}
	}
	if !preferred {
		return faultf("system.gutter_prefer", "there is no gutter shape %q", clip(s.GutterPrefer))
	}
	switch s.GutterMount {
	case mountRim, mountFascia, mountBeam:
	default:
		return faultf("system.gutter_mount", "%q must be rim, fascia or beam", clip(string(s.GutterMount)))
	}
	if leaderCapacity(s.Leader) == 0 {
		return faultf("system.leader", "%g in is none of 2, 3, 4, 5, 6 and 8", float64(s.Leader))
	}
	return nil
}
