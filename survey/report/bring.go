package report

// BringPart is some of what has to be on the truck, besides the material: Head is what its lines are about, empty for everything.
type BringPart struct {
	Head  string
	Lines []string
}

// Bring is what to bring besides the material, as the crew's report says it; none while nothing could be computed.
func (m Model) Bring() []BringPart {
	var list []BringPart
	if noteBring < len(m.Notes) {
		for _, p := range m.Notes[noteBring].Parts {
			list = append(list, BringPart(p))
		}
	}
	return list
}
