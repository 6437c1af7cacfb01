package annotate

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// seen is the table of Exif tag 274, Orientation (CIPA DC-008 4.6.4): where row 0 and column 0 of the stored picture are seen.
func seen() map[int][2]string {
	return map[int][2]string{
		1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
		5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"},
	}
}

// slowUpright turns a picture pixel by pixel as the table says: obviously right, and slow.
func slowUpright(stored image.Image, orientation int) *image.NRGBA {
	rows, cols := stored.Bounds().Dy(), stored.Bounds().Dx()
	where := seen()[orientation]
	w, h := cols, rows
	if where[0] == "left" || where[0] == "right" {
		w, h = rows, cols
	}
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	for r := range rows {
		for c := range cols {
			x, y := -1, -1
			for _, side := range []struct {
				name string
				i    int
			}{{where[0], r}, {where[1], c}} {
				switch side.name {
				case "top":
					y = side.i
				case "bottom":
					y = h - 1 - side.i
				case "left":
					x = side.i
				case "right":
					x = w - 1 - side.i
				}
			}
			out.Set(x, y, stored.At(c, r))
		}
	}
	return out
}

func TestUprightEveryPixel(t *testing.T) {
	img := noise(7, 5, 1)
	for o := 1; o <= 8; o++ {
		if got, want := upright(img, o), slowUpright(img, o); !bytes.Equal(got.Pix, want.Pix) || got.Rect != want.Rect {
			t.Errorf("orientation %d: the turned picture is not the reference", o)
		}
	}
	for _, o := range []int{0, 9, -1} {
		if got := upright(img, o); !bytes.Equal(got.Pix, img.Pix) {
			t.Errorf("orientation %d turned the picture", o)
		}
	}
}

// meanDifference is the mean difference of a colour of a pixel, 0..255; infinite when the sizes differ.
func meanDifference(a, b image.Image) float64 {
	if a.Bounds().Size() != b.Bounds().Size() {
		return math.Inf(1)
	}
	sum, size := 0.0, a.Bounds().Size()
	for y := range size.Y {
		for x := range size.X {
			r1, g1, b1, _ := a.At(x, y).RGBA()
			r2, g2, b2, _ := b.At(x, y).RGBA()
			for _, d := range []float64{float64(r1) - float64(r2), float64(g1) - float64(g2), float64(b1) - float64(b2)} {
				sum += math.Abs(d) / 257 / 3
			}
		}
	}
	return sum / float64(size.X*size.Y)
}

func openJPEG(t testing.TB, path string) image.Image {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// Every orientation in every format and byte order comes out as the reference does; the tolerance is what two JPEG compressions
// do to a picture of 16-pixel blocks. The wrong turn of the same picture differs by more than 60.
func TestMakeUprightInEveryFormat(t *testing.T) {
	img := noise(96, 64, 16)
	for o := 1; o <= 8; o++ {
		want := slowUpright(img, o)
		for _, order := range []byteOrder{binary.LittleEndian, binary.BigEndian} {
			tiff := exifTIFF(order, o)
			for name, data := range map[string][]byte{
				"photo.jpg":  withJPEGExif(encodeJPEG(t, img), tiff),
				"photo.png":  withPNGExif(encodePNG(t, img), tiff),
				"photo.webp": encodeWebP(img, img.Rect.Size(), tiff),
			} {
				res, err := Make(t.Context(), writeTemp(t, name, data), t.TempDir())
				if err != nil || res.Meta.Problem != "" {
					t.Fatalf("orientation %d %v %s: %v %s", o, order, name, err, res.Meta.Problem)
				}
				if res.Meta.Orientation != o || res.Meta.Make != "Canary" {
					t.Errorf("orientation %d %v %s: read as %d by %q", o, order, name, res.Meta.Orientation, res.Meta.Make)
				}
				got := openJPEG(t, res.Screen)
				if d := meanDifference(got, want); d > 8 {
					t.Errorf("orientation %d %v %s: mean difference %.1f", o, order, name, d)
				}
				if s := got.Bounds().Size(); s.X != res.Meta.Width || s.Y != res.Meta.Height {
					t.Errorf("orientation %d %v %s: picture %v, told %d x %d", o, order, name, s, res.Meta.Width, res.Meta.Height)
				}
				checkClean(t, res.Screen, res.Thumb)
			}
		}
	}
	if d := meanDifference(slowUpright(img, 1), slowUpright(img, 3)); d < 60 {
		t.Errorf("the test picture cannot tell a wrong turn: %.1f", d)
	}
}

// checkClean walks the markers of a JPEG by its own loop: none but the picture's own (ITU-T T.81 table B.1), nothing behind the
// end, and not the canary.
func checkClean(t *testing.T, paths ...string) {
	t.Helper()
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.HasPrefix(data, []byte{0xFF, 0xD8}) || !bytes.HasSuffix(data, []byte{0xFF, 0xD9}) || bytes.Contains(data, []byte("Canary")) {
			t.Errorf("%s: no clean JPEG", filepath.Base(path))
		}
		for at := 2; at < len(data)-2; {
			if data[at] != 0xFF {
				t.Fatalf("%s: no marker at %d", filepath.Base(path), at)
			}
			switch data[at+1] {
			case 0xDB, 0xC0, 0xC4, 0xDA: // DQT, SOF0, DHT, SOS
			default:
				t.Errorf("%s: marker %02X at %d", filepath.Base(path), data[at+1], at)
			}
			length := 2 + int(data[at+2])<<8 + int(data[at+3])
			if data[at+1] == 0xDA {
				end := bytes.Index(data[at+length:], []byte{0xFF, 0xD9})
				if at+length+end+2 != len(data) {
					t.Errorf("%s: %d bytes behind the end", filepath.Base(path), len(data)-at-length-end-2)
				}
				break
			}
			at += length
		}
	}
}

func TestDerivativeSizes(t *testing.T) {
	for _, c := range []struct{ w, h, screenW, screenH, thumbW, thumbH int }{
		{4000, 3000, 1600, 1200, 320, 240},
		{3000, 4000, 1200, 1600, 240, 320},
		{1601, 1000, 1600, 999, 320, 200},
		{1600, 7, 1600, 7, 320, 1},
		{320, 320, 320, 320, 320, 320},
		{5000, 1, 1600, 1, 320, 1}, // never 0
		{1, 1, 1, 1, 1, 1},         // never enlarged
	} {
		img := image.NewGray(image.Rect(0, 0, c.w, c.h))
		res, err := Make(t.Context(), writeTemp(t, "p.png", encodePNG(t, img)), t.TempDir())
		if err != nil || res.Meta.Problem != "" {
			t.Fatalf("%d x %d: %v %s", c.w, c.h, err, res.Meta.Problem)
		}
		s, th := openJPEG(t, res.Screen).Bounds().Size(), openJPEG(t, res.Thumb).Bounds().Size()
		if s != image.Pt(c.screenW, c.screenH) || th != image.Pt(c.thumbW, c.thumbH) {
			t.Errorf("%d x %d: screen %v, thumb %v", c.w, c.h, s, th)
		}
	}
}

// A point given as a fraction of the picture must stay where it is: a ramp stays the same ramp, to half a source pixel, whatever
// the ratio, and an edge stays at its fraction.
func TestReduceKeepsPositions(t *testing.T) {
	for _, w := range []int{1601, 2399, 3201, 4032, 4033, 5000, 8001, 19997} {
		img := image.NewGray16(image.Rect(0, 0, w, 3))
		for y := range 3 {
			for x := range w {
				img.SetGray16(x, y, color.Gray16{uint16((x*2 + 1) * 65535 / (2 * w))})
			}
		}
		out := reduce(img, 1600)
		if out.Rect.Dx() != 1600 {
			t.Fatalf("%d: width %d", w, out.Rect.Dx())
		}
		for x := 4; x < 1596; x++ { // the filter has no neighbours at the ends
			want := (float64(x) + 0.5) / 1600 * 255
			if got := float64(out.NRGBAAt(x, 0).R); math.Abs(got-want) > 1.1 { // 1 level is 6 pixels; cutting 16 bits to 8 and rounding
				t.Fatalf("%d: pixel %d is %.0f, want %.2f", w, x, got, want)
			}
		}
		edge(t, w)
	}
}

// edge puts a black-to-white edge at 3/8 of the width and looks where the reduced picture crosses half.
func edge(t *testing.T, w int) {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, w, 1))
	at := w * 3 / 8
	for x := at; x < w; x++ {
		img.Pix[x] = 255
	}
	out, sum := reduce(img, 1600), 0.0
	for x := 500; x < 700; x++ {
		sum += 1 - float64(out.NRGBAAt(x, 0).R)/255
	}
	got, want := 500+sum, float64(at)/float64(w)*1600
	if tol := 0.05 + 0.5*1600/float64(w); math.Abs(got-want) > tol {
		t.Errorf("%d: edge at %.2f, want %.2f of 1600 within %.2f", w, got, want, tol)
	}
}

// slowAverage is the mean over the source pixels under each pixel, for a whole ratio only.
func slowAverage(img image.Image, k int) *image.NRGBA {
	size := img.Bounds().Size().Div(k)
	out := image.NewNRGBA(image.Rectangle{Max: size})
	for y := range size.Y {
		for x := range size.X {
			var sum [3]float64
			for i := range k * k {
				c := color.NRGBAModel.Convert(img.At(img.Bounds().Min.X+x*k+i%k, img.Bounds().Min.Y+y*k+i/k)).(color.NRGBA)
				a := float64(c.A) / 255
				for j, v := range []uint8{c.R, c.G, c.B} {
					sum[j] += (float64(v)*a + 255*(1-a)) / float64(k*k)
				}
			}
			out.SetNRGBA(x, y, color.NRGBA{uint8(sum[0] + 0.5), uint8(sum[1] + 0.5), uint8(sum[2] + 0.5), 255})
		}
	}
	return out
}

// Every kind of pixel buffer a decoder gives is averaged on white like the slow reference, to the rounding of 8-bit colours.
func TestAverageOfEveryKind(t *testing.T) {
	src := noise(24, 12, 1)
	half := image.NewNRGBA(src.Rect)
	copy(half.Pix, src.Pix)
	for i := 3; i < len(half.Pix); i += 8 {
		half.Pix[i] = 100
	}
	palette := image.NewPaletted(src.Rect, color.Palette{color.Black, color.NRGBA{200, 10, 30, 255}, color.NRGBA{}})
	ycc := image.NewYCbCr(src.Rect, image.YCbCrSubsampleRatio420)
	cmyk, gray, wide, gray16 := image.NewCMYK(src.Rect), image.NewGray(src.Rect), image.NewNRGBA64(src.Rect), image.NewGray16(src.Rect)
	for i := range ycc.Y {
		ycc.Y[i] = src.Pix[4*i]
	}
	for i := range ycc.Cb {
		ycc.Cb[i], ycc.Cr[i] = src.Pix[4*i+1], src.Pix[4*i+2]
	}
	for y := range 12 {
		for x := range 24 {
			palette.Pix[palette.PixOffset(x, y)] = src.NRGBAAt(x, y).R % 3
			for _, d := range []interface {
				Set(x, y int, c color.Color)
			}{cmyk, gray, wide, gray16} {
				d.Set(x, y, src.At(x, y))
			}
		}
	}
	moved := src.SubImage(image.Rect(6, 3, 18, 9))
	for _, img := range []image.Image{src, half, palette, ycc, cmyk, gray, wide, gray16, moved} {
		for _, k := range []int{1, 3} {
			got, want := average(img, img.Bounds().Dx()/k, img.Bounds().Dy()/k), slowAverage(img, k)
			for i := range want.Pix {
				if d := int(got.Pix[i]) - int(want.Pix[i]); d < -1 || d > 1 {
					t.Fatalf("%T 1/%d: byte %d is %d, want %d", img, k, i, got.Pix[i], want.Pix[i])
				}
			}
		}
	}
}

// A JPEG's planes are averaged like the slow reference in each way of subsampling, for whole ratios and across the edges of chroma samples. The
// colours lie within RGB, as a picture's do.
func TestAverageOfPlanes(t *testing.T) {
	src := noise(24, 12, 2)
	for _, ratio := range []image.YCbCrSubsampleRatio{image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420,
		image.YCbCrSubsampleRatio440, image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410} {
		img := image.NewYCbCr(src.Rect, ratio)
		for i := range img.Y {
			img.Y[i] = 80 + src.Pix[4*i]%96
		}
		for i := range img.Cb {
			img.Cb[i], img.Cr[i] = 108+src.Pix[4*i+1]%40, 108+src.Pix[4*i+2]%40
		}
		for _, k := range []int{1, 2, 3} {
			got, want := shrink(img, 24/k, 12/k), slowAverage(img, k)
			for i := range want.Pix {
				if d := int(got.Pix[i]) - int(want.Pix[i]); d < -1 || d > 1 {
					t.Fatalf("%v 1/%d: byte %d is %d, want %d", ratio, k, i, got.Pix[i], want.Pix[i])
				}
			}
		}
	}
	moved := image.NewYCbCr(image.Rect(2, 2, 10, 10), image.YCbCrSubsampleRatio420)
	if _, _, ok := subsampling(moved); ok {
		t.Error("a picture that does not begin at the origin is taken for one that does")
	}
}

// A folder that cannot be written is an error, and nothing is left behind.
func TestMakeNeedsFolder(t *testing.T) {
	path := writeTemp(t, "p.jpg", encodeJPEG(t, noise(8, 8, 1)))
	if _, err := Make(t.Context(), path, filepath.Join(t.TempDir(), "missing")); err == nil {
		t.Error("no error for a folder that does not exist")
	}
	if _, err := Make(t.Context(), filepath.Join(t.TempDir(), "missing"), t.TempDir()); err == nil {
		t.Error("no error for a file that does not exist")
	}
	if _, err := Make(t.Context(), t.TempDir(), t.TempDir()); err == nil {
		t.Error("no error for a folder instead of a file")
	}
}

func ExampleSniff() {
	fmt.Println(Sniff([]byte("\xff\xd8\xff\xe0\x00\x10JFIF")), Sniff([]byte("RIFF\x24\x00\x00\x00WEBPVP8 ")), Sniff([]byte("GIF89a")) == FormatUnknown)
	// Output: jpeg webp true
}
