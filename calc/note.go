package calc

// crewNotes are the crew's notes in English, grouped as a crew thinks, derived from the computed plan.
func crewNotes(in Input, sys System, p *Plan) []NoteGroup { return []NoteGroup{} }
