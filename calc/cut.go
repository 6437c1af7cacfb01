package calc

import (
	"slices"

	"undercroft/calc/cutting"
	"undercroft/calc/length"
)

// cutting plans the stock of all zones together, one plan a material. Panels and carriers are not spliced; runs of channel and
// gutter are whole sticks of the longest stock and one remainder.
func (j *job) cutting(bays []*bay) []CuttingPlan {
	var panels, carriers, channel, gutter []int
	most, widest := sixteenths(longestStock(j.sys.ChannelStock)), sixteenths(longestStock(j.sys.GutterStock))
	for _, b := range bays {
		z := b.out
		for _, p := range z.Panels.Pieces {
			panels = append(panels, sixteenths(p.Length))
		}
		for _, c := range z.Carriers {
			carriers = append(carriers, sixteenths(c.Length))
		}
		for _, r := range z.Channel {
			channel = appendRun(channel, sixteenths(r.Length), most)
		}
		for _, l := range z.Gutter.Runs {
			gutter = appendRun(gutter, sixteenths(l), widest)
		}
	}
	return []CuttingPlan{
		j.solve("panel", panels, j.sys.PanelStock), j.solve("carrier", carriers, j.sys.CarrierStock),
		j.solve("channel", channel, j.sys.ChannelStock), j.solve("gutter", gutter, j.sys.GutterStock),
	}
}

// sixteenths is a length in whole sixteenths, rounded down.
func sixteenths(v float64) int { return int(down16(v) * 16) }

// appendRun divides a run into whole sticks and a remainder.
func appendRun(pieces []int, run, stick int) []int {
	for ; run >= stick; run -= stick {
		pieces = append(pieces, stick)
	}
	if run > 0 {
		pieces = append(pieces, run)
	}
	return pieces
}

func (j *job) solve(material string, pieces []int, stock []length.Inches) CuttingPlan {
	job := cutting.Job{Pieces: pieces, Kerf: int(up16(float64(j.sys.Kerf)) * 16), Price: j.stockPrices(material, stock)}
	for _, l := range stock {
		job.Stock = append(job.Stock, sixteenths(float64(l)))
	}
	p := cutting.Solve(job)
	out := CuttingPlan{Material: material, Stock: make([]Stick, 0, len(p.Sticks)), Bought: fromSixteenths(p.Bought), Used: fromSixteenths(p.Used),
		Optimal: p.Optimal, Bound: fromSixteenths(p.Bound), Unplanned: []float64{}}
	for _, s := range p.Sticks {
		stick := Stick{Length: fromSixteenths(s.Length), Offcut: fromSixteenths(s.Offcut), Cuts: make([]float64, len(s.Cuts))}
		for i, c := range s.Cuts {
			stick.Cuts[i] = fromSixteenths(c)
		}
		out.Stock = append(out.Stock, stick)
	}
	for _, c := range p.Unplanned {
		out.Unplanned = append(out.Unplanned, fromSixteenths(c))
	}
	return out
}

func fromSixteenths(sixteenths int) float64 { return float64(sixteenths) / 16 }

// stockPrices are the prices of a material's stock lengths, beside them; nil unless every length has one.
func (j *job) stockPrices(material string, stock []length.Inches) []int64 {
	out := make([]int64, len(stock))
	for i, l := range stock {
		k := slices.IndexFunc(j.sys.Prices, func(p price) bool { return p.Item == material && p.Length == l })
		if k < 0 {
			return nil
		}
		out[i] = j.sys.Prices[k].Cents
	}
	return out
}
