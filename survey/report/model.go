// Package report turns a survey and its computed ceiling into what people read: one typed Model holds everything a report says, every
// figure with where it came from, and the readers (crew, homeowner, office; page, file, paper) are printed from it. Nothing in a
// Model is invented: what nobody said is missing, what a default says is marked as assumed, what is uncertain carries its ±.
package report

import (
	"strings"
	"time"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// Model is everything a report says. Parts that need a computed ceiling are empty while Plan is nil; Missing and Refusal then say why.
type Model struct {
	Site    Site
	At      time.Time // when the report was made
	System  string    // name of the profile, empty when nothing was computed
	Plan    *calc.Plan
	Missing []Finding // what nothing can be computed without
	Refusal string    // why the calculator refused, empty when it did not

	Issues   []Finding // about the deck, blocking first, then what the survey itself doubts
	Cautions []Finding // safety and care
	Lead     string    // what is true of every caution, empty for nothing
	Photos   []PhotoSheet
	Planes   []photoPlane // the photos' geometry
	Drawings Drawings
	Figures  []Figure
	Beams    []BeamLine
	Furring  Furring
	Panels   Panels
	Notches  Notches
	CutOuts  CutOuts
	Cutting  Cutting
	Takeoff  Takeoff
	Water    Water
	Checks   Checks
	Fixings  []calc.Fixing
	Notes    []noteGroup
	Facts    []factLine
	Assumed  []factLine // facts that nobody said
	Profile  []factLine // the profile's own figures
	Verify   []verifyLine
	Methods  []Method
	Places   []placeLine
	Edges    []edgeLine

	Cover           cover  // what will be covered
	Confirmed       bool   // the supplier has confirmed the profile's figures
	Ready, Although string // who marked the survey ready for the crew, empty when nobody did; and why, although something was a stop

	from origin
}

// origin is what a model was built from, to build it again in another language and to draw from.
type origin struct {
	record  survey.Record
	ceiling survey.Ceiling
	links   Links
}

// Site is the cover: whose house, where, how one gets in and who was there. Texts are as typed.
type Site struct {
	Title    string
	Address  string
	Client   string
	Contact  string
	Surveyor string
	Visited  string // "31 May 2026", empty when no date was given
	Access   string
	Notes    string // internal: never for the homeowner
	Size     string // "28′ 4″ × 14′ 0″", empty when not known
}

// Figure is one key figure. Key names it for the page that marks what a change moved.
type Figure struct {
	Key     string
	Label   string
	Value   string
	Sources []Source
}

// Drawings are the plan, the section and what the photos see, for a wide page and for a phone; nil where nothing was computed.
type Drawings struct{ Plan, PlanPhone, Section, SectionPhone, Sights, SightsPhone *Drawn }

// Build makes the model of a survey and its ceiling. l says where pins and fields are found from the page that is made, at is when it
// is made.
func Build(r survey.Record, c survey.Ceiling, l Links, at time.Time) Model {
	named := thingsOf(r, c.Assembly, l)
	m := Model{Site: l.siteOf(r, c), At: at, Plan: c.Plan, Refusal: named.words(c.Refusal), Methods: l.methods(), from: origin{r, c, l}}
	m.Drawings.Sights, m.Drawings.SightsPhone = sightsOf(r, c.Assembly, desk), sightsOf(r, c.Assembly, phone)
	m.Missing = surveyFindings(r, c.Assembly, l, survey.SeverityMissing)
	m.Facts = factsOf(c.Assembly, named, l)
	m.Assumed = assumedOf(m.Facts)
	if c.Plan != nil {
		m.addPlan(*c.Plan, c, named, l)
		m.Drawings.addPlan(r, c, named)
	}
	covered, stops := coverOf(r, c, l)
	m.Cover, m.Issues = covered, append(stops, m.Issues...)
	m.Ready, m.Although = l.readyText(r)
	m.Confirmed = c.Facts.Get("profile.confirmed").Value.Choice == "yes"
	m.Issues = append(m.Issues, surveyFindings(r, c.Assembly, l, survey.SeverityCheck)...)
	m.Verify = verifyOf(r, c, m, named, l)
	m.Photos, m.Planes = l.photosOf(r, c, m.Notches), planesOf(r, c.Assembly, l)
	m.Places, m.Edges = placesOf(r, c.Assembly, l), edgesOf(r, c.Assembly, l)
	return m
}

// Stops is how many issues stop the job.
func (m Model) Stops() int {
	n := 0
	for _, f := range m.Issues {
		if f.Weight == WeightStop {
			n++
		}
	}
	return n
}

// Counts says how much there is to stop for and to check, in words.
func (m Model) Counts() string {
	v := m.from.links.voice
	stops := m.Stops()
	checks := len(m.Issues) - stops
	var parts []string
	if stops > 0 {
		parts = append(parts, v.say("%d to stop for", stops))
	}
	if checks > 0 {
		parts = append(parts, v.say("%d to check", checks))
	}
	if len(parts) == 0 {
		return v.in("none")
	}
	return strings.Join(parts, ", ")
}

// Made is the day on which the report was made.
func (m Model) Made() string { return m.from.links.date(m.At) }

// addPlan fills in what a computed ceiling says.
func (m *Model) addPlan(p calc.Plan, c survey.Ceiling, named things, l Links) {
	m.System = p.System.Name
	profile := l.profile(m.System)
	levels := l.pinsSource(c.Levels)
	heights := l.pinsSource(append(c.Levels[:len(c.Levels):len(c.Levels)], c.Clearances...))
	m.Issues = l.issuesOf(p, named)
	m.Cautions, m.Lead = l.cautionsOf(p, named)
	m.Beams = beamsOf(p, c.Input, named)
	m.Furring = l.furringOf(p, concat(l.computed(ruleFurring), fallSource(c, l, profile), levels))
	m.Panels = l.panelsOf(p, concat(l.computed(rulePanels), l.sources(c.Sources["width"], c.Sources["projection"]), []Source{profile}))
	m.Notches = notchesOf(p, named, concat(l.computed(ruleNotches), obstructionSources(c, l)))
	m.CutOuts = l.cutOutsOf(p, c.Input, named)
	m.Cutting = l.cuttingOf(p, concat(l.computed(ruleCutting), []Source{profile}))
	m.Takeoff = l.takeoffOf(p, concat(l.computed(ruleTakeoff), []Source{profile}))
	m.Water = waterOf(p, c.Input, concat(l.sources(c.Sources["rain.inches_per_hour"], c.Sources["rain.roof_ft2"]), l.computed(ruleWater)))
	m.Checks = l.checksOf(p, c.Input, concat(l.computed(ruleScrews, ruleMovement, ruleHeadroom), l.sources(c.Sources["temperature.install"], c.Sources["temperature.min"]), heights))
	m.Fixings, m.Notes = p.Fixings, l.notesOf(p, c.Input, named)
	m.Profile = l.profileFacts(p.System, profile)
	m.Figures = l.figuresOf(*m, p)
}

// computed are several rules as sources.
func (v voice) computed(rules ...int) []Source {
	list := make([]Source, 0, len(rules))
	for _, r := range rules {
		list = append(list, v.computedBy(r))
	}
	return list
}

func concat(lists ...[]Source) []Source {
	var all []Source
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}

// fallSource is where the fall came from: typed, or the profile's own.
func fallSource(c survey.Ceiling, l Links, profile Source) []Source {
	if s, ok := c.Sources["fall.per_foot"]; ok {
		return l.sources(s)
	}
	return []Source{profile}
}

// obstructionSources gathers the pins of everything that hangs.
func obstructionSources(c survey.Ceiling, l Links) []Source {
	var list []survey.Source
	for _, o := range c.Input.Obstructions {
		if s, ok := c.Sources[o.ID]; ok {
			list = append(list, s)
		}
	}
	return l.pinsSource(list)
}

func (v voice) siteOf(r survey.Record, c survey.Ceiling) Site {
	s := Site{Title: r.Survey.Title, Address: r.Survey.Address, Client: r.Survey.Client, Contact: r.Survey.Contact,
		Surveyor: r.Survey.Surveyor, Access: r.Survey.Access, Notes: r.Survey.Notes}
	if t, err := time.Parse(time.DateOnly, r.Survey.VisitDate); err == nil {
		s.Visited = v.date(t)
	}
	w, p := c.Facts.Get("width"), c.Facts.Get("projection")
	if w.Known() && p.Known() {
		s.Size = w.Value.Inches().Typeset() + " × " + p.Value.Inches().Typeset()
	}
	return s
}

// figuresOf are the six figures that a change of the ceiling moves.
func (v voice) figuresOf(m Model, p calc.Plan) []Figure {
	area, pieces, carriers, rows := 0.0, 0, 0, 0
	for _, z := range p.Zones {
		area += z.AreaFt2
		pieces += len(z.Panels.Pieces)
		carriers += len(z.Carriers)
		rows += len(z.Furring)
	}
	thickest := length.Inches(0)
	for _, r := range m.Furring.Rows {
		thickest = max(thickest, r.Build)
	}
	low := v.in("not measured")
	if lowest, known := m.Checks.lowest(); known {
		low = lowest.Typeset()
	}
	return []Figure{
		{"area", v.in("Area"), decimal(area, 1) + "\u00a0ft²", v.computed(ruleZones)},
		{"panels", v.in("Panels"), itoa(pieces), v.computed(rulePanels)},
		{"carriers", v.in("Carriers"), itoa(carriers), v.computed(rulePanels)},
		{"furring", v.in("Furring"), v.say("%s, to %s", v.count(rows, "row", "rows"), thickest.Typeset()), v.computed(ruleFurring)},
		{"notches", v.in("Notches"), v.say("%d cut, %d check", m.Notches.Expected, m.Notches.Check), v.computed(ruleNotches)},
		{"lowest", v.in("Lowest ceiling"), low, v.computed(ruleHeadroom)},
	}
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1\u00a0" + one
	}
	return itoa(n) + "\u00a0" + many
}
