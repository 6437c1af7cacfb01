package calc

// sampleInput is the deck of the worked example: 28' 4" by 14', fiber-cement house wall, the other sides open.
func sampleInput() Input {
	in := defaultInput()
	in.Outline = []Point{{0, 0}, {340, 0}, {340, 168}, {0, 168}}
	in.Edges = []Edge{{Kind: EdgeWall, Surface: SurfaceFiberCement}, {Kind: EdgeOpen}, {Kind: EdgeOpen}, {Kind: EdgeOpen}}
	in.Joists = Joists{Direction: "y", Spacing: 16, Depth: 9.25, SpecificGravity: 0.42}
	in.Heights = []Height{{0, 0, 106}}
	return in
}

// samplePlan is a computed plan of that deck in the parts that cautions and notes read, written down by hand: fall 1/8 in per ft,
// level frame, rows at 4, 8 and 12 ft (1/2, 1, 1 1/2 in thick) and a last one, 29 panels.
func samplePlan() *Plan {
	platform := 28.0
	z := Zone{ID: "z1", X1: 340, YLow: 166, FurringScrew: 3, FurringScrews: 92, CarrierScrews: 112, ChannelScrews: 60}
	for i, y := range []float64{48, 96, 144, 165.25} {
		t := y / 96
		r := Row{Y: y, X1: 340, Left: t, Middle: t, Right: t, Build: near16(t), Place: "row", Fasten: "strip"}
		r.Plies = [][]float64{{0.5}, {1}, {1, 0.5}, {}}[i]
		z.Furring = append(z.Furring, r)
	}
	z.Furring[3].Place = "last"
	z.Panels = panels{Count: 29, First: 7, Last: 7.0625}
	for i := range 29 {
		x := max(0.125, 7.125+12.0625*float64(i-1))
		z.Panels.Pieces = append(z.Panels.Pieces, Piece{N: i + 1, X0: x, X1: min(339.875, 7.125+12.0625*float64(i)), Y0: 0.35, Y1: 166, Length: 165.65})
		if i < 28 {
			seam := 7.125 + 12.0625*float64(i)
			z.Seams = append(z.Seams, seam)
			z.Carriers = append(z.Carriers, Carrier{N: i + 1, Seam: i, X: seam, Y0: 0.35, Y1: 166, Length: 165.65})
		}
	}
	z.Channel = []Run{
		{Edge: "high", Length: 340, Plan: 340, Surface: SurfaceFiberCement, P1: Point{340, 0}},
		{Edge: "left", Length: 166.009, Plan: 166, Surface: SurfaceWood, P1: Point{0, 166}, T1: 166.0 / 96, Backer: &backer{166, 166.0 / 96, 15}},
	}
	z.Gutter = gutter{Length: 340, FlowGPM: 16.5, Size: "5 in half-round", Leader: "3 in", Downspouts: 1, Runs: []float64{340}}
	z.Movement = movement{Gap: 0.3486, EngagementCold: 0.6524}
	return &Plan{FallPerFoot: 0.125, Plane: plane{A: 106}, Zones: []Zone{z}, Access: access{&platform}, System: vinyl12()}
}
