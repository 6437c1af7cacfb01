package report

import (
	"undercroft/survey/report/document"
)

// water is the rain and what carries it, zone by zone.
func (c *composer) water() {
	w := c.m.Water
	c.part("water", c.in("Water and gutter"), "")
	var zones []string
	for _, z := range w.Columns {
		zones = append(zones, z.Zone)
	}
	t := c.byZone(zones)
	each := func(name string, of func(waterColumn) document.Cell) {
		var cells []document.Cell
		for _, z := range w.Columns {
			cells = append(cells, of(z))
		}
		t.add(name, cells...)
	}
	depth := c.in("Water in a panel")
	if w.Rib > 0 {
		depth = c.say("Water in a panel, rib %s", w.Rib.Typeset())
	}
	each(c.in("Rain, 5-minute storm"), func(waterColumn) document.Cell { return cell(c.plain(w.Intensity + "\u00a0in/h")) })
	each(c.in("Deck area drained"), func(z waterColumn) document.Cell { return cell(c.plain(z.AreaFt2 + "\u00a0ft²")) })
	each(c.in("Flow to the gutter"), func(z waterColumn) document.Cell { return cell(c.bold(z.Flow + "\u00a0gpm")) })
	each(depth, func(z waterColumn) document.Cell { return cell(c.plain(z.Depth + "\u00a0in")) })
	each(c.in("Gutter"), c.gutterCell)
	each(c.in("Downspouts"), c.downspoutCell)
	each(c.in("Gutter runs"), c.runsCell)
	roof := c.in("No roof is counted that drains onto the deck.")
	if w.Roof != "" {
		roof = c.say("%s ft² of roof drain onto the deck and are counted in the first zone.", w.Roof)
	}
	t.table.Caption = spaced(c.plain(roof+" "+c.catches()+" "+c.in("Where a downspout discharges is to be settled on site.")), c.from(w.Sources))
	c.table(t.table)
	c.notes(noteWater)
}

// catches is what such a ceiling does and does not do: the one sentence about it, the same for every reader.
func (c *composer) catches() string {
	return c.in("Catches rain that falls through the boards; not wind-driven rain at open sides, condensation, splash or ice.")
}

func (c *composer) gutterCell(z waterColumn) document.Cell {
	if z.Size == "" {
		return cell(c.soft(c.in("not sized")))
	}
	out := cell(c.bold(typographic(c.in(z.Size))))
	if z.Carries != "" {
		out.Lines = append(out.Lines, c.soft(c.say("carries %s gpm", z.Carries)))
	}
	return out
}

func (c *composer) downspoutCell(z waterColumn) document.Cell {
	if z.Downspouts == 0 {
		return cell(c.soft(c.in("not counted")))
	}
	line := c.bold(itoa(z.Downspouts))
	if z.Leader != "" {
		line = spaced(line, c.soft(c.say("of %s", typographic(c.in(z.Leader)))))
	}
	return cell(line)
}

func (c *composer) runsCell(z waterColumn) document.Cell {
	var out document.Cell
	for _, l := range z.Lines {
		line := c.plain(l.Length.Typeset())
		if len(z.Lines) > 1 {
			line = spaced(line, c.soft(join(", ", l.Flow+"\u00a0gpm", typographic(c.in(l.Size)), c.count(l.Downspouts, "downspout", "downspouts"))))
		}
		out.Lines = append(out.Lines, line)
	}
	return out
}

// movement are the gaps to leave and what the temperature of the day means.
func (c *composer) movement() {
	k := c.m.Checks
	c.part("movement", c.in("Movement gaps"), "")
	t := c.byZone(k.zones())
	var gaps, engaged []document.Cell
	for _, z := range k.Columns {
		gaps, engaged = append(gaps, cell(c.bold(z.Gap.Typeset()))), append(engaged, cell(c.plain(z.Engaged.Typeset())))
	}
	t.add(c.say("End gap to leave at %s °F", k.Install), gaps...)
	t.add(c.say("Still engaged at %s °F", k.Coldest), engaged...)
	t.table.Caption = spaced(c.plain(c.say("Gaps are rounded up to 1/16″. The range counted is %s to %s °F.", k.Coldest, k.Hottest)), c.from(k.Sources))
	c.table(t.table)
	c.notes(noteTemperature)
}

// zones are the zones that were checked.
func (k Checks) zones() []string {
	var zones []string
	for _, z := range k.Columns {
		zones = append(zones, z.Zone)
	}
	return zones
}

// checks are the screening of the screws, the heights and the working platform.
func (c *composer) checks() {
	k := c.m.Checks
	c.part("checks", c.in("Screws, headroom and access"), "")
	t := c.byZone(k.zones())
	var carrier, furring, lowest []document.Cell
	for _, z := range k.Columns {
		carrier, furring, lowest = append(carrier, c.screwCell(z.Carrier)), append(furring, c.screwCell(z.Furring)), append(lowest, c.lowestCell(z))
	}
	t.add(c.in("Carrier screw: load / holds"), carrier...)
	t.add(c.in("Furring screw: load / holds"), furring...)
	over := c.in("Lowest ceiling over the level line")
	caption := c.in("No clearance to the ground was pinned: the level line is taken as the ground.") + " "
	if k.OverGround {
		over, caption = c.in("Lowest ceiling over the ground"), ""
	}
	t.add(over, lowest...)
	platform := c.soft(c.in("not measured"))
	if k.HasPlatform {
		platform = c.bold(k.Platform.Typeset())
	}
	cells := make([]document.Cell, len(k.Columns))
	if len(cells) > 0 {
		cells[0] = cell(platform)
	}
	t.add(c.in("Working platform, height"), cells...)
	t.table.Caption = spaced(c.plain(caption+c.in("Heights are rounded down to 1/16″. A screening of withdrawal only: structure is for a licensed professional; follow local code.")), c.from(k.Sources))
	c.table(t.table)
}

func (c *composer) screwCell(s screwLine) document.Cell {
	if s.Holds == "" {
		return cell(spaced(c.plain(s.Load+" /"), c.soft(c.in("not claimed"))))
	}
	return cell(spaced(c.plain(s.Load+" / "+s.Holds+"\u00a0lb"), c.soft("("+s.Share+")")))
}

func (c *composer) lowestCell(z checkColumn) document.Cell {
	if !z.HasLowest {
		return cell(c.soft(c.in("not measured")))
	}
	return cell(c.bold(z.Lowest.Typeset()), c.soft(c.say("at %s", z.At)))
}
