package report

import (
	"undercroft/calc"
)

// profile is what the drawings need of the system, in inches; GutterFall is in inches per foot.
type profile struct {
	PanelCover, PanelGain, PanelRib   float64
	CarrierDepth, CarrierWidth        float64
	GutterGap, GutterFall             float64
	GutterOutside                     bool // on a fascia outside the framing's edge
	ChannelPocket, ScrewSpacing       float64
	FurringWidth, SideClearance, Kerf float64
	Headroom                          float64 // finished heights below this are flagged
}

// profileOf takes the figures from the plan's system.
func profileOf(s calc.System) profile {
	return profile{
		PanelCover: float64(s.PanelCover), PanelGain: float64(s.PanelGain), PanelRib: float64(s.PanelRib),
		CarrierDepth: float64(s.CarrierDepth), CarrierWidth: float64(s.CarrierWidth),
		GutterGap: float64(s.GutterGap), GutterFall: float64(s.GutterFall), GutterOutside: s.GutterMount == "fascia",
		ChannelPocket: float64(s.ChannelPocket), ScrewSpacing: float64(s.ChannelScrewSpacing),
		FurringWidth: float64(s.FurringWidth), SideClearance: float64(s.SideClearance), Kerf: float64(s.Kerf),
		Headroom: float64(s.Headroom),
	}
}
