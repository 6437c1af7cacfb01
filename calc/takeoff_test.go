package calc

import (
	"math"
	"testing"
)

// The takeoff counts what the plan shows: sticks by length, screws, strips, backers on the open sides.
func TestTakeoff(t *testing.T) {
	in := rectangle(240, 168)
	in.Obstructions = []Obstruction{hanger("post", 77, 120, 40)}
	in.Obstructions[0].Through = true
	p, z := oneZone(t, in)
	sticks := map[string]float64{}
	for _, i := range p.Takeoff {
		if i.From == "" || i.Label == "" || i.Unit == "" {
			t.Errorf("%+v does not say what it is or where it came from", i)
		}
		sticks[i.Item] += i.Need
	}
	for _, c := range p.Cutting {
		near(t, c.Material, sticks[c.Material], float64(len(c.Stock)), 0)
	}
	near(t, "furring screws", sticks["furring-screw"], float64(z.FurringScrews), 0)
	near(t, "carrier screws", sticks["carrier-screw"], float64(z.CarrierScrews), 0)
	near(t, "channel screws", sticks["channel-screw"], float64(z.ChannelScrews), 0)
	near(t, "backers, ft", sticks["backer"], 2*166/12.0, 1e-9)
	near(t, "backer screws", sticks["backer-screw"], 2*15, 0)
	near(t, "strips, ft: 1/2, 1, and 1 + 1/2 for 1 1/2", sticks["furring"], 4*20, 1e-9)
	near(t, "strip to rip", sticks["furring-rip"], 20, 1e-9)
	near(t, "hangers, each 24 in", sticks["gutter-hanger"], 11, 0)
	near(t, "downspout, ft", sticks["downspout"], (110-1.75-1.5)/12, 1e-9)
	near(t, "spares", sticks["spare-panel"]+sticks["spare-carrier"], 2, 0)
	near(t, "collar", sticks["collar"], 1, 0)
	near(t, "sealant round the post", sticks["cut-out-sealant"], 10*math.Pi/64/(10.1*ounce), 1e-9)
	in.LowEdge = LowEdgeDripChannel
	p = plan(t, in)
	near(t, "drip channel, ft", itemNamed(p, "drip-channel").Need, 20, 1e-9)
	if i := itemNamed(p, "low-edge-sealant"); i.Item != "" {
		t.Errorf("a drip channel needs no bead: got %+v", i)
	}
}

// money is whole cents; totals are the sum of the lines they show.
func TestMoney(t *testing.T) {
	in := rectangle(240, 168)
	if p := plan(t, in); p.Money != nil {
		t.Errorf("no prices: got %+v", p.Money)
	}
	in.System = profile(`{"prices": [{"item": "sealant", "cents": 799}, {"item": "channel", "length": 144, "cents": 1250}, {"item": "carrier-screw", "cents": 900}],
		"packs": [{"item": "carrier-screw", "size": 50}], "labour": [{"item": "panel", "minutes": 12}], "labour_cents_per_hour": 6000}`)
	p := plan(t, in)
	sum := int64(0)
	for _, i := range p.Takeoff {
		if i.Cents != nil {
			sum += *i.Cents
		}
	}
	if p.Money == nil || sum != p.Money.TotalCents || p.Money.TotalCents != p.Money.MaterialCents+p.Money.LabourCents {
		t.Fatalf("got %+v, the lines add up to %d", p.Money, sum)
	}
	screws := itemNamed(p, "carrier-screw")
	if *screws.Packs != 2 || *screws.Cents != 1800 { // 20 carriers cross 4 rows: 80
		t.Errorf("got %v screws in %d packs for %d cents", screws.Need, *screws.Packs, *screws.Cents)
	}
	if got := *itemNamed(p, "channel").Cents; got != int64(itemNamed(p, "channel").Need)*1250 {
		t.Errorf("channel: got %d cents", got)
	}
	near(t, "labour, h", itemNamed(p, "labour").Need, itemNamed(p, "panel").Need*12/60, 1e-9)
	if len(p.Money.Unpriced) == 0 {
		t.Error("lines without a price are not named")
	}
}

// With a price for every stock length the cheapest plan is bought, not the shortest.
func TestPricesChooseTheStock(t *testing.T) {
	in := rectangle(240, 168)
	if got := plan(t, in).Cutting[0].Stock[0].Length; got != 168 {
		t.Fatalf("without prices: got sticks of %v", got)
	}
	in.System = profile(`{"panel_stock": [168, 192], "prices": [{"item": "panel", "length": 168, "cents": 2000}, {"item": "panel", "length": 192, "cents": 1500}]}`)
	if got := plan(t, in).Cutting[0].Stock[0].Length; got != 192 {
		t.Errorf("with a cheaper long stick: got sticks of %v", got)
	}
}
