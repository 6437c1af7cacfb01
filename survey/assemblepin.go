package survey

import (
	"fmt"
	"strconv"
	"strings"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/calc/words"
)

// InputID is the id that a pin's data has in the calculator's input: "p7". The n-th thing of a row is "p7.3".
func InputID(pinNumber int) string { return "p" + strconv.Itoa(pinNumber) }

// PinNumber is the number of the pin that an id of the calculator's input came from; ok is false for other ids.
func PinNumber(inputID string) (number int, ok bool) {
	rest, ok := strings.CutPrefix(inputID, "p")
	if !ok {
		return 0, false
	}
	rest, _, _ = strings.Cut(rest, ".")
	n, err := strconv.Atoi(rest)
	return n, err == nil && n > 0
}

// pinReader reads a pin's values by the fields of its kind.
type pinReader struct {
	pin    Pin
	fields []Field
}

// value reads one value.
func (p pinReader) value(key string) (Value, bool) { return p.pin.Value(p.fields, key) }

func (p pinReader) inches(key string) length.Inches {
	v, _ := p.value(key)
	return v.Inches()
}

// number is the pin's number as text.
func (p pinReader) number() string { return strconv.Itoa(p.pin.Number) }

func (p pinReader) choice(key string) string {
	v, _ := p.value(key)
	return v.Choice
}

// missing names the first of some fields that has no value, by its label; empty when all have one.
func (p pinReader) missing(keys ...string) string {
	for _, key := range keys {
		if _, ok := p.value(key); ok {
			continue
		}
		for _, f := range p.fields {
			if f.Key == key {
				return strings.ToLower(f.Label[:1]) + f.Label[1:]
			}
		}
	}
	return ""
}

// addPin adds what one pin says to the calculator's input.
func (a *Assembly) addPin(r Record, pin Pin) {
	if _, again := sameAs(r, pin); again {
		return // the pin that it is the same thing as counts
	}
	p := pinReader{pin, PinFields(r, pin.Kind)}
	switch pin.Kind {
	case PinLevel:
		if at, ok := a.place(r, p, 0); ok && a.complete(p, "height") {
			a.Input.Heights = append(a.Input.Heights, calc.Height{X: at.x, Y: at.y, Height: p.inches("height")})
			a.Levels = append(a.Levels, r.sourceOf(pin, "height", SourceTaped))
		}
	case PinClearance:
		if at, ok := a.place(r, p, 0); ok && a.complete(p, "clearance") {
			a.Input.Clearances = append(a.Input.Clearances, calc.Clearance{X: at.x, Y: at.y, Clearance: p.inches("clearance")})
			a.Clearances = append(a.Clearances, r.sourceOf(pin, "clearance", SourceTaped))
			ground, _ := p.value("ground")
			a.Ground = append(a.Ground, ground.Read)
		}
	case PinHanger, PinBracket:
		switch {
		case !a.complete(p, "drop", "wx", "wy"):
		case p.choice(rowAtKey) != "":
			a.addJoistRow(r, p, calc.ObstructionKind(pin.Kind))
		default:
			if at, ok := a.place(r, p, p.inches("drop")); ok {
				a.addRow(p, calc.ObstructionKind(pin.Kind), at)
			}
		}
	case PinPost:
		a.addPost(r, p)
	case PinFixture:
		a.addFixture(r, p)
	case PinBeam:
		a.addBeam(r, p)
	}
}

// addPost keeps a post for the drawings, and adds one that goes up through the ceiling to the input. A post that ends below the ceiling needs no
// place, so nothing is said when it has none.
func (a *Assembly) addPost(r Record, p pinReader) {
	through := p.choice("through") == "yes"
	if through && !a.complete(p, "wx", "wy") {
		return
	}
	_, typed := p.value("x")
	if _, problem := a.fromPhotos(r, p.pin, 0); !through && !typed && problem != "" {
		return
	}
	at, ok := a.place(r, p, 0)
	if !ok {
		return
	}
	a.Posts = append(a.Posts, Post{X: float64(at.x), Y: float64(at.y), WX: float64(p.inches("wx")), WY: float64(p.inches("wy"))})
	if through {
		a.addObstruction(p, InputID(p.pin.Number), calc.KindOther, true, at)
	}
}

// complete tells whether a pin has all it needs to count; if not, a finding says what is missing and that it was left out.
func (a *Assembly) complete(p pinReader, keys ...string) bool {
	name := p.missing(keys...)
	if name == "" {
		return true
	}
	info, _ := KindInfo(p.pin.Kind)
	a.find(SeverityCheck, words.Say("%s %d is left out of the calculation: %s is missing.", words.Say(info.Label), p.pin.Number, words.Say(name)), words.Say("Open the pin and type it."), "", p.pin.ID)
	return false
}

// addRow adds a hanger or bracket, or a row of them: equal things at equal distances from the first.
func (a *Assembly) addRow(p pinReader, kind calc.ObstructionKind, at place) {
	count, row := p.value("row_count")
	if !row || count.Number < 2 {
		a.addObstruction(p, InputID(p.pin.Number), kind, false, at)
		return
	}
	if !a.complete(p, "row_step") {
		return
	}
	along := p.choice("row_along")
	step := p.inches("row_step")
	for i := range int(count.Number) {
		a.addObstruction(p, fmt.Sprintf("%s.%d", InputID(p.pin.Number), i+1), kind, false, at)
		o := &a.Input.Obstructions[len(a.Input.Obstructions)-1]
		if along == "y" {
			o.Y += step * length.Inches(i)
		} else {
			o.X += step * length.Inches(i)
		}
	}
}

func (a *Assembly) addObstruction(p pinReader, id string, kind calc.ObstructionKind, through bool, at place) {
	a.Input.Obstructions = append(a.Input.Obstructions, calc.Obstruction{
		ID: id, Kind: kind, X: at.x, Y: at.y, WX: p.inches("wx"), WY: p.inches("wy"),
		Drop: p.inches("drop"), SX: at.sx, SY: at.sy, Through: through, Sort: p.choice("sort"),
	})
	a.Sources[id] = at.source
}

// addFixture adds what is in the ceiling; what is on a wall or on the ground does not hang below the joists.
func (a *Assembly) addFixture(r Record, p pinReader) {
	sort := p.choice("sort")
	switch p.choice("at") {
	case "wall":
		a.askWhereItEnds(p, sort)
		return
	case "ground":
		return
	}
	if !a.complete(p, "at", "sort", "drop", "wx", "wy") {
		return
	}
	at, ok := a.place(r, p, 0)
	if !ok {
		return
	}
	kind := calc.KindFixture
	switch sort {
	case "pipe", "leader", "condensate", "gas":
		kind = calc.KindPipe
	case "wiring":
		kind = calc.KindWiring
	}
	a.addObstruction(p, InputID(p.pin.Number), kind, p.choice("through") == "yes", at)
}

// askWhereItEnds asks for the height of a flue or exhaust on a wall, which must not end above the ceiling.
func (a *Assembly) askWhereItEnds(p pinReader, sort string) {
	if (sort == "flue" || sort == "exhaust") && p.missing("drop") != "" {
		a.find(SeverityCheck, words.Say("Fixture %d: nobody has said how far below the joists it ends.", p.pin.Number),
			words.Say("Tape it: a flue or exhaust must not end above the ceiling."), "", p.pin.ID)
	}
}

// choiceNumber is the number that a choice's value spells, 0 when it is none.
func choiceNumber(choice string) float64 {
	v, err := strconv.ParseFloat(choice, 64)
	if err != nil {
		return 0
	}
	return v
}
