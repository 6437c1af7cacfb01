package report

import (
	"strings"

	"undercroft/calc/length"
	"undercroft/survey"
)

// kindComputed is the kind of a figure that a rule worked out of others; the other kinds are survey's.
const kindComputed survey.SourceKind = "computed"

// Source is where a figure came from, ready to print: Words, and Href where it leads, empty for nowhere. PinNumber and Rule say what
// that is: a pin of the survey or a rule of the calculation, 0 for neither.
type Source struct {
	Kind      survey.SourceKind
	Words     string
	Href      string
	PinNumber int
	Rule      int
}

// Links says where pins and typed fields are found from where the report is read, in the language of the report. The zero Links leads nowhere.
type Links struct {
	Pin   func(number int, pin survey.PinID, photo survey.PhotoID) string
	Field func(key string) string

	voice
}

// WithinReport leads from a report to the pins that it lists itself.
func WithinReport() Links {
	return Links{Pin: func(number int, _ survey.PinID, _ survey.PhotoID) string { return "#pin-" + itoa(number) }}
}

func (l Links) pin(number int, pin survey.PinID, photo survey.PhotoID) string {
	if l.Pin == nil || pin == "" {
		return ""
	}
	return l.Pin(number, pin, photo)
}

func (l Links) field(key string) string {
	if l.Field == nil || key == "" {
		return ""
	}
	return l.Field(key)
}

// computedBy is the source of figures that a rule of the calculation worked out.
func (v voice) computedBy(rule int) Source {
	return Source{Kind: kindComputed, Words: v.say("computed · rule %d", rule), Rule: rule, Href: "#rule-" + itoa(rule)}
}

// sourceKind says a kind of source.
func (v voice) sourceKind(k survey.SourceKind) string {
	switch k {
	case survey.SourceTaped:
		return v.in("taped")
	case survey.SourceTyped:
		return v.in("typed")
	case survey.SourceLocated:
		return v.in("located")
	case survey.SourceAssumed:
		return v.in("assumed")
	case survey.SourceVerified:
		return v.in("verified on site")
	}
	return string(k)
}

// profile is the source of the system profile's own figures: examples until the supplier's replace them.
func (l Links) profile(name string) Source {
	return Source{Kind: survey.SourceAssumed, Words: l.say("assumed · profile %s", name), Href: l.field("system")}
}

// source prints a survey's source: the pin with its photo, or the form it was typed in.
func (l Links) source(s survey.Source) Source { return l.uncertain(s, 0) }

// uncertain prints a source with the ± of 95 % of the value; 0 is none.
func (l Links) uncertain(s survey.Source, pm length.Inches) Source {
	out := Source{Kind: s.Kind, PinNumber: s.PinNumber}
	words := l.sourceKind(s.Kind)
	if s.Kind == survey.SourceVerified {
		words = l.say("verified by %s, %s", s.By, l.date(s.At))
	}
	if pm > 0 {
		words += " ±\u00a0" + pm.Up16().Typeset()
	}
	switch {
	case s.PinNumber > 0:
		out.Words = l.say("%s · pin\u00a0%d, photo\u00a0%d", words, s.PinNumber, s.PhotoNumber)
		out.Href = l.pin(s.PinNumber, s.Pin, s.Photo)
	case s.Kind == survey.SourceAssumed:
		out.Words, out.Href = l.say("%s · nobody said otherwise", words), l.field(s.Field)
	default:
		out.Words, out.Href = l.say("%s · Site and deck", words), l.field(s.Field)
	}
	return out
}

// sources prints several sources, the same words once.
func (l Links) sources(list ...survey.Source) []Source {
	seen := map[string]bool{}
	var out []Source
	for _, s := range list {
		if s.Kind == "" {
			continue
		}
		if printed := l.source(s); !seen[printed.Words] {
			seen[printed.Words] = true
			out = append(out, printed)
		}
	}
	return out
}

// pinsSource gathers several pins into one source, "taped · pins 54, 55 and 3 more"; nil when there are none.
func (l Links) pinsSource(list []survey.Source) []Source {
	pins := l.sources(list...)
	if len(pins) < 2 {
		return pins
	}
	numbers := make([]string, 0, 2)
	for _, p := range pins[:2] {
		numbers = append(numbers, itoa(p.PinNumber))
	}
	words := l.say("%s · pins\u00a0%s", l.sourceKind(pins[0].Kind), strings.Join(numbers, ", "))
	if len(pins) > 2 {
		words = l.say("%s and %d\u00a0more", words, len(pins)-2)
	}
	return []Source{{Kind: pins[0].Kind, Words: words, Href: pins[0].Href, PinNumber: pins[0].PinNumber}}
}

// Thing is what an id of the calculator's input stands for: what a person calls it, and the pin that it came from.
type Thing struct {
	ID     string
	Label  string        // "Hanger 7.3", "Light 24"
	Source Source        // the zero Source for an id that no pin gave
	PM     length.Inches // ± of 95 % of its position, 0 where it is exact or has none
}

// things names what the calculator's ids stand for.
type things map[string]Thing

// find names an id; one that is not known is called by itself.
func (t things) find(id string) Thing {
	if thing, ok := t[id]; ok {
		return thing
	}
	return Thing{ID: id, Label: strings.ReplaceAll(id, "-", " ")}
}

// deviations95 is how many standard deviations a ± of 95 % is, from the normal distribution.
const deviations95 = 1.96

// thingsOf names every obstruction, beam and opening of the input by its pin's kind and number. In a row the n-th carries .n.
func thingsOf(r survey.Record, a survey.Assembly, l Links) things {
	named := things{}
	add := func(id string, pm length.Inches) {
		if number, ok := survey.PinNumber(id); ok {
			named[id] = Thing{ID: id, Label: l.thingLabel(r, number) + "\u00a0" + strings.TrimPrefix(id, "p"), Source: l.uncertain(a.Sources[id], pm), PM: pm}
		}
	}
	for _, o := range a.Input.Obstructions {
		add(o.ID, length.Inches(float64(max(o.SX, o.SY))*deviations95))
	}
	for _, b := range a.Input.Beams {
		add(b.ID, 0)
	}
	for _, o := range a.Input.Openings {
		add(o.ID, 0)
	}
	return named
}

// thingLabel is what a pin's thing is called: its sort where the pin says one, else its kind.
func (v voice) thingLabel(r survey.Record, number int) string {
	for _, p := range r.Pins {
		if p.Number != number {
			continue
		}
		if sort, ok := p.Value(survey.PinFields(r, p.Kind), "sort"); ok {
			return v.in(sort.Read)
		}
		return v.kindLabel(p.Kind)
	}
	return v.in("Pin")
}

// kindLabel is the short name of a kind of pin.
func (v voice) kindLabel(kind survey.PinKind) string {
	if kind == survey.PinBeam {
		return v.in("Beam")
	}
	if info, ok := survey.KindInfo(kind); ok {
		return v.in(info.Label)
	}
	return v.in("Pin")
}
