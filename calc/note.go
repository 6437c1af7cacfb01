package calc

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"undercroft/calc/length"
	"undercroft/calc/words"
)

// Languages of the crew notes.
const (
	langEnglish = "en"
	langSpanish = "es"
)

// catalogue holds texts by key, with places for figures in braces: {row}.
type catalogue map[string]string

// noteText replaces one text of the crew notes. Lang is "en" (also when empty) or "es"; Text may use the places of the text it
// replaces.
type noteText struct {
	Key  string `json:"key"`
	Lang string `json:"lang"`
	Text string `json:"text"`
}

// Limits of a profile's own notes.
const (
	maxNoteTexts = 500
	maxNoteBytes = 1000
)

// checkNoteTexts refuses texts for keys or languages that there are none of, and places that the text replaced does not have.
func checkNoteTexts(texts []noteText) error {
	if len(texts) > maxNoteTexts {
		return faultf("system.notes", "%d texts are more than %d", len(texts), maxNoteTexts)
	}
	if len(texts) == 0 {
		return nil
	}
	known, braces := english(), regexp.MustCompile(`\{[^}]*\}`)
	for i, t := range texts {
		at := place("system.notes", i)
		was, ok := known[t.Key]
		if !ok {
			return faultf(at+".key", "there is no text %q", clip(t.Key))
		}
		if !slices.Contains([]string{"", langEnglish, langSpanish}, t.Lang) {
			return faultf(at+".lang", "%q must be en or es", clip(t.Lang))
		}
		if t.Text == "" || len(t.Text) > maxNoteBytes {
			return faultf(at+".text", "must have from 1 to %d bytes", maxNoteBytes)
		}
		for _, b := range braces.FindAllString(t.Text, -1) {
			if !strings.Contains(was, b) {
				return faultf(at+".text", "%s is no figure of this text", clip(b))
			}
		}
	}
	return nil
}

// with is the catalogue with the profile's own texts of one language in it.
func (c catalogue) with(texts []noteText, lang string) catalogue {
	for _, t := range texts {
		if t.Lang == lang || t.Lang == "" && lang == langEnglish {
			c[t.Key] = t.Text
		}
	}
	return c
}

// crewNotes are the crew's notes in English, grouped as a crew thinks, derived from the computed plan.
func crewNotes(in Input, sys System, p *Plan) []NoteGroup {
	return writeNotes(in, sys, p, words.English, english().with(sys.Notes, langEnglish))
}

// CrewNotes writes the crew's notes of a computed plan in a language: "es" is Spanish, anything else English. The groups and the
// figures are the same in both; lengths are in feet, inches and sixteenths. All notes are common practice, no source. The plan is
// only read.
func CrewNotes(in Input, p *Plan, lang string) []NoteGroup {
	if lang == langSpanish {
		return writeNotes(withDefaults(in), p.System, p, words.Spanish, spanish().with(p.System.Notes, langSpanish))
	}
	return writeNotes(withDefaults(in), p.System, p, words.English, english().with(p.System.Notes, langEnglish))
}

// noteWriter gathers the lines of one group after the other.
type noteWriter struct {
	*site
	lang  words.Lang
	texts catalogue
	frame frame
	lines []string
}

func writeNotes(in Input, sys System, p *Plan, lang words.Lang, texts catalogue) []NoteGroup {
	n := &noteWriter{site: &site{in, sys, p, metSurfaces(in, p)}, lang: lang, texts: texts, frame: newFrame(in.Fall.Direction, ringOf(in.Outline))}
	list := []NoteGroup{}
	for _, g := range []struct {
		key   string
		write func()
	}{
		{"layout", n.layout}, {"framing", n.framing}, {"channel", n.channel}, {"field", n.field}, {"temperature", n.temperature},
		{"water", n.water}, {"bring", n.bring}, {"later", n.later},
	} {
		n.lines = []string{}
		g.write()
		list = append(list, NoteGroup{n.text("group." + g.key), n.lines})
	}
	return list
}

// say adds a line: the text of a key with its places filled from pairs of name and value. Lengths are given as length.Inches.
func (n *noteWriter) say(key string, pairs ...any) { n.lines = append(n.lines, n.text(key, pairs...)) }

func (n *noteWriter) text(key string, pairs ...any) string {
	t := n.texts[key]
	for i := 0; i+1 < len(pairs); i += 2 {
		t = strings.ReplaceAll(t, "{"+pairs[i].(string)+"}", fmt.Sprint(pairs[i+1]))
	}
	return t
}

// built tells of zones that have panels.
func built(z *Zone) bool { return z.Panels.Count > 0 }

// zones calls a function for every zone that has panels; where there are several it names each first.
func (n *noteWriter) zones(write func(z *Zone)) {
	many := 0
	for i := range n.plan.Zones {
		if built(&n.plan.Zones[i]) {
			many++
		}
	}
	for i := range n.plan.Zones {
		z := &n.plan.Zones[i]
		if !built(z) {
			continue
		}
		before := len(n.lines)
		write(z)
		if many > 1 && len(n.lines) > before {
			head := n.text("zone", "zone", strings.TrimPrefix(z.ID, "z"))
			n.lines = append(n.lines[:before], append([]string{head}, n.lines[before:]...)...)
		}
	}
}

// told says a text of the profile in the language of the notes.
func (n *noteWriter) told(text string) string { return words.In(n.lang, text) }

func inches(v float64) length.Inches { return length.Inches(v) }

// pliesText puts the thicknesses of a strip together in words.
func pliesText(list []float64) string {
	var parts []string
	for _, p := range list {
		parts = append(parts, inches(p).String())
	}
	return strings.Join(parts, " + ")
}

// layout is what is marked before anything is fastened.
func (n *noteWriter) layout() {
	n.zones(func(z *Zone) {
		n.say("layout.high", "width", inches(z.X1-z.X0))
		for i, r := range z.Furring {
			n.say("layout.row", "row", i+1, "at", inches(r.Y-z.YHigh), "strip", n.strip(r))
		}
		for _, r := range z.Channel {
			n.mark(r)
		}
		if len(z.Seams) > 0 {
			n.say("layout.seam", "at", inches(z.Seams[0]-z.X0))
		}
		for i := everySeventh - 1; i < len(z.Seams); i += everySeventh {
			n.say("layout.check", "seam", i+1, "at", inches(z.Seams[i]-z.X0))
		}
	})
}

// everySeventh seam gets a check distance from the side wall.
const everySeventh = 7

// strip says what is written beside a row's line.
func (n *noteWriter) strip(r Row) string {
	switch {
	case r.Dropped:
		return n.text("strip.dropped", "build", inches(r.Build))
	case r.Fasten != "strip":
		return n.text("strip.joist")
	}
	key := "strip.rip"
	if len(r.Plies) > 0 {
		key = "strip.plies"
	}
	text := n.text(key, "build", inches(r.Build), "plies", pliesText(r.Plies))
	if d := r.Left - r.Right; d > 1.0/16 || d < -1.0/16 {
		text += n.text("strip.taper", "left", inches(r.Left), "right", inches(r.Right))
	}
	return text
}

// mark gives the finished height at both ends of a run of channel: drop of its underside below the joists, and height over the
// ground where that was measured.
func (n *noteWriter) mark(r Run) {
	p0, p1, t0, t1 := r.P0, r.P1, r.T0, r.T1
	key, from, to := "layout.mark", n.frame.in(vecOf(p0)).y, n.frame.in(vecOf(p1)).y
	if r.Edge == "high" {
		key, from, to = "layout.markHigh", n.frame.in(vecOf(p0)).x, n.frame.in(vecOf(p1)).x
	}
	if to < from-tol {
		p0, p1, t0, t1 = p1, p0, t1, t0
	}
	side := n.text("edge." + r.Edge)
	depth := float64(n.sys.CarrierDepth)
	n.say(key, "side", side, "drop0", inches(t0+depth), "drop1", inches(t1+depth))
	over := ground(n.in.Clearances)
	if !over.known {
		over, _ = underside(n.in.Heights)
	}
	if over.known {
		n.say("layout.height", "side", side, "height0", inches(over.at(vecOf(p0))-t0-depth), "height1", inches(over.at(vecOf(p1))-t1-depth))
	}
}

func vecOf(p Point) vec { return vec{float64(p.X), float64(p.Y)} }

// framing is what goes up under the joists.
func (n *noteWriter) framing() {
	n.say("framing.covered")
	n.zones(func(z *Zone) {
		if z.FurringScrews > 0 {
			n.say("framing.order")
			n.say("framing.screws", "long", inches(z.FurringScrew), "count", z.FurringScrews)
		}
		for i, r := range z.Furring {
			switch {
			case r.Dropped:
				n.say("framing.dropped", "row", i+1, "build", inches(r.Build))
			case r.Place == "last" && n.alongRows():
				n.say("framing.blocking", "row", i+1)
			}
		}
		for _, r := range z.Channel {
			if b := r.Backer; b != nil {
				n.say("framing.backer", "side", n.text("edge."+r.Edge), "length", inches(b.Length), "thick", inches(b.Thickest), "screws", b.Screws)
			}
		}
	})
	for _, i := range n.plan.Issues {
		if i.Rule == "row-unsupported" {
			n.say("framing.unsupported")
			break
		}
	}
	n.say("framing.ponding")
}

// alongRows tells whether the joists run along the furring rows.
func (n *noteWriter) alongRows() bool { return (n.in.Joists.Direction == "x") != n.frame.turned() }

// channel is how the channel is fastened, by wall surface.
func (n *noteWriter) channel() {
	screws := 0
	for _, z := range n.plan.Zones {
		screws += z.ChannelScrews
	}
	for _, s := range fixings(n.in, n.plan) {
		if suspected(n.in, s.Surface) {
			n.say("channel.asbestos", "surface", n.text("surface."+string(s.Surface)))
			continue
		}
		n.say("channel." + string(s.Surface))
	}
	if n.meets(SurfaceBrick, SurfaceBlock, SurfaceConcrete, SurfaceStone, SurfaceStucco) {
		n.say("channel.weep")
	}
	n.say("channel.spacing", "spacing", n.sys.ChannelScrewSpacing, "count", screws)
	n.say("channel.long", "penetration", n.sys.ChannelPenetration)
	n.say("channel.saw")
}
