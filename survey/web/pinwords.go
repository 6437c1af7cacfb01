package web

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"undercroft/survey"
)

// pinText reads a pin's values for people.
type pinText struct {
	pin     survey.Pin
	fields  []survey.Field
	located string // the place by the photo, where none was typed
}

// word is a value in words, empty when there is none or it cannot be read.
func (p pinText) word(key string) string {
	text := p.pin.Values[key]
	if text == "" {
		return ""
	}
	for _, f := range p.fields {
		if f.Key == key {
			return label(f, text)
		}
	}
	return ""
}

// number is a value in inches or its field's unit, typed or else assumed; false when there is none or it cannot be read.
func (p pinText) number(key string) (float64, bool) {
	v, ok := p.pin.Value(p.fields, key)
	return v.Number, ok
}

// with puts a value into a phrase, "%s below"; empty when there is none.
func (p pinText) with(phrase, key string) string {
	if w := p.word(key); w != "" {
		return fmt.Sprintf(phrase, w)
	}
	return ""
}

// place is the plan position, "9′ 8″, 5′ 4 3/4″": typed, or else by the photo; empty without one.
func (p pinText) place() string {
	x, y := p.word("x"), p.word("y")
	if x == "" || y == "" {
		return p.located
	}
	return x + ", " + y
}

// row is "×19" for a row of that many, and which joists it is on.
func (p pinText) row() string {
	n := p.pin.Count()
	row, joists := p.pin.Row()
	switch {
	case joists:
		return joinWords(fmt.Sprintf("×%d", n), row.String())
	case n > 1:
		return fmt.Sprintf("×%d", n)
	}
	return ""
}

// span is "2′ 0″ to 8′ 4″"; empty unless both ends are there.
func (p pinText) span(from, to string) string {
	a, b := p.word(from), p.word(to)
	if a == "" || b == "" {
		return ""
	}
	return a + " to " + b
}

// yes is the phrase when the answer is yes.
func (p pinText) yes(key, phrase string) string {
	if p.pin.Values[key] == "yes" {
		return phrase
	}
	return ""
}

// title names a pin in the list: by what it measures or is, when that says more than its kind.
func (p pinText) title() string {
	info, _ := survey.KindInfo(p.pin.Kind)
	key := map[survey.PinKind]string{survey.PinDimension: "names", survey.PinFixture: "sort", survey.PinOpening: "sort"}[p.pin.Kind]
	if w := p.word(key); w != "" && p.pin.Values[key] != "free" && p.pin.Values[key] != "other" {
		return w
	}
	return info.Label
}

// words says a pin's values in one line.
func (p pinText) words() string {
	return joinWords(append(p.valueWords(), shorten(p.pin.Note, 120))...)
}

func (p pinText) valueWords() []string {
	switch p.pin.Kind {
	case survey.PinReference:
		return []string{p.word("name"), p.place(), p.with("±\u00a0%s", "pm")}
	case survey.PinDimension:
		return []string{p.word("length")}
	case survey.PinLevel:
		return []string{p.with("%s above the level line", "height"), p.place()}
	case survey.PinClearance:
		return []string{p.with("%s to the ground", "clearance"), strings.ToLower(p.word("ground")), p.place()}
	case survey.PinHanger, survey.PinBracket:
		return []string{p.with("%s below", "drop"), p.row(), p.place()}
	case survey.PinBeam:
		return []string{strings.ToLower(p.word("set")), p.with("%s below", "drop"), p.span("x0", "x1")}
	case survey.PinPost:
		return []string{p.size(), p.yes("through", "goes through"), p.place()}
	case survey.PinFixture:
		return []string{strings.ToLower(p.word("state")), strings.ToLower(p.word("at")), p.with("%s below", "drop"), p.yes("through", "goes through"), p.place()}
	case survey.PinWall:
		return []string{p.wall(), p.with("ends after %s", "wall_end"), p.yes("asbestos", "asbestos suspected")}
	case survey.PinOpening:
		return []string{p.span("x0", "x1"), p.with("head %s", "head"), p.yes("swing", "swings out")}
	case survey.PinWater:
		return []string{p.word("what"), p.word("roof_ft2")}
	case survey.PinConcern:
		return []string{p.word("what")}
	}
	return nil
}

func (p pinText) size() string {
	if wx, wy := p.word("wx"), p.word("wy"); wx != "" && wy != "" {
		return wx + " × " + wy
	}
	return ""
}

func (p pinText) wall() string {
	edge, surface := p.word("edge"), strings.ToLower(p.word("surface"))
	if edge != "" && surface != "" {
		return edge + ": " + surface
	}
	return edge + surface
}

// joinWords puts a middle dot between what is not empty.
func joinWords(parts ...string) string {
	var kept []string
	for _, w := range parts {
		if w != "" {
			kept = append(kept, w)
		}
	}
	return strings.Join(kept, " · ")
}

// shorten cuts a text to n runes, with an ellipsis.
func shorten(text string, n int) string {
	text = strings.Join(strings.Fields(text), " ")
	if utf8.RuneCountInString(text) <= n {
		return text
	}
	return string([]rune(text)[:n-1]) + "…"
}

// source says how a pin's values were got: lengths of these kinds are taped, all else is typed.
func (p pinText) source() sourceView {
	if len(p.pin.Values) == 0 {
		return sourceView{}
	}
	switch p.pin.Kind {
	case survey.PinDimension, survey.PinLevel, survey.PinClearance:
		return sourceView{Kind: string(survey.SourceTaped), Words: string(survey.SourceTaped)}
	}
	return sourceView{Kind: string(survey.SourceTyped), Words: string(survey.SourceTyped)}
}
