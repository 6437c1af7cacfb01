package calc

import "slices"

// Sources of the fixings table. Paragraphs of the silica standard, 29 CFR 1926.1153, are those of its Table 1.
const (
	noSource      = "common practice, no source"
	sourceSilica  = "29 CFR 1926.1153 Table 1"
	sourceLead    = "40 CFR 745.83 and 745 subpart E"
	sourceLeadNDS = "NDS 2018 12.1.5.2 (wording from memory); 1999/2004 NDS Commentary 11.1.2.1"
	sourceAnchor  = "trade rules for concrete anchors (spacing 10 D, edge 5 D, hole 1/2 in deeper than the embedment, 5/32 in bit for a 3/16 in screw, at least 1 in embedded)"
	sourceVinyl   = "Vinyl Siding Institute installation manual (panels hang free)"
)

// Texts that several surfaces share.
const (
	upIntoFraming = "up into a joist, the ledger or blocking, at least 1 1/4 in of thread in wood; never through flashing"
	silicaDrill   = "row (vii), drills: shroud or cowling with dust collection; HEPA vacuum to clean holes; no respirator asked for then"
	silicaSaw     = "row (iii), saws with blades of 8 in or less, outdoors only: dust collection at the tool maker's airflow, filter 99 % or better, no respirator " +
		"asked for then; a larger blade or an enclosed place is not this row"
	eyesAndDust = "eye protection; dust collected at the bit; no dry sweeping"
	leadRule    = "treat old paint as lead until a certified renovator or inspector has tested it; over 20 ft2 of paint outdoors for the whole job, or any " +
		"prohibited practice, is work under the renovation rule"
	screwAnchor = "concrete screw 3/16 in, embedded at least 1 in, or the anchor that its maker names for this wall"
	anchorBit   = "carbide masonry bit 5/32 in for a 3/16 in screw, hole 1/2 in deeper than the screw goes"
	anchorRule  = "at least 5 diameters from an edge and 10 diameters apart"
	keepWeeps   = "keep every weep hole and through-wall flashing open: no bead, screw or channel over one"
)

// surfaceFixings is the table of fixings, one entry a surface, in a fixed order. Lead is set as for a home before 1978. What is
// not fastened into the wall has no bit, no fastener and an empty IntoWall. SurfaceUnknown is never guessed: it has nothing.
func surfaceFixings() []Fixing {
	return append(framedFixings(), append(masonryFixings(), coatedFixings()...)...)
}

// framedFixings are the surfaces that screws go through into wood.
func framedFixings() []Fixing {
	return []Fixing{
		{Surface: SurfaceWood, PreDrill: false,
			Bit:        "none in softwood; within 2 in of an end, or in dense wood, 70 % of the screw's root (3/32 in for no. 8), in hardwood 90 %",
			Fastener:   "wood screw with a flat underhead, coated, stainless or hot-dip for treated wood",
			IntoWall:   "into rim, beam, ledger or studs behind the siding, at least 1 1/4 in of thread in sound wood",
			UpIntoWood: upIntoFraming, Protection: "eye protection; a dust mask while sawing treated wood",
			Sealing: "bead behind the channel's top edge; never through ledger flashing", Lead: leadRule, Source: sourceLeadNDS + "; " + noSource},
		{Surface: SurfaceVinyl, PreDrill: true,
			Bit:        "oversize hole through the siding, 1/4 in more than the screw's shank, so that the siding still moves",
			Fastener:   "wood screw into studs, not drawn tight on the siding",
			IntoWall:   "through the siding into studs; siding or sheathing alone holds nothing",
			UpIntoWood: upIntoFraming, Protection: "eye protection",
			Sealing: "seal to the sheathing behind, not across laps; siding needs its drain gaps", Lead: leadRule, Source: sourceVinyl + "; " + noSource},
		{Surface: SurfaceFiberCement, PreDrill: true,
			Bit:        "carbide bit of the screw's shank size through the board, then on into wood as for wood",
			Fastener:   "corrosion-resistant wood screw long enough for the board and 1 1/4 in of stud",
			IntoWall:   "through the board into studs, 1 in or more from its edges",
			UpIntoWood: upIntoFraming, Protection: eyesAndDust, Silica: silicaDrill + "; " + silicaSaw,
			Sealing: "seal every hole and raw edge; keep the gap over flashing open", Lead: leadRule, Source: sourceSilica + "; " + noSource},
		{Surface: SurfaceLog, PreDrill: true,
			Bit:        "70 % of the screw's root; not into a check",
			Fastener:   "long wood screw, slotted holes in the channel so that logs can settle",
			IntoWall:   "into the body of a log, on flat wood; shim the hollows",
			UpIntoWood: upIntoFraming, Protection: "eye protection",
			Sealing: "flexible sealant that follows the round; no water held behind the channel", Lead: leadRule, Source: sourceLeadNDS + "; " + noSource},
		{Surface: SurfaceMetal, PreDrill: true,
			Bit:        "twist bit of the screw's shank size through the metal, then on into wood as for wood",
			Fastener:   "screw with a sealing washer, of a metal that suits the siding",
			IntoWall:   "through the metal into studs; do not draw it into waves",
			UpIntoWood: upIntoFraming, Protection: "eye protection and gloves: hot chips, sharp edges",
			Sealing: "sealing washer and a bead; brush off all chips, they rust", Lead: leadRule, Source: noSource},
	}
}

// masonryFixings are the surfaces that anchors hold in.
func masonryFixings() []Fixing {
	return []Fixing{
		{Surface: SurfaceBrick, PreDrill: true, Bit: anchorBit, Fastener: screwAnchor,
			IntoWall:   "into whole brick or full joint, " + anchorRule + "; veneer holds the channel, never framing",
			UpIntoWood: upIntoFraming, Protection: eyesAndDust, Silica: silicaDrill, Sealing: "bead on the channel's top edge; " + keepWeeps,
			Lead: leadRule, Source: sourceSilica + "; " + sourceAnchor},
		{Surface: SurfaceBlock, PreDrill: true, Bit: anchorBit + "; no hammer action on hollow block", Fastener: screwAnchor + "; a hollow-wall anchor where the cell is empty",
			IntoWall:   "into the face shell or a filled cell, " + anchorRule,
			UpIntoWood: upIntoFraming, Protection: eyesAndDust, Silica: silicaDrill, Sealing: "bead on the channel's top edge; " + keepWeeps,
			Lead: leadRule, Source: sourceSilica + "; " + sourceAnchor},
		{Surface: SurfaceConcrete, PreDrill: true, Bit: anchorBit, Fastener: screwAnchor,
			IntoWall:   "into sound concrete, " + anchorRule + "; stop at steel, and drill none where cables are tensioned",
			UpIntoWood: upIntoFraming, Protection: eyesAndDust, Silica: silicaDrill, Sealing: "bead on the channel's top edge; keep weep holes open",
			Lead: leadRule, Source: sourceSilica + "; " + sourceAnchor},
		{Surface: SurfaceStone, PreDrill: true, Bit: anchorBit + "; no hammer action on thin stone", Fastener: "screw long enough for stone and mortar and 1 1/4 in of stud",
			IntoWall:   "through a joint or stone into framing behind; thin stone alone holds nothing",
			UpIntoWood: upIntoFraming + " (better here)", Protection: eyesAndDust, Silica: silicaDrill,
			Sealing: "seal each hole; scribe the channel to the face; " + keepWeeps, Lead: leadRule, Source: sourceSilica + "; " + noSource},
	}
}

// coatedFixings are the surfaces whose skin keeps the water out, and the one that nobody has looked at.
func coatedFixings() []Fixing {
	return []Fixing{
		{Surface: SurfaceStucco, PreDrill: true, Bit: "carbide bit of the screw's shank size through the stucco, without hammer action, then on into wood as for wood",
			Fastener:   "corrosion-resistant wood screw long enough for the stucco and 1 1/4 in of stud",
			IntoWall:   "through the stucco into studs; the coat alone holds nothing",
			UpIntoWood: upIntoFraming, Protection: eyesAndDust, Silica: silicaDrill,
			Sealing: "fill each hole with sealant before the screw; keep the weep screed open", Lead: leadRule, Source: sourceSilica + "; " + noSource},
		{Surface: SurfaceEIFS, PreDrill: false, UpIntoWood: upIntoFraming + "; the only choice here", Protection: "eye protection",
			Sealing: "no hole in the skin: sealant joint with backer rod between channel and wall; drainage openings stay open",
			Lead:    leadRule, Source: noSource},
		{Surface: SurfaceUnknown, Sealing: "not known: look at the wall and say what it is faced with before anything is drilled", Source: noSource},
	}
}

// fixingOf finds a surface's entry; the entry of SurfaceUnknown for a surface that is not in the table.
func fixingOf(s Surface) Fixing {
	table := surfaceFixings()
	if i := slices.IndexFunc(table, func(f Fixing) bool { return f.Surface == s }); i >= 0 {
		return table[i]
	}
	return table[len(table)-1]
}

// fixings lists how the channel is fastened to each wall surface that the planned runs meet, once a surface, in the table's
// order. Where asbestos is suspected in a surface anywhere on the deck, that surface is not drilled: framing is the only choice.
func fixings(in Input, p *Plan) []Fixing {
	met := metSurfaces(in, p)
	list := []Fixing{}
	for _, f := range surfaceFixings() {
		if !slices.Contains(met, f.Surface) {
			continue
		}
		if !in.Before1978 {
			f.Lead = ""
		}
		if suspected(in, f.Surface) {
			f = notDrilled(f)
		}
		list = append(list, f)
	}
	return list
}

// notDrilled is the fixing of a surface suspected of asbestos.
func notDrilled(f Fixing) Fixing {
	f.PreDrill, f.Bit, f.Fastener, f.IntoWall, f.Silica = false, "", "", "", ""
	f.UpIntoWood = upIntoFraming + "; the only choice until the siding is tested"
	f.Protection = "do not drill, saw, break or sand the siding; have it tested first"
	f.Source = "29 CFR 1926.1101; " + noSource
	return f
}

// suspected tells whether a wall of that surface may hold asbestos.
func suspected(in Input, s Surface) bool {
	return slices.ContainsFunc(in.Edges, func(e Edge) bool { return e.Asbestos && e.Surface == s })
}

// metSurfaces are the surfaces that the planned channel meets; without any channel, those of the walls.
func metSurfaces(in Input, p *Plan) []Surface {
	var met []Surface
	add := func(s Surface) {
		if s != "" && !slices.Contains(met, s) {
			met = append(met, s)
		}
	}
	for _, z := range p.Zones {
		for _, r := range z.Channel {
			add(r.Surface)
		}
	}
	if len(met) > 0 {
		return met
	}
	for _, e := range in.Edges {
		add(e.Surface)
	}
	return met
}
