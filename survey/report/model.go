// Package report turns a survey and its computed ceiling into what people read: one typed Model holds everything a report says, every
// figure with where it came from, and the readers (crew, homeowner, office; page, file, paper) are printed from it. Nothing in a
// Model is invented: what nobody said is missing, what a default says is marked as assumed, what is uncertain carries its ±.
package report

import (
	"fmt"
	"time"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// Model is everything a report says. Parts that need a computed ceiling are empty while Plan is nil; Missing and Refusal then say why.
type Model struct {
	Site    Site
	At      time.Time // when the report was made
	System  string    // name of the profile, empty when not computed
	Input   calc.Input
	Plan    *calc.Plan
	Missing []Finding // what nothing can be computed without
	Refusal string    // why the calculator refused, empty when it did not

	Issues   []Finding // about the deck, blocking first, then what the survey itself doubts
	Cautions []Finding // safety and care
	Photos   []PhotoSheet
	Figures  []Figure
	Beams    []BeamRow
	Furring  Furring
	Panels   []PanelColumn
	Notches  NotchTable
	CutOuts  []CutOutRow
	Cutting  []Material
	Takeoff  []TakeoffRow
	Rain     Rain
	Water    []WaterColumn
	Climate  Climate
	Checks   []CheckColumn
	Access   Access
	Fixings  []calc.Fixing
	Notes    []calc.NoteGroup
	Facts    []FactRow
	Assumed  []FactRow
	Verify   []VerifyRow
	Methods  []Method
}

// Site is the cover: whose house, where, how one gets in and who was there.
type Site struct {
	ID       survey.SurveyID
	Title    string
	Address  string
	Client   string
	Contact  string
	Surveyor string
	Visited  string // "May 31, 2026", empty when no date was given
	Access   string
	Notes    string // internal
	Size     string // "28′ 4″ × 14′ 0″", empty when not known
}

// Figure is one key figure. Key names it for the page that marks what a change moved.
type Figure struct {
	Key     string
	Label   string
	Value   string
	Sources []Source
}

// Rain is the storm as it was used.
type Rain struct {
	Intensity string
	Roof      string // ft² that drain onto the deck, empty for none
	Sources   []Source
}

// Climate is the temperatures as they were used, in °F.
type Climate struct {
	Install, Min, Max string
	Sources           []Source
}

// Access is how high people work; HasPlatform is false when nothing was measured.
type Access struct {
	Platform    length.Inches
	HasPlatform bool
}

// Build makes the model of a survey and its ceiling. at is when the report is made.
func Build(r survey.Record, c survey.Ceiling, at time.Time) Model {
	things := thingsOf(r, c.Assembly)
	m := Model{Site: siteOf(r, c), At: at, Input: c.Input, Plan: c.Plan, Refusal: c.Refusal, Methods: Methods()}
	m.Missing = surveyFindings(r, c.Assembly, survey.SeverityMissing)
	m.Issues = surveyFindings(r, c.Assembly, survey.SeverityCheck)
	m.Verify = verifyOf(r, c, things)
	m.Facts = append(factsOf(c.Assembly), pinnedFacts(c.Assembly, things)...)
	if c.Plan != nil {
		m.addPlan(*c.Plan, c, things)
	}
	m.Assumed = assumedOf(m)
	m.Photos = photosOf(r, c, m.Notches)
	return m
}

// addPlan fills in what a computed ceiling says.
func (m *Model) addPlan(p calc.Plan, c survey.Ceiling, things Things) {
	m.System = p.System.Name
	m.Issues = append(issuesOf(p, things), m.Issues...)
	m.Cautions = cautionsOf(p)
	m.Beams = beamsOf(p, c.Input, things)
	m.Furring = furringOf(p)
	m.Panels = panelsOf(p)
	m.Notches = notchesOf(p, things)
	m.CutOuts = cutOutsOf(p, c.Input, things)
	m.Cutting = cuttingOf(p)
	m.Takeoff = takeoffOf(p)
	m.Rain = rainOf(c)
	m.Water = waterOf(p)
	m.Climate = climateOf(c)
	m.Checks = checksOf(p)
	m.Fixings, m.Notes = p.Fixings, p.Notes
	if p.Access.Platform != nil {
		m.Access = Access{length.Inches(*p.Access.Platform), true}
	}
	m.Figures = figuresOf(*m, p)
}

func siteOf(r survey.Record, c survey.Ceiling) Site {
	s := Site{ID: r.Survey.ID, Title: r.Survey.Title, Address: r.Survey.Address, Client: r.Survey.Client, Contact: r.Survey.Contact,
		Surveyor: r.Survey.Surveyor, Access: r.Survey.Access, Notes: r.Survey.Notes}
	if t, err := time.Parse(time.DateOnly, r.Survey.VisitDate); err == nil {
		s.Visited = t.Format("January 2, 2006")
	}
	w, p := c.Facts.Get("width"), c.Facts.Get("projection")
	if w.Known() && p.Known() {
		s.Size = w.Value.Inches().Typeset() + " × " + p.Value.Inches().Typeset()
	}
	return s
}

// figuresOf are the six figures that a change of the ceiling moves.
func figuresOf(m Model, p calc.Plan) []Figure {
	area, panels, carriers, rows := 0.0, 0, 0, 0
	thickest := length.Inches(0)
	for _, z := range p.Zones {
		area += z.AreaFt2
		panels += len(z.Panels.Pieces)
		carriers += len(z.Carriers)
		rows += len(z.Furring)
	}
	for _, r := range m.Furring.Rows {
		thickest = max(thickest, r.Build)
	}
	lowest, known := lowestCeiling(m.Checks)
	low := "not measured"
	if known {
		low = lowest.Typeset()
	}
	return []Figure{
		{"area", "Area", decimal(area, 1) + "\u00a0ft²", []Source{computedBy(ruleZones)}},
		{"panels", "Panels", itoa(panels), []Source{computedBy(rulePanels)}},
		{"carriers", "Carriers", itoa(carriers), []Source{computedBy(rulePanels)}},
		{"furring", "Furring", fmt.Sprintf("%s, to %s", plural(rows, "row", "rows"), thickest.Typeset()), []Source{computedBy(ruleFurring)}},
		{"notches", "Notches", fmt.Sprintf("%d cut, %d check", m.Notches.Expected, m.Notches.Check), []Source{computedBy(ruleNotches)}},
		{"lowest", "Lowest ceiling", low, []Source{computedBy(ruleHeadroom)}},
	}
}

func lowestCeiling(checks []CheckColumn) (lowest length.Inches, known bool) {
	for _, c := range checks {
		if c.HasLowest && (!known || c.Lowest < lowest) {
			lowest, known = c.Lowest, true
		}
	}
	return lowest, known
}

func rainOf(c survey.Ceiling) Rain {
	rain := Rain{Intensity: trimmed(c.Input.Rain.InchesPerHour), Sources: []Source{sourceOf(c.Sources["rain.inches_per_hour"])}}
	if c.Input.Rain.RoofFt2 > 0 {
		rain.Roof = trimmed(c.Input.Rain.RoofFt2)
		rain.Sources = append(rain.Sources, sourceOf(c.Sources["rain.roof_ft2"]))
	}
	return rain
}

func climateOf(c survey.Ceiling) Climate {
	t := c.Input.Temperature
	sources := []survey.Source{c.Sources["temperature.install"], c.Sources["temperature.min"], c.Sources["temperature.max"]}
	for i := range sources {
		if sources[i].Kind == survey.SourceAssumed {
			sources[i].Field = "temperature.install" // one line for all that are assumed
		}
	}
	return Climate{trimmed(t.Install), trimmed(t.Min), trimmed(t.Max), sourcesOf(sources)}
}

// assumedOf are the facts that nobody said; the profile's own figures stand in a table of their own.
func assumedOf(m Model) []FactRow {
	var rows []FactRow
	for _, f := range m.Facts {
		if f.State == survey.FactAssumed {
			rows = append(rows, f)
		}
	}
	return rows
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1\u00a0" + one
	}
	return itoa(n) + "\u00a0" + many
}
