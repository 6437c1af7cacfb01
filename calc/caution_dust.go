package calc

import (
	"undercroft/calc/words"
)

func dustRules() []careRule {
	return []careRule{
		{"pre-drill-wall", sourceAnchor + "; " + sourceLeadNDS + "; " + noSource, (*site).preDrill},
		{"silica-drilling", sourceSilica + " (vii); limits 1926.1153(d)(1), (b); cleaning 1926.1153(f) (from memory)", func(s *site) (words.Phrase, words.Phrase) {
			return s.wall(SurfaceFiberCement, SurfaceBrick, SurfaceBlock, SurfaceConcrete, SurfaceStone, SurfaceStucco),
				words.Say("Drilling this wall frees silica dust. Use a drill with a shroud and dust collection, and a HEPA vacuum to clean holes; then the table asks for no respirator. The limit is 50 " +
					"micrograms per cubic meter over 8 hours, the action level 25. No dry sweeping, no compressed air.")
		}},
		{"silica-sawing", sourceSilica + " (iii)", func(s *site) (words.Phrase, words.Phrase) {
			return s.wall(SurfaceFiberCement),
				words.Say("Cut fiber-cement outdoors only, with a blade of 8 in or less and dust collection at the tool maker's airflow and a filter of 99 % or better. A larger blade or an enclosed place " +
					"falls under another row, with water or a respirator.")
		}},
		{"silica-masonry-cutting", sourceSilica + " (ii), (xii)", func(s *site) (words.Phrase, words.Phrase) {
			return s.wall(SurfaceBrick, SurfaceBlock, SurfaceConcrete, SurfaceStone, SurfaceStucco),
				words.Say("Sawing or grinding this wall needs water at the blade, or a shroud and a vacuum for a grinder. With a handheld saw and water outdoors the table asks for no respirator up to 4 hours a shift, " +
					"an assigned protection factor of 10 beyond; in an enclosed place from the start.")
		}},
		{"lead", sourceLead, func(s *site) (words.Phrase, words.Phrase) {
			if !s.in.Before1978 {
				return words.Phrase{}, words.Phrase{}
			}
			return words.Say("a house built before 1978"), words.Say("Treat old paint as lead until it is tested. The renovation rule applies when more than 20 ft2 of paint outdoors is disturbed in the whole job (6 ft2 a room " +
				"indoors), and always when a prohibited practice is used. Then the firm is certified, a certified renovator leads, and dust is kept in. Never burn, dry sand or dry scrape it.")
		}},
		{"asbestos", "29 CFR 1926.1101 (its presumption covers insulation and surfacing before 1981, not siding); material over 1 % is asbestos-containing, 40 CFR 61 subpart M", (*site).asbestos},
		{"treated-wood", "IRC R317.3 for fasteners (from memory); " + noSource, func(s *site) (words.Phrase, words.Phrase) {
			if s.sys.FurringMaterial != "treated" {
				return words.Phrase{}, words.Phrase{}
			}
			return words.Say("furring of treated wood"), words.Say("Treated wood eats plain steel screws. Use screws coated for it, hot-dip or stainless; wear a dust mask and gloves while ripping it, and burn none of it.")
		}},
		{"weep-holes", noSource, func(s *site) (words.Phrase, words.Phrase) {
			return s.wall(SurfaceBrick, SurfaceBlock, SurfaceConcrete, SurfaceStone, SurfaceStucco),
				words.Say("Weep holes and through-wall flashing stay open. Mark them before the channel goes up; no bead, screw or channel over one.")
		}},
		{"no-hole", noSource, func(s *site) (words.Phrase, words.Phrase) {
			return s.wall(SurfaceEIFS), words.Say("Put no hole in this skin. Water that gets behind an insulation finish stays there: fasten up into framing and seal the joint.")
		}},
		{"surface-unknown", sourceAsked, func(s *site) (words.Phrase, words.Phrase) {
			if !s.meets(SurfaceUnknown) {
				return words.Phrase{}, words.Phrase{}
			}
			return words.Say("a wall of unknown surface"), words.Say("Nobody has said what this wall is faced with. Drill nothing until it is known: bit, fastener, dust and what may be in it all depend on it.")
		}},
	}
}

// preDrill names the bit of each wall surface that is drilled first.
func (s *site) preDrill() (trigger, text words.Phrase) {
	var names, bits []words.Phrase
	for _, f := range fixings(s.in, s.plan) {
		if f.PreDrill {
			surface := words.Say(string(f.Surface))
			names, bits = append(names, surface), append(bits, words.Join(": ", surface, words.Say(f.Bit)))
		}
	}
	if len(names) == 0 {
		return words.Phrase{}, words.Phrase{}
	}
	return words.Say("a wall of %s", words.Join(", ", names...)), words.Say("Drill this wall before a screw is driven. %s. Eye protection on, dust collected, and nothing drilled that hides a pipe or cable.", words.Join(". ", bits...))
}

// asbestos applies where siding is suspected, and where a house before 1978 has a facing that may hold or cover it.
func (s *site) asbestos() (trigger, text words.Phrase) {
	text = words.Say("Siding of this age may hold asbestos: test it before anything is drilled, sawn or broken. Nothing about siding is presumed either way; a laboratory tells. Until then fasten up into framing " +
		"and leave the siding alone.")
	for _, e := range s.in.Edges {
		if e.Asbestos {
			return words.Say("siding suspected of asbestos (%s)", words.Say(string(e.Surface))), text
		}
	}
	if old := []Surface{SurfaceFiberCement, SurfaceStucco, SurfaceVinyl, SurfaceMetal}; s.in.Before1978 && s.meets(old...) {
		return words.Say("a house built before 1978 with %s, which may be old cement board or cover it", s.met(old...)), text
	}
	return words.Phrase{}, words.Phrase{}
}
