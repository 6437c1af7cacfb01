package report

import (
	"encoding/json"
	"fmt"

	"undercroft/calc"
)

// profile is what the drawings need of the system, in inches; fall is in inches per foot.
type profile struct {
	PanelCover    float64 `json:"panel_cover"`
	PanelGain     float64 `json:"panel_gain"`
	PanelRib      float64 `json:"panel_rib"`
	CarrierDepth  float64 `json:"carrier_depth"`
	CarrierWidth  float64 `json:"carrier_width"`
	GutterGap     float64 `json:"gutter_gap"`
	GutterFall    float64 `json:"gutter_fall"`
	ChannelPocket float64 `json:"channel_pocket"`
	ScrewSpacing  float64 `json:"channel_screw_spacing"`
	FurringWidth  float64 `json:"furring_width"`
	SideClearance float64 `json:"side_clearance"`
	Headroom      float64 `json:"headroom"`
	Kerf          float64 `json:"kerf"`
}

// profileOf reads the figures from the plan's system.
func profileOf(s calc.System) (profile, error) {
	p := profile{PanelCover: 12, PanelGain: 1.0 / 16, PanelRib: .75, CarrierDepth: 1.5, CarrierWidth: 1.5, GutterGap: 2, GutterFall: 1.0 / 16,
		ChannelPocket: 1.25, ScrewSpacing: 12, FurringWidth: 1.5, SideClearance: .125, Headroom: 84, Kerf: .125}
	data, err := json.Marshal(s)
	if err == nil {
		err = json.Unmarshal(data, &p)
	}
	if err != nil {
		return p, fmt.Errorf("read the plan's system: %w", err)
	}
	return p, nil
}
