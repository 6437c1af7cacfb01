package calc

import (
	"math"

	"undercroft/calc/length"
	"undercroft/calc/words"
)

const (
	outOfPlane = 0.25     // a height this far from the plane, in inches, is a finding
	pondFall   = 1.0 / 16 // less fall than this, in inches per foot, stands as ponds
	pondApart  = 24       // points nearer than this down the fall, or further apart across it, say nothing of ponds
	reachUp    = 78       // height above the working platform that a person works at, inches
)

// Compute plans the ceiling. It refuses what Check refuses, and a cover that names a zone the deck does not have, with an
// *InputError; whatever else is wrong with the deck is an issue of the plan. The input is not changed.
func Compute(in Input) (Plan, error) {
	in = withDefaults(in)
	if err := Check(in); err != nil {
		return Plan{}, err
	}
	sys, err := Resolve(in.System)
	if err != nil {
		return Plan{}, err
	}
	j := newJob(in, sys)
	bays, err := j.zones()
	if err != nil {
		return Plan{}, err
	}
	j.judgeDeck()
	j.judgeExhausts(bays)
	p := j.plan
	p.Zones = make([]Zone, 0, len(bays))
	for _, b := range bays {
		j.zone(b)
		p.Zones = append(p.Zones, *b.out)
	}
	p.Access = j.access()
	p.Cutting = j.cutting(bays)
	p.Takeoff, p.Money = j.takeoff(bays)
	p.Assumptions = j.assumptions(bays)
	p.Issues = list(p.Issues)
	p.Fixings = list(fixings(in, p))
	p.Cautions = list(cautions(in, sys, p))
	p.Notes = list(crewNotes(in, sys, p))
	return *p, nil
}

// judgeDeck reports what is wrong with the deck as a whole: obstructions outside, joists out of plane, ponds.
func (j *job) judgeDeck() {
	var outside []string
	for _, t := range j.things {
		if t.zone == -1 {
			outside = append(outside, t.id)
		}
	}
	if len(outside) > 0 {
		j.warn("obstruction-outside", words.Say("obstructions outside every zone are left out"), outside...)
	}
	worst := -1
	for i, r := range j.plan.Plane.Residuals {
		if math.Abs(r) > outOfPlane+tol && (worst < 0 || math.Abs(r) > math.Abs(j.plan.Plane.Residuals[worst])+tol) {
			worst = i
		}
	}
	if worst >= 0 {
		h := j.in.Heights[worst]
		j.warn("plane-residual", words.Say("joists out of plane by %s at (%s, %s)", text16(math.Abs(j.plan.Plane.Residuals[worst])), h.X, h.Y))
	}
	j.judgePonds()
}

// judgePonds looks for two heights between which the finished ceiling would fall less than 1/16 in per foot, since the joists'
// own waves stay in it.
func (j *job) judgePonds() {
	at := make([]vec, len(j.in.Heights))
	for i, h := range j.in.Heights {
		at[i] = j.frame.in(vec{float64(h.X), float64(h.Y)})
	}
	r := j.plan.Plane.Residuals
	for i, p := range at {
		for k, q := range at {
			dv := q.y - p.y
			if dv < pondApart-tol || math.Abs(q.x-p.x) > pondApart+tol {
				continue
			}
			if fall := (j.slope*dv + r[i] - r[k]) / dv * 12; fall < pondFall-tol {
				a, b := j.in.Heights[i], j.in.Heights[k]
				j.warn("ponding", words.Say("the joists' waves leave a fall of %.3f in per foot between (%s, %s) and (%s, %s): string a line there and shim each joist",
					fall, a.X, a.Y, b.X, b.Y))
				return
			}
		}
	}
}

// zone plans one zone and fills in its part of the plan.
func (j *job) zone(b *bay) {
	z := b.out
	j.describe(b)
	switch {
	case b.short():
		j.warn("zone-short", words.Say("the zone is %s long down the fall, under 12\": no panels are planned", text16(b.box.y1-b.box.y0)), z.ID)
		return
	case b.box.x1-b.box.x0 <= 2*float64(j.sys.SideClearance)+tol:
		j.narrow(b)
		return
	}
	b.borders = j.borders(b.shape)
	b.endGap = j.movement(b).Gap
	best, runner, relaxed, ok := j.choose(b)
	if !ok {
		j.narrow(b)
		return
	}
	j.judgeWalls(b)
	j.furring(b)
	if relaxed {
		j.warn("end-rule-relaxed", words.Say("no layout keeps the profile's end panels: the ends are %s and %s", text16(best.a), text16(best.b)), z.ID)
	}
	j.lay(b, best, runner)
	j.notchesOf(b, best)
	z.CutOuts = j.cutOuts(b)
	z.Channel = j.channel(b)
	for _, r := range z.Channel {
		z.ChannelScrews += r.Screws
	}
	z.Gutter = j.gutters(b)
	z.PanelWaterDepth = j.filmDepth(b)
	z.Movement = j.movement(b)
	z.ScrewCheck = j.screwChecks(b)
	j.judge(b)
	j.judgeOpenings(b)
}

// narrow reports a zone that no panel fits into.
func (j *job) narrow(b *bay) {
	j.warn("zone-narrow", words.Say("the zone is %s wide: no panel fits", text16(b.box.x1-b.box.x0)), b.out.ID)
}

// describe fills in what every zone has, however short or narrow; lists are empty.
func (j *job) describe(b *bay) {
	z := b.out
	z.X0, z.X1, z.YHigh, z.YLow = b.box.x0, b.box.x1, b.box.y0, b.yLow
	z.AreaFt2, z.Base = b.region.area()/144, b.base
	z.Polygon, z.Holes = j.planRing(b.shape.rings[0]), [][][2]float64{}
	for _, hole := range b.shape.rings[1:] {
		z.Holes = append(z.Holes, j.planRing(hole))
	}
	if j.under.known {
		z0 := b.z0
		z.Z0 = &z0
	}
	z.Headroom.Ties = [][2]float64{}
	if h, at := j.headroom(b); j.measured {
		z.Headroom.Min = &h
		z.Headroom.Ties = j.planRing(at)
		z.Headroom.At = &z.Headroom.Ties[0]
	}
	z.Furring, z.Seams, z.Carriers, z.Notches, z.CutOuts, z.Channel = []Row{}, []float64{}, []Carrier{}, []Notch{}, []CutOut{}, []Run{}
	z.Panels.Pieces, z.Gutter.Runs, z.Gutter.Lines = []Piece{}, []float64{}, []GutterRun{}
}

func (j *job) planRing(ring []vec) [][2]float64 {
	out := make([][2]float64, len(ring))
	for i, p := range ring {
		q := j.frame.out(p)
		out[i] = [2]float64{q.x, q.y}
	}
	return out
}

// judgeWalls reports walls at the low edge and walls of unknown surface.
func (j *job) judgeWalls(b *bay) {
	low, unknown := false, false
	for _, e := range b.borders {
		low = low || e.class == classLow && e.kind == EdgeWall
		unknown = unknown || e.kind == EdgeWall && e.surface == SurfaceUnknown
	}
	if low {
		j.block("low-wall", words.Say("the low edge stands against a wall: water would run against it"), b.out.ID)
	}
	if unknown {
		j.block("surface-unknown", words.Say("a wall's surface is not known: what is it faced with?"), b.out.ID)
	}
}

// furring lays the rows and reports what is wrong with them.
func (j *job) furring(b *bay) {
	z := b.out
	j.rows(b)
	noStrip, dropped, bare := false, false, false
	for _, r := range b.rows {
		z.Furring = append(z.Furring, r.Row)
		noStrip = noStrip || j.lines.across && r.Fasten == fastenJoist
		dropped = dropped || r.Dropped
		bare = bare || j.unsupported(r)
	}
	listed := true
	z.FurringScrew, z.FurringScrews, listed = j.furringScrews(b)
	if noStrip {
		j.warn("no-strip", words.Say("no strip here, and carriers between joists have nothing to hold: raise the base to the thinnest ply, %s", j.thinnestPly()), z.ID)
	}
	if dropped {
		j.warn("dropped-framing", words.Say("rows thicker than %s are dropped framing, not furring: ripped framing lumber or hangers, and a licensed professional's word", j.sys.MaxFurring), z.ID)
	}
	if !listed {
		j.warn("furring-screw", words.Say("furring screws of %s are needed, longer than any on sale", text16(z.FurringScrew)), z.ID)
	}
	if bare {
		j.warn("row-unsupported", words.Say("a furring row runs more than 24\" without a joist where they stop: set blocking between the joists"), z.ID)
	}
	j.judgeRows(b)
}

func (j *job) thinnestPly() length.Inches {
	thin := j.sys.FurringPlies[0]
	for _, p := range j.sys.FurringPlies {
		thin = min(thin, p)
	}
	return thin
}

// judgeRows reports obstructions and passed beams that a strip, or dropped framing, runs into. What does not hang below the joists
// is in nobody's way, unless it goes through.
func (j *job) judgeRows(b *bay) {
	half := float64(j.sys.FurringWidth) / 2
	meets := func(t rect) bool {
		for _, r := range b.rows {
			if r.Fasten == fastenStrip && t.x0 < r.x1-tol && t.x1 > r.x0+tol && t.y0 < r.y+half-tol && t.y1 > r.y-half+tol {
				return true
			}
		}
		return false
	}
	for _, i := range b.things {
		t := &j.things[i]
		if (t.drop > tol || t.thru) && meets(rect{t.at.x - t.wx/2, t.at.x + t.wx/2, t.at.y - t.wy/2, t.at.y + t.wy/2}) {
			j.warn("row-blocked", words.Say("a furring row meets %s: shift or cut the strip", t.id), b.out.ID, t.id)
		}
	}
	for _, i := range b.beams {
		if m := j.beams[i]; m.drop > tol && meets(m.rect) {
			j.warn("row-blocked", words.Say("a furring row meets the beam %s: shift or cut the strip", m.id), b.out.ID, m.id)
		}
	}
}

// lay fills in panels, seams and carriers of the layout chosen.
func (j *job) lay(b *bay, l layout, runner *layout) {
	z := b.out
	b.seams = make([]float64, 0, l.n-1)
	for i := range l.n - 1 {
		b.seams = append(b.seams, j.seam(b, l, i))
	}
	z.Seams = b.seams
	z.Panels = panels{Count: l.n, First: l.a, Last: l.b, Cost: l.cost, Pieces: j.panels(b, l)}
	if runner != nil {
		z.Panels.RunnerUp = &RunnerUp{Count: runner.n, First: runner.a, Cost: runner.cost}
	}
	z.Carriers = j.carriers(b)
	z.CarrierScrews = b.carrierScrews()
	if j.sliver(b) {
		j.warn("sliver", words.Say("a carrier runs within %s of an inner side edge: cut the panel there on site", j.sys.PanelMinEnd), z.ID)
	}
	j.judgeLengths(b)
}

// judgeLengths reports panels and carriers that no stock is long enough for.
func (j *job) judgeLengths(b *bay) {
	panel, carrier := longestStock(j.sys.PanelStock), longestStock(j.sys.CarrierStock)
	var names []words.Phrase
	for _, p := range b.out.Panels.Pieces {
		if down16(p.Length) > panel+tol {
			names = append(names, words.Say("panel %d", p.N))
		}
	}
	for _, c := range b.out.Carriers {
		if down16(c.Length) > carrier+tol {
			names = append(names, words.Say("carrier %d", c.N))
		}
	}
	if len(names) > 0 {
		j.block("piece-too-long", words.Say("longer than all stock: %s; a cross seam leaks", firstOf(names)), b.out.ID)
	}
}

// firstOf lists the first names of a list and counts the rest.
func firstOf(names []words.Phrase) words.Phrase {
	const most = 30
	if len(names) <= most {
		return words.Join(", ", names...)
	}
	return words.Say("%s and %d more", words.Join(", ", names[:most]...), len(names)-most)
}

func longestStock(stock []length.Inches) float64 {
	most := 0.0
	for _, l := range stock {
		most = max(most, down16(float64(l)))
	}
	return most
}

// access is how high people work: the greatest underside height over the ground at the outline's corners, less 78 in.
func (j *job) access() access {
	if !j.measured {
		return access{}
	}
	most := math.Inf(-1)
	for _, p := range j.outer {
		most = max(most, j.clear.at(p))
	}
	platform := max(0, most-reachUp)
	return access{Platform: &platform}
}
