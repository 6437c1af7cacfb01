package survey

import (
	"strings"

	"undercroft/calc"
)

// Ceiling is what a survey comes to: the input with its sources, and the computed plan. Plan is nil while something is missing or when
// the calculator refused the input; Refusal then says why.
type Ceiling struct {
	Assembly
	Plan    *calc.Plan
	Refusal string
}

// Compute assembles a survey's input and computes its ceiling.
func Compute(r Record) Ceiling {
	c := Ceiling{Assembly: Assemble(r)}
	if !c.Ready() {
		return c
	}
	plan, err := calc.Compute(c.Input)
	if err != nil {
		c.Refusal = refusal(err)
		return c
	}
	c.Plan = &plan
	return c
}

// refusal makes a sentence of the calculator's error.
func refusal(err error) string {
	text := err.Error()
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:] + "."
}
