package annotate

import (
	"image"
	"image/color"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/disintegration/imaging"
)

// scene is a made picture with edges at every scale, 1600 x 1200: no photo, but of the same spectrum as one.
func scene() *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, 1600, 1200))
	for block := 2; block <= 256; block *= 2 {
		layer := noise(1600, 1200, block)
		for i := range img.Pix {
			img.Pix[i] = uint8(min(255, int(img.Pix[i])+int(layer.Pix[i])/8))
		}
	}
	return img
}

func qualityOf(img *image.NRGBA) (Quality, string) {
	var m Meta
	screen := reduce(img, ScreenSide)
	w, h := fitSide(screen.Rect.Dx(), screen.Rect.Dy(), ThumbSide)
	measure(&m, pair{screen, imaging.Resize(screen, w, h, imaging.CatmullRom)})
	return *m.Quality, strings.Join(m.Warnings, " ")
}

func TestWarnings(t *testing.T) {
	img := scene()
	black, white := image.NewNRGBA(img.Rect), image.NewNRGBA(img.Rect)
	for i := range white.Pix {
		white.Pix[i] = 255
		black.Pix[i|3] = 255
	}
	for name, c := range map[string]struct {
		img  *image.NRGBA
		want string
	}{
		"sharp":        {img, ""},
		"out of focus": {imaging.Blur(img, 4), "This photo is blurred."},
		"shaken":       {shake(img, 21), "This photo is blurred."},
		"dark":         {imaging.AdjustFunc(img, func(c color.NRGBA) color.NRGBA { return color.NRGBA{c.R / 5, c.G / 5, c.B / 5, 255} }), "This photo is very dark."},
		"black":        {black, "This photo is very dark."},
		"white":        {white, "Large parts of this photo are burnt out"},
	} {
		if _, got := qualityOf(c.img); !strings.HasPrefix(got, c.want) || c.want == "" && got != "" {
			t.Errorf("%s: warnings %q, want %q", name, got, c.want)
		}
	}
}

// shake is the mean of n copies, each moved by one pixel more along a row.
func shake(img *image.NRGBA, n int) *image.NRGBA {
	out := image.NewNRGBA(img.Rect)
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			var sum [3]int
			for i := range n {
				c := img.NRGBAAt(min(x+i, img.Rect.Dx()-1), y)
				sum[0], sum[1], sum[2] = sum[0]+int(c.R), sum[1]+int(c.G), sum[2]+int(c.B)
			}
			out.SetNRGBA(x, y, color.NRGBA{uint8(sum[0] / n), uint8(sum[1] / n), uint8(sum[2] / n), 255})
		}
	}
	return out
}

// The variance of the Laplacian of a chessboard of 0 and 255 is (4 x 255)^2 = 1 040 400, by hand: every pixel has four neighbours of the
// other colour, so the Laplacian is ± 1020 with mean 0. A ramp has none.
func TestLaplacianByHand(t *testing.T) {
	board, ramp := luminance{w: 10, h: 10}, luminance{w: 10, h: 10}
	for i := range 100 {
		board.y = append(board.y, float64((i+i/10)%2*255))
		ramp.y = append(ramp.y, float64(3*(i%10)+5*(i/10)))
	}
	if got := board.laplacian(); got != 1020*1020 {
		t.Errorf("chessboard: %g", got)
	}
	if got := ramp.laplacian(); got != 0 {
		t.Errorf("ramp: %g", got)
	}
	if got := (luminance{w: 2, h: 2, y: make([]float64, 4)}).laplacian(); got != 0 {
		t.Errorf("no inner pixel: %g", got)
	}
}

func TestExposure(t *testing.T) {
	mean, dark, bright := luminance{w: 4, h: 1, y: []float64{0, 15.9, 16, 250}}.exposure()
	if math.Abs(mean-70.475) > 1e-9 || dark != 0.5 || bright != 0.25 {
		t.Errorf("mean %g, dark %g, bright %g", mean, dark, bright)
	}
}

// Shots of the same view stay near, others far.
func TestHashDistance(t *testing.T) {
	img := scene()
	first, _ := qualityOf(img)
	for name, c := range map[string]struct {
		img  *image.NRGBA
		near bool
	}{
		"same":     {img, true},
		"smaller":  {imaging.Resize(img, 700, 525, imaging.Lanczos), true},
		"brighter": {imaging.AdjustBrightness(img, 15), true},
		"blurred":  {imaging.Blur(img, 6), true},
		"cut":      {imaging.Crop(img, image.Rect(16, 12, 1584, 1188)), true},
		"mirrored": {imaging.FlipH(img), false},
		"turned":   {imaging.Rotate180(img), false},
		"other":    {noise(1600, 1200, 200), false},
	} {
		q, _ := qualityOf(c.img)
		if d, ok := HashDistance(first.Hash, q.Hash); !ok || d <= NearDuplicate != c.near {
			t.Errorf("%s: distance %d", name, d)
		}
	}
	for _, bad := range []string{"", "0", "xyzxyzxyzxyzxyzx", strings.Repeat("0", 17)} {
		if _, ok := HashDistance(first.Hash, bad); ok {
			t.Errorf("%q was taken for a hash", bad)
		}
	}
}

// No photo of the collection that is sharp to the eye is called blurred, and no two photos of different things near duplicates.
func TestQualityOfCollection(t *testing.T) {
	if testing.Short() {
		t.Skip("opens a hundred large photos")
	}
	hashes := map[string]string{}
	for _, folder := range []string{"cameras", "demo"} {
		files, err := filepath.Glob(filepath.Join(photos(t, folder), "*.jpg"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%d files, %v", len(files), err)
		}
		for _, path := range files {
			res, err := Make(t.Context(), path, t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			q := res.Meta.Quality
			if q == nil || max(res.Meta.Width, res.Meta.Height) < sharpSide {
				continue
			}
			if strings.Contains(strings.Join(res.Meta.Warnings, " "), "blurred") {
				t.Errorf("%s: sharpness %.1f", filepath.Base(path), q.Sharpness)
			}
			for other, h := range hashes {
				if d, _ := HashDistance(h, q.Hash); d <= NearDuplicate {
					t.Errorf("%s and %s: distance %d", other, filepath.Base(path), d)
				}
			}
			hashes[filepath.Base(path)] = q.Hash
		}
	}
}
