package annotate

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	"os"
	"path/filepath"

	"github.com/disintegration/imaging"
)

// The derivatives: longest side in pixels, JPEG quality and file name. Quality 85 and 80 are where the blocks of a JPEG stop
// showing on a screen at normal size (common practice, no source).
const (
	ScreenSide    = 1600
	ThumbSide     = 320
	screenQuality = 85
	thumbQuality  = 80
	screenName    = "screen.jpg"
	thumbName     = "thumb.jpg"
)

// pair is the two upright pictures that pages show.
type pair struct {
	screen, thumb *image.NRGBA
}

// derive opens the picture once and makes the pair of it, and notes its quality in m. The large picture is shrunk while it is
// copied out of the decoder's buffer, so that no second full-size copy exists; then a Lanczos filter does the rest, and turning
// costs little because it is done last. The thumb is made of the screen picture.
func derive(ctx context.Context, data []byte, m *Meta) (pair, error) {
	img, cut, err := decode(ctx, m.Format, data)
	if err != nil {
		return pair{}, err
	}
	if cut {
		m.Warnings = append(m.Warnings, "The end of this file is missing: the picture may be coarse.")
	}
	if !fits(img.Bounds().Dx(), img.Bounds().Dy()) {
		return pair{}, errTooLarge
	}
	var p pair
	err = guard(func() error {
		p.screen = upright(reduce(img, ScreenSide), m.Orientation)
		tw, th := fitSide(p.screen.Bounds().Dx(), p.screen.Bounds().Dy(), ThumbSide)
		p.thumb = imaging.Resize(p.screen, tw, th, imaging.CatmullRom)
		measure(m, p)
		return nil
	})
	return p, err
}

// reduce is the picture on white with its longest side at most side, never enlarged: first the whole part of the ratio by
// averaging, then the rest, less than a halving, with a Catmull-Rom filter: a wider one costs half as much again and shows no difference.
func reduce(img image.Image, side int) *image.NRGBA {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	tw, th := fitSide(w, h, side)
	k := max(1, max(w, h)/max(tw, th))
	small := shrink(img, max(w/k, tw), max(h/k, th))
	if small.Bounds().Dx() == tw && small.Bounds().Dy() == th {
		return small
	}
	return imaging.Resize(small, tw, th, imaging.CatmullRom)
}

// fitSide is the size with its longest side at most side: the other is rounded to the nearest pixel, at least 1.
func fitSide(w, h, side int) (int, int) {
	long := max(w, h)
	if long <= side {
		return w, h
	}
	scale := func(v int) int { return max(1, (v*side+long/2)/long) }
	return scale(w), scale(h)
}

// shrink is average, by the faster way of a JPEG's own colours where that works.
func shrink(img image.Image, w, h int) *image.NRGBA {
	if ycc, ok := img.(*image.YCbCr); ok {
		if hs, vs, ok := subsampling(ycc); ok {
			return averageYCbCr(ycc, w, h, hs, vs)
		}
	}
	return average(img, w, h)
}

// average copies the picture on white into an opaque buffer of w x h pixels, neither larger than the picture. Pixel i of a row
// is the mean of the source pixels from i*W/w up to (i+1)*W/w, so that the scale is the same all over the picture and a point
// given as a fraction of the picture stays where it is to half a source pixel.
func average(img image.Image, w, h int) *image.NRGBA {
	b := img.Bounds()
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	strip := image.NewRGBA(image.Rect(0, 0, b.Dx(), (b.Dy()+h-1)/h))
	for y := range h {
		top, bottom := y*b.Dy()/h, (y+1)*b.Dy()/h
		rows := image.Rect(0, 0, b.Dx(), bottom-top)
		draw.Draw(strip, rows, image.White, image.Point{}, draw.Src)
		draw.Draw(strip, rows, img, image.Pt(b.Min.X, b.Min.Y+top), draw.Over)
		averageRow(out.Pix[y*out.Stride:][:4*w], strip, bottom-top)
	}
	return out
}

// averageRow writes one row of means of the first rows of the strip.
func averageRow(dst []byte, strip *image.RGBA, rows int) {
	w, width := len(dst)/4, strip.Rect.Dx()
	for x := range w {
		left, right := x*width/w, (x+1)*width/w
		var r, g, b uint64
		for y := range rows {
			row := strip.Pix[y*strip.Stride+4*left : y*strip.Stride+4*right]
			for len(row) >= 4 {
				r, g, b = r+uint64(row[0]), g+uint64(row[1]), b+uint64(row[2])
				row = row[4:]
			}
		}
		n := uint64(rows * (right - left))                                                                    // #nosec G115 -- a count of pixels
		dst[4*x], dst[4*x+1], dst[4*x+2], dst[4*x+3] = byte((r+n/2)/n), byte((g+n/2)/n), byte((b+n/2)/n), 255 // #nosec G115 -- a mean of bytes is one
	}
}

// upright turns a stored picture the way its Exif orientation says it is seen (CIPA DC-008 4.6.4, Orientation: where the 0th row
// and the 0th column of the stored picture are on the seen one). The imaging library counts turns counter-clockwise.
func upright(img *image.NRGBA, orientation int) *image.NRGBA {
	switch orientation {
	case 2: // top, right
		return imaging.FlipH(img)
	case 3: // bottom, right
		return imaging.Rotate180(img)
	case 4: // bottom, left
		return imaging.FlipV(img)
	case 5: // left, top
		return imaging.Transpose(img)
	case 6: // right, top
		return imaging.Rotate270(img)
	case 7: // right, bottom
		return imaging.Transverse(img)
	case 8: // left, bottom
		return imaging.Rotate90(img)
	}
	return img
}

// write stores the pair in outDir and returns the result with the paths.
func (p pair) write(m Meta, outDir string) (Result, error) {
	res := Result{Meta: m, Screen: filepath.Join(outDir, screenName), Thumb: filepath.Join(outDir, thumbName)}
	err := errors.Join(writeJPEG(res.Screen, p.screen, screenQuality), writeJPEG(res.Thumb, p.thumb, thumbQuality))
	if err != nil {
		return Result{Meta: m}, errors.Join(err, removeDerivatives(outDir))
	}
	return res, nil
}

// removeDerivatives removes what a run that failed may have left in outDir.
func removeDerivatives(outDir string) error {
	var errs []error
	for _, name := range []string{screenName, thumbName} {
		if err := os.Remove(filepath.Join(outDir, name)); err != nil && !errors.Is(err, os.ErrNotExist) {
			errs = append(errs, fmt.Errorf("remove derivative: %w", err))
		}
	}
	return errors.Join(errs...)
}

// writeJPEG writes an opaque picture; the encoder writes no APPn segment at all, so that nothing but pixels is in the file.
func writeJPEG(path string, img *image.NRGBA, quality int) error {
	f, err := os.Create(path) // #nosec G304 -- a name of ours in the folder that the caller made
	if err != nil {
		return fmt.Errorf("create derivative: %w", err)
	}
	buf := bufio.NewWriter(f)
	opaque := &image.RGBA{Pix: img.Pix, Stride: img.Stride, Rect: img.Rect} // same bytes when alpha is 255; the encoder is fast on it
	err = errors.Join(jpeg.Encode(buf, opaque, &jpeg.Options{Quality: quality}), buf.Flush(), f.Close())
	if err != nil {
		return fmt.Errorf("write derivative: %w", err)
	}
	return nil
}
