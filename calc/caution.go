package calc

// cautions lists the safety and care rules that this deck touches, each with what triggered it and its source.
func cautions(in Input, sys System, p *Plan) []Caution { return []Caution{} }
