package plane

// scaleFit is scale-only mode: two references under a camera that looks straight up, so that the photo is the plan up to a similarity.
type scaleFit struct {
	image    Image
	opt      Options
	z, plan  [2]complex128 // relative to the middle of the picture, conjugated for a mirrored plan; inches
	sp, tape [2]float64
	a        complex128 // inches per pixel, turned
	focal    float64
}

func fitScale(refs []Reference, image Image, opt Options) (*Photo, error) { return nil, nil }
