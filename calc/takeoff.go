package calc

import (
	"math"
	"slices"

	"undercroft/calc/length"
	"undercroft/calc/words"
)

// ounce is a US fluid ounce in cubic inches as the trade prints it; 231/128 = 1.8046875 is 7 parts in a million less.
const ounce = 1.8047

// cornerBead is the sealant of one corner where a high and a side channel meet, inches of bead.
const cornerBead = 6

// bill collects the takeoff's lines.
type bill struct {
	sys   System
	lines []Item
}

// add appends a line, with its words in English beside what it says in any language; a need of nothing is left out unless the line is always shown.
func (b *bill) add(i Item) {
	i.Label, i.From = i.Said.String(), i.Because.String()
	b.lines = append(b.lines, i)
}

// some appends a line when there is a need.
func (b *bill) some(i Item) {
	if i.Need > tol {
		b.add(i)
	}
}

// takeoff lists the material, one line a material and stock length, and what it costs where prices are given.
func (j *job) takeoff(bays []*bay) ([]Item, *money) {
	b := &bill{sys: j.sys}
	b.stock(j.plan.Cutting)
	j.billFurring(b, bays)
	j.billScrews(b, bays)
	j.billSealant(b, bays)
	j.billGutter(b, bays)
	j.billCutOuts(b, bays)
	b.spares(j.plan.Zones)
	b.pack()
	return b.lines, b.price(j.sys)
}

// stock lists the sticks of every cutting plan by length.
func (b *bill) stock(plans []CuttingPlan) {
	for _, p := range plans {
		counts := map[float64]int{}
		var lengths []float64
		for _, s := range p.Stock {
			if counts[s.Length] == 0 {
				lengths = append(lengths, s.Length)
			}
			counts[s.Length]++
		}
		slices.Sort(lengths)
		for _, l := range lengths {
			b.add(Item{Item: p.Material, Said: words.Say("%s %s", words.Say(p.Material), text16(l)), Need: float64(counts[l]), Unit: "each", Length: l,
				Because: words.Say("cutting plan: %s", words.Say(p.Material))})
		}
	}
}

// billFurring lists strips by thickness and the lumber to rip those from that no stock adds up to.
func (j *job) billFurring(b *bill, bays []*bay) {
	ply, rip := map[float64]float64{}, map[float64]float64{}
	dropped, backer := 0.0, 0.0
	for _, z := range bays {
		for _, r := range z.rows {
			run := r.x1 - r.x0
			switch {
			case r.Dropped:
				dropped += run
			case !r.strip():
			case len(r.Plies) == 0:
				rip[near16(max(r.thickest(), r.Build))] += run
			default:
				for _, p := range r.Plies {
					ply[p] += run
				}
			}
		}
		for _, r := range z.out.Channel {
			if r.Backer != nil {
				backer += r.Backer.Length
			}
		}
	}
	waste := j.sys.TakeoffWastePercent / 100
	for _, t := range sortedKeys(ply) {
		b.add(Item{Item: "furring", Said: words.Say("%s strip %s x %s", words.Say(j.sys.FurringMaterial), text16(t), j.sys.FurringWidth), Need: ply[t] / 12,
			Unit: "ft", Waste: waste, Because: words.Say("furring rows: plies")})
	}
	for _, t := range sortedKeys(rip) {
		b.add(Item{Item: "furring-rip", Said: words.Say("%s lumber to rip strips of %s from", words.Say(j.sys.FurringMaterial), text16(t)), Need: rip[t] / 12,
			Unit: "ft", Waste: waste, Because: words.Say("furring rows: rip to")})
	}
	b.some(Item{Item: "dropped-framing", Said: words.Say("dropped framing, to be designed"), Need: dropped / 12, Unit: "ft", Waste: waste, Because: words.Say("furring rows: thicker than furring")})
	b.some(Item{Item: "backer", Said: words.Say("backer ripped to a taper, open sides"), Need: backer / 12, Unit: "ft", Waste: waste, Because: words.Say("channel runs on open edges")})
}

func sortedKeys(m map[float64]float64) []float64 {
	var keys []float64
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// billScrews lists the screws, counted, not guessed from a length.
func (j *job) billScrews(b *bill, bays []*bay) {
	furring, carrier, channel, backer := 0, 0, 0, 0
	long, thick := 0.0, 0.0
	for _, z := range bays {
		furring, carrier, channel = furring+z.out.FurringScrews, carrier+z.out.CarrierScrews, channel+z.out.ChannelScrews
		long = max(long, z.out.FurringScrew)
		for _, r := range z.out.Channel {
			if r.Backer != nil {
				backer += r.Backer.Screws
				thick = max(thick, r.Backer.Thickest)
			}
		}
	}
	coated := words.Say("coated for treated wood (stainless or hot-dip)")
	b.add(Item{Item: "furring-screw", Said: words.Say("furring screw %s, %s", text16(long), coated), Need: float64(furring), Unit: "each", Because: words.Say("furring rows: one at each joist crossing")})
	b.add(Item{Item: "carrier-screw", Said: words.Say("carrier screw, %s", coated), Need: float64(carrier), Unit: "each", Because: words.Say("one at each row that a carrier crosses")})
	b.add(Item{Item: "channel-screw", Said: words.Say("channel screw: what it goes through + %s", j.sys.ChannelPenetration), Need: float64(channel), Unit: "each", Because: words.Say("channel runs: one each %s and one at the end", j.sys.ChannelScrewSpacing)})
	l, _ := screwFor(near16(thick) + float64(j.sys.ChannelPenetration))
	b.some(Item{Item: "backer-screw", Said: words.Say("backer screw %s, %s", text16(l), coated), Need: float64(backer), Unit: "each", Because: words.Say("backers on open sides")})
}

// cartridges turns inches of round bead into cartridges.
func (j *job) cartridges(bead float64) float64 {
	r := float64(j.sys.SealantBead) / 2
	return bead * math.Pi * r * r / (j.sys.SealantOunces * ounce)
}

// billSealant lists the bead along cut edges and corners, and the low edge's own finish.
func (j *job) billSealant(b *bill, bays []*bay) {
	bead, low := 0.0, 0.0
	for _, z := range bays {
		for _, r := range z.out.Channel {
			bead += r.Length
		}
		if len(z.out.Channel) > 0 {
			bead += 2 * cornerBead * float64(straightHighs(z.borders))
		}
		low += z.out.Gutter.Length
	}
	b.add(Item{Item: "sealant", Said: words.Say(j.sys.SealantProduct), Need: j.cartridges(bead), Unit: "cartridge", Waste: j.sys.SealantWaste,
		Because: words.Say("high and side channels and their corners")})
	if j.in.LowEdge == LowEdgeDripChannel {
		b.some(Item{Item: "drip-channel", Said: words.Say("channel, inverted, along the low edge"), Need: low / 12, Unit: "ft", Because: words.Say("low edges")})
		return
	}
	b.some(Item{Item: "low-edge-sealant", Said: words.Say("%s, low edge", words.Say(j.sys.SealantProduct)), Need: j.cartridges(low), Unit: "cartridge", Waste: j.sys.SealantWaste, Because: words.Say("low edges")})
}

// billGutter lists hangers, caps, outlets and downspouts.
func (j *job) billGutter(b *bill, bays []*bay) {
	hangers, caps, outlets, elbows := 0, 0, 0, 0
	down := 0.0
	for _, z := range bays {
		for _, r := range z.out.Gutter.Lines {
			hangers += count(r.Length/float64(j.sys.HangerSpacing)) + 1
			caps, outlets, elbows = caps+2, outlets+r.Downspouts, elbows+2*r.Downspouts
			down += float64(r.Downspouts) * j.dropHeight(z, r)
		}
	}
	b.some(Item{Item: "gutter-hanger", Said: words.Say("gutter hanger"), Need: float64(hangers), Unit: "each", Because: words.Say("gutters: one each %s and one at the end", j.sys.HangerSpacing)})
	b.some(Item{Item: "gutter-end-cap", Said: words.Say("gutter end cap"), Need: float64(caps), Unit: "each", Because: words.Say("gutters: two each")})
	b.some(Item{Item: "gutter-outlet", Said: words.Say("gutter outlet"), Need: float64(outlets), Unit: "each", Because: words.Say("downspouts")})
	b.some(Item{Item: "downspout", Said: words.Say("downspout %g in", float64(j.sys.Leader)), Need: down / 12, Unit: "ft", Because: words.Say("height of the low edge, each downspout; where it discharges is to be agreed")})
	b.some(Item{Item: "downspout-elbow", Said: words.Say("downspout elbow"), Need: float64(elbows), Unit: "each", Because: words.Say("two each downspout")})
}

// dropHeight is how high a gutter hangs over the ground, inches; 0 when nothing was measured.
func (j *job) dropHeight(b *bay, r GutterRun) float64 {
	if !j.measured {
		return 0
	}
	high := 0.0
	for _, p := range []Point{r.P0, r.P1} {
		at := j.frame.inPoint(p)
		high = max(high, j.clear.at(at)-j.t(b, at)-float64(j.sys.CarrierDepth))
	}
	return high
}

// billCutOuts lists collars and sealant round what the panels are cut out for.
func (j *job) billCutOuts(b *bill, bays []*bay) {
	bead := 0.0
	holes, collars := 0, 0
	for _, z := range bays {
		for _, c := range z.out.CutOuts {
			bead += 2 * (c.WX + c.WY)
			holes++
			if c.Kind == kindThrough {
				collars++
			}
		}
	}
	b.some(Item{Item: "cut-out", Said: words.Say("cut-out in the panels"), Need: float64(holes), Unit: "each", Because: words.Say("fixtures and what goes through")})
	b.some(Item{Item: "collar", Said: words.Say("collar round what goes through"), Need: float64(collars), Unit: "each", Because: words.Say("what goes through the ceiling")})
	b.some(Item{Item: "cut-out-sealant", Said: words.Say("%s, cut-outs", words.Say(j.sys.SealantProduct)), Need: j.cartridges(bead), Unit: "cartridge", Waste: j.sys.SealantWaste, Because: words.Say("round the cut-outs")})
}

// spares adds the profile's spare panels and carriers, of the longest piece.
func (b *bill) spares(zones []Zone) {
	panel, carrier := 0.0, 0.0
	for _, z := range zones {
		for _, p := range z.Panels.Pieces {
			panel = max(panel, p.Length)
		}
		for _, c := range z.Carriers {
			carrier = max(carrier, c.Length)
		}
	}
	for _, s := range []struct {
		item, of string
		long     float64
		stock    []length.Inches
	}{{"spare-panel", "panel", panel, b.sys.PanelStock}, {"spare-carrier", "carrier", carrier, b.sys.CarrierStock}} {
		if l := shortestFor(s.stock, down16(s.long)); s.long > 0 && b.sys.Spares > 0 && l > 0 {
			b.add(Item{Item: s.item, Said: words.Say("spare %s %s", words.Say(s.of), text16(l)), Need: float64(b.sys.Spares), Unit: "each", Length: l, Because: words.Say("profile: spares")})
		}
	}
}

// shortestFor is the shortest stock that holds a piece; 0 when none does.
func shortestFor(stock []length.Inches, piece float64) float64 {
	best := 0.0
	for _, l := range stock {
		if v := float64(l); v >= piece-tol && (best == 0 || v < best) {
			best = v
		}
	}
	return best
}

// pack counts packs: cartridges always, other items where the profile has a pack size.
func (b *bill) pack() {
	for i := range b.lines {
		l := &b.lines[i]
		size, of := 0.0, words.Phrase{}
		if k := slices.IndexFunc(b.sys.Packs, func(p packSize) bool { return p.Item == l.Item }); k >= 0 {
			size, of = b.sys.Packs[k].Size, words.Say("%g %s", b.sys.Packs[k].Size, words.Say(l.Unit))
		} else if l.Unit == "cartridge" {
			size, of = 1, words.Say("cartridge of %g fl oz", b.sys.SealantOunces)
		}
		if size > 0 {
			n := count(l.Need * (1 + l.Waste) / size)
			l.Packs, l.Pack, l.PackSaid = &n, of.String(), of
		}
	}
}
