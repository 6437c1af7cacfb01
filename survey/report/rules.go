package report

// ruleText says in plain words what a rule of the calculator found: Head is a sentence complete by itself, Do one sentence of what
// to do about it. The figures of the case stand in the issue's own text, between the two.
type ruleText struct{ Head, Do string }

// textOf is the plain text of an issue's rule. A rule without one gives the zero ruleText and false; the issue's own text then
// stands alone.
func textOf(rule string) (ruleText, bool) {
	text, ok := blockingTexts()[rule]
	if !ok {
		text, ok = warningTexts()[rule]
	}
	return text, ok
}

// blockingTexts are the rules that stop the job: with one of them the ceiling cannot be built as drawn.
func blockingTexts() map[string]ruleText {
	return map[string]ruleText{
		"low-wall": {"Water would run against a wall.",
			"Turn the fall, or choose another low edge: a low edge needs open air and a gutter."},
		"carrier-blocked": {"A carrier runs into something that no notch clears.",
			"Raise the base, have the thing moved, or tape its position if it was only located on a photo."},
		"fixture-on-carrier": {"A carrier meets a fixture.",
			"Have a licensed trade move the fixture between two seams, or tape its position if it was only located on a photo."},
		"panel-blocked": {"Something hangs lower than the panels.",
			"Raise the base to clear it, if the headroom allows, or have it moved; no cut in a panel is planned for it."},
		"piece-too-long": {"A piece is longer than any stock length.",
			"Order a longer length or make the zone shorter: a seam across the fall leaks."},
		"exhaust-above": {"A vent or flue would end above the ceiling.",
			"Have a licensed trade lead it to the open air first: makers' clearances and carbon monoxide are at stake."},
		"surface-unknown": {"The surface of a wall is not known.",
			"Look at the wall and choose its surface: drilling, fastening and dust protection depend on it."},
	}
}

// warningTexts are the rules that want a look: the ceiling can be built once they are settled or checked on site.
func warningTexts() map[string]ruleText {
	texts := frameTexts()
	for rule, text := range layoutTexts() {
		texts[rule] = text
	}
	return texts
}

// frameTexts are the warnings about the deck's frame and the furring under it.
func frameTexts() map[string]ruleText {
	return map[string]ruleText{
		"plane-residual": {"The joists are out of plane.",
			"Take the level again there; if it holds, string a line and shim the strips at those joists."},
		"ponding": {"Water may stand where the joists dip.",
			"String a line down the fall and shim each strip to it, joist by joist."},
		"dropped-framing": {"The furring is thicker than a strip may be.",
			"Plan it as dropped framing, with its own price; ask a licensed professional how it is hung."},
		"furring-screw": {"The furring needs a longer screw than the list holds.",
			"Choose a thinner base, or plan the row as dropped framing with a licensed professional."},
		"no-strip": {"Carriers between joists have nothing to hold them.",
			"Raise the base to the thinnest ply, so that the row becomes a strip."},
		"row-blocked": {"A furring strip meets something that hangs there.",
			"Stop the strip on the joists at both sides of it, and add blocking where a carrier needs a hold."},
		"notch-on-row": {"A notch would cut a carrier where it is screwed to a row.",
			"Move the fastening off the notch, or add blocking beside it."},
		"row-unsupported": {"A furring row has a stretch with no joist to hold it.",
			"Add blocking between the joists before the strip goes up; ask a licensed professional where framing is missing."},
		"obstruction-outside": {"Something is pinned outside the ceiling.",
			"Look at its position: a tape reading or a reference may be wrong."},
		"headroom": {"The finished ceiling is low.",
			"Tell the client before the work is ordered; heights for ceilings are a matter of local code."},
		"gutter-headroom": {"The gutter hangs low.",
			"Tell the client, or choose another place for the gutter; heights are a matter of local code."},
		"opening-covered": {"The channel would cover a door or window head.",
			"Lower the base, or turn the fall away from the wall; a door must still open."},
	}
}

// layoutTexts are the warnings about zones, panels, carriers, water, movement and loads.
func layoutTexts() map[string]ruleText {
	return map[string]ruleText{
		"zone-short": {"A zone is too short for panels.",
			"Leave it open, or pass the ceiling under the beam beside it."},
		"zone-narrow": {"A zone is too narrow for panels.",
			"Leave it open, or close it with trim; no panels are planned there."},
		"end-rule-relaxed": {"An end panel is outside the usual widths.",
			"Check the width of the end panels before cutting; another cover may suit the deck better."},
		"carrier-may-be-blocked": {"A carrier may run into something, its position is not sure.",
			"Tape its position, or have it moved."},
		"long-notch": {"A notch is long.",
			"Ask the maker of the carrier how much may be cut, and support it at both ends of the notch."},
		"sliver": {"A carrier runs close beside a side edge.",
			"Look at the detail on site: there is little room for the channel beside it."},
		"engagement": {"At the coldest the panels are barely held in the channel.",
			"Use a channel with a deeper pocket, or a shorter run."},
		"water-depth": {"In heavy rain the water stands high in the panels.",
			"Ask for more fall, or lead roof water elsewhere."},
		"screw-overload": {"A screw carries more than it holds.",
			"Use more or larger screws, or rows closer together; structure is for a licensed professional."},
		"gutter-capacity": {"No gutter of the profile carries the water in one run.",
			"Divide the run, each part with its own outlet, or add a larger gutter to the profile."},
		"gutter-overhang": {"Panel ends reach too little over the gutter.",
			"Set the gutter nearer, or make the panels longer: they must overhang it by 1 inch or more."},
	}
}
