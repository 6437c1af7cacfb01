package annotate

import (
	"fmt"
	"image"
	"math"
	"math/bits"
	"slices"
	"strconv"

	"github.com/disintegration/imaging"
)

// Quality is measured on the upright picture and tells whether a photo is of use on a site survey.
type Quality struct {
	// Sharpness tells how much the second differences of the luminance at sharpSide lose in variance by a slight blur, in that of
	// four directions where they lose least: a sharp picture loses most of them, a blurred or shaken one has nothing to lose (after
	// the idea of Crete et al. 2007, "The blur effect", to compare a picture with a blurred copy of itself). Unlike the variance
	// alone it hardly depends on what is in the picture. 0 when it cannot be told: a picture smaller than sharpSide, or one without
	// any feature.
	Sharpness float64 `json:"sharpness,omitempty"`
	Laplacian float64 `json:"laplacian"` // variance of the Laplacian of the luminance of the thumb (Pech-Pacheco et al. 2000)
	Mean      float64 `json:"mean"`      // mean luminance 0..255
	Dark      float64 `json:"dark"`      // share of the pixels with luminance below 16, as good as black, 0..1
	Bright    float64 `json:"bright"`    // share of the pixels with luminance of 250 or more, as good as white, 0..1
	Hash      string  `json:"hash"`      // perceptual hash, 16 hexadecimal digits, for HashDistance
}

// Thresholds of the warnings. Sharpness was set by trial: 24 photos of as many cameras and 8 rendered scenes had 11 to 59; 17 of them
// blurred by 1/1000 of their longer side 6 to 14, by 1/500 2.6 to 4.5, by 1/250 1.5 to 2.0; six of them shaken along a line
// (1/160 of the longer side) 2.8 to 13. The others are common sense, no source.
const (
	sharpSide    = 640
	blurSigma    = 1.5
	minSharpness = 7
	minMean      = 40
	maxDark      = 0.7
	maxBright    = 0.5
)

// measure notes the quality of the pair in m, and a warning for each shortcoming.
func measure(m *Meta, p pair) {
	thumb := luma(p.thumb)
	q := Quality{Laplacian: thumb.laplacian(), Sharpness: sharpness(p.screen), Hash: hash(p.thumb)}
	q.Mean, q.Dark, q.Bright = thumb.exposure()
	m.Quality = &q
	if q.Sharpness > 0 && q.Sharpness < minSharpness {
		m.Warnings = append(m.Warnings, "This photo is blurred. Hold the phone still, tap on what matters to focus, and take it again.")
	}
	switch {
	case q.Mean < minMean || q.Dark > maxDark:
		m.Warnings = append(m.Warnings, "This photo is very dark. Use a lamp or the flash and take it again.")
	case q.Bright > maxBright:
		m.Warnings = append(m.Warnings, "Large parts of this photo are burnt out to white. Turn away from the light and take it again.")
	}
}

// sharpness is Quality.Sharpness of the screen picture.
func sharpness(screen *image.NRGBA) float64 {
	w, h := screen.Rect.Dx(), screen.Rect.Dy()
	if max(w, h) < sharpSide {
		return 0
	}
	w, h = fitSide(w, h, sharpSide)
	small := imaging.Resize(screen, w, h, imaging.CatmullRom)
	before, after := luma(small), luma(imaging.Blur(small, blurSigma))
	least := math.Inf(1)
	for _, d := range [4][2]int{{1, 0}, {0, 1}, {1, 1}, {1, -1}} {
		rest := after.secondDifference(d[0], d[1])
		if rest < 1e-3 {
			return 0
		}
		least = min(least, before.secondDifference(d[0], d[1])/rest)
	}
	return least
}

// luminance is a gray picture, row by row, 0..255.
type luminance struct {
	w, h int
	y    []float64
}

// luma takes the luminance of an opaque picture by the weights of ITU-R BT.601, which JPEG uses.
func luma(img *image.NRGBA) luminance {
	l := luminance{w: img.Rect.Dx(), h: img.Rect.Dy()}
	l.y = make([]float64, 0, l.w*l.h)
	for y := range l.h {
		row := img.Pix[y*img.Stride:][:4*l.w]
		for x := 0; x < len(row); x += 4 {
			l.y = append(l.y, 0.299*float64(row[x])+0.587*float64(row[x+1])+0.114*float64(row[x+2]))
		}
	}
	return l
}

// laplacian is the variance of the Laplacian (4 neighbours) over the inner pixels, 0 for a picture without any.
func (l luminance) laplacian() float64 {
	return l.variance(func(i int) float64 { return l.y[i-1] + l.y[i+1] + l.y[i-l.w] + l.y[i+l.w] - 4*l.y[i] })
}

// secondDifference is the variance over the inner pixels of the second difference along (dx, dy), each -1, 0 or 1.
func (l luminance) secondDifference(dx, dy int) float64 {
	step := dy*l.w + dx
	return l.variance(func(i int) float64 { return l.y[i-step] + l.y[i+step] - 2*l.y[i] })
}

// variance is that of f over the inner pixels, 0 for a picture without any.
func (l luminance) variance(f func(i int) float64) float64 {
	var sum, squares, n float64
	for y := 1; y < l.h-1; y++ {
		for i := y*l.w + 1; i < (y+1)*l.w-1; i++ {
			v := f(i)
			sum, squares, n = sum+v, squares+v*v, n+1
		}
	}
	if n == 0 {
		return 0
	}
	return squares/n - (sum/n)*(sum/n)
}

// exposure is the mean luminance and the shares of the pixels that are as good as black and as good as white.
func (l luminance) exposure() (mean, dark, bright float64) {
	for _, v := range l.y {
		mean += v
		switch {
		case v < 16:
			dark++
		case v >= 250:
			bright++
		}
	}
	n := float64(len(l.y))
	return mean / n, dark / n, bright / n
}

// Sides of the picture that is hashed and of the block of its lowest frequencies.
const (
	hashSide = 32
	hashBits = 8
)

// hash is a perceptual hash of 64 bits: of the picture squeezed to 32 x 32 pixels, whether each of the 8 x 8 lowest frequencies
// of its discrete cosine transform, the constant row and column left out, is above their median.
func hash(thumb *image.NRGBA) string {
	small := luma(imaging.Resize(thumb, hashSide, hashSide, imaging.Box))
	var freq [hashBits * hashBits]float64
	for i := range freq {
		u, v := float64(1+i%hashBits), float64(1+i/hashBits)
		for j, y := range small.y {
			x, row := float64(j%hashSide), float64(j/hashSide)
			freq[i] += y * math.Cos(math.Pi*u*(x+0.5)/hashSide) * math.Cos(math.Pi*v*(row+0.5)/hashSide)
		}
	}
	sorted := slices.Sorted(slices.Values(freq[:]))
	median := (sorted[len(sorted)/2-1] + sorted[len(sorted)/2]) / 2
	var h uint64
	for i, f := range freq {
		if f > median {
			h |= 1 << i
		}
	}
	return fmt.Sprintf("%016x", h)
}

// NearDuplicate is the largest HashDistance of two shots of the same view. Set by trial: a photo and its copy made brighter, darker,
// smaller, cut by 3 % or shaken differ by 0 to 8 bits, turned by 2 degrees by 8 to 14; about 60 different photos by 18 and more.
const NearDuplicate = 10

// HashDistance is the number of bits, 0..64, in which two values of Quality.Hash differ; false when one of them is no hash. Up to
// NearDuplicate is taken as two shots of the same view.
func HashDistance(a, b string) (int, bool) {
	x, errX := strconv.ParseUint(a, 16, 64)
	y, errY := strconv.ParseUint(b, 16, 64)
	if errX != nil || errY != nil || len(a) != 16 || len(b) != 16 {
		return 0, false
	}
	return bits.OnesCount64(x ^ y), true
}
