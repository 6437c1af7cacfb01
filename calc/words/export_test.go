package words

// SpanishTexts is the whole Spanish catalogue, for its tests.
func SpanishTexts() map[string]string { return spanish() }
