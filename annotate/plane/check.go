package plane

// check refuses what cannot be measured with.
func check(refs []Reference, image Image, opt Options) *Error { return nil }
