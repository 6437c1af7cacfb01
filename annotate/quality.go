package annotate

// Quality is measured on the upright thumb and tells whether a photo is of use on a site survey.
type Quality struct {
	Sharpness float64 `json:"sharpness"` // variance of the Laplacian of the luminance, 0 is featureless
	Mean      float64 `json:"mean"`      // mean luminance 0..255
	Dark      float64 `json:"dark"`      // share of the pixels that are as good as black, 0..1
	Bright    float64 `json:"bright"`    // share of the pixels that are as good as white, 0..1
	Hash      string  `json:"hash"`      // perceptual hash, 16 hexadecimal digits, for HashDistance
}

func measure(m *Meta, p pair) {}
