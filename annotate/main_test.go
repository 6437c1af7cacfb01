package annotate

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/bits"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// workerMode is the environment variable that turns the test binary into a child of Child: "work" is the worker, the others are
// workers that go wrong.
const workerMode = "ANNOTATE_TEST_WORKER"

func TestMain(m *testing.M) {
	switch os.Getenv(workerMode) {
	case "":
		os.Exit(m.Run())
	case "work":
		os.Exit(RunWorker(os.Args[3:], os.Stdout, os.Stderr))
	case "early-panic":
		fmt.Println(`{"meta":{"format":"jpeg","orientation":6,"make":"Early"},"pictures":false,"done":false}`)
		panic("no recovery on this goroutine")
	case "done-panic":
		fmt.Println(`{"meta":{"format":"jpeg","orientation":6,"make":"Early"},"pictures":true,"done":true}`)
		panic("behind the end")
	case "hang":
		time.Sleep(time.Hour)
	case "eat":
		eatMemory()
	case "spin":
		spin()
	case "flood":
		for {
			fmt.Println(strings.Repeat("x", 4096))
		}
	}
}

// eatMemory takes 64 MB after 64 MB within the limit of the worker.
func eatMemory() {
	if err := limitMemory(256 << 20); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(workerFault)
	}
	var all [][]byte
	for {
		block := make([]byte, 64<<20)
		for i := range block {
			block[i] = 1
		}
		all = append(all, block)
		if len(all) > 1000 {
			os.Exit(0)
		}
	}
}

// spin works without end within the limit that the worker would have by its arguments.
func spin() {
	work, err := time.ParseDuration(os.Args[slices.Index(os.Args, "-work")+1])
	if err := errors.Join(err, limitWork(work)); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(workerFault)
	}
	for n := 0; ; n++ {
		_ = bits.OnesCount(uint(n))
	}
}

// testChild is a Child that runs this test binary in the given mode.
func testChild(t testing.TB, mode string) Child {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return Child{Exe: exe, Env: []string{workerMode + "=" + mode}}
}

// hostile is the path of a file of testdata/hostile.
func hostile(name string) string { return filepath.Join("testdata", "hostile", name) }

// readPath inspects one file without opening its picture.
func readPath(t testing.TB, path string) Meta {
	t.Helper()
	data, size, err := loadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return Read(bytes.NewReader(data), size)
}

// photos is a folder of the photo collection beside the project, which is not part of it.
func photos(t testing.TB, folder string) string {
	t.Helper()
	dir := filepath.Join("..", "..", "shared", "photos", folder)
	if _, err := os.Stat(dir); err != nil {
		t.Skipf("the photo collection %s is not here: %v", dir, err)
	}
	return dir
}

// exifTIFF is a TIFF structure with one Orientation (274, SHORT) and a Make, in either byte order.
func exifTIFF(order byteOrder, orientation int) []byte {
	b := []byte("II*\x00")
	if order == binary.BigEndian {
		b = []byte("MM\x00*")
	}
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 2)
	b = order.AppendUint32(order.AppendUint32(order.AppendUint16(order.AppendUint16(b, tagMake), typeASCII), 7), 38)
	b = order.AppendUint32(order.AppendUint16(order.AppendUint16(b, tagOrientation), 3), 1)
	b = order.AppendUint16(order.AppendUint16(b, uint16(orientation)), 0)
	b = order.AppendUint32(b, 0)
	return append(b, "Canary\x00"...)
}

// withJPEGExif puts an APP1 segment behind the SOI of a JPEG.
func withJPEGExif(data, tiff []byte) []byte {
	seg := append([]byte(exifPrefix), tiff...)
	head := binary.BigEndian.AppendUint16([]byte{0xFF, markerSOI, 0xFF, markerAPP1}, uint16(len(seg)+2))
	return append(append(head, seg...), data[2:]...)
}

// withPNGExif puts an eXIf chunk behind the IHDR chunk of a PNG.
func withPNGExif(data, tiff []byte) []byte {
	body := append([]byte("eXIf"), tiff...)
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(tiff)))
	chunk = binary.BigEndian.AppendUint32(append(chunk, body...), crc32.ChecksumIEEE(body))
	const behindIHDR = 8 + 12 + 13
	return append(append(append([]byte{}, data[:behindIHDR]...), chunk...), data[behindIHDR:]...)
}

func encodeJPEG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func encodePNG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// encodeWebP writes a lossless WebP with an EXIF chunk: VP8L without transforms, every colour a plain 8-bit code (RFC 9649 3).
func encodeWebP(img *image.NRGBA, canvas image.Point, tiff []byte) []byte {
	chunk := func(id string, body []byte) []byte {
		b := append(binary.LittleEndian.AppendUint32([]byte(id), uint32(len(body))), body...)
		return append(b, make([]byte, len(body)%2)...)
	}
	vp8x := make([]byte, 10)
	vp8x[0] = 0x08 // EXIF
	w, h := canvas.X-1, canvas.Y-1
	copy(vp8x[4:], []byte{byte(w), byte(w >> 8), byte(w >> 16), byte(h), byte(h >> 8), byte(h >> 16)})
	body := append([]byte("WEBP"), chunk("VP8X", vp8x)...)
	body = append(append(body, chunk("VP8L", vp8l(img))...), chunk("EXIF", tiff)...)
	return chunk("RIFF", body)
}

// bitWriter packs bits, the lowest first.
type bitWriter struct {
	b []byte
	n uint
}

func (w *bitWriter) put(v uint32, n uint) {
	for i := range n {
		if w.n%8 == 0 {
			w.b = append(w.b, 0)
		}
		w.b[w.n/8] |= byte(v>>i&1) << (w.n % 8)
		w.n++
	}
}

// flatCode writes a prefix code that gives the first 256 of the symbols 8 bits each.
func (w *bitWriter) flatCode(symbols int) {
	w.put(0, 1) // not simple
	w.put(12-4, 4)
	for i := range 12 { // lengths of the codes for the lengths 17 18 0 1 2 3 4 5 16 6 7 8
		w.put(map[int]uint32{2: 1, 11: 1}[i], 3)
	}
	w.put(0, 1) // all symbols
	for i := range symbols {
		w.put(map[bool]uint32{true: 1}[i < 256], 1)
	}
}

func vp8l(img *image.NRGBA) []byte {
	w := bitWriter{b: []byte{0x2f}, n: 8}
	w.put(uint32(img.Rect.Dx()-1), 14)
	w.put(uint32(img.Rect.Dy()-1), 14)
	w.put(0, 1+3+1+1+1) // no alpha, version 0, no transform, no colour cache, no meta codes
	w.flatCode(256 + 24)
	w.flatCode(256)
	w.flatCode(256)
	w.put(1|0<<1|1<<2|255<<3, 11) // alpha: always 255
	w.put(1, 4)                   // distance: always 0
	for i := 0; i < len(img.Pix); i += 4 {
		for _, c := range []int{1, 0, 2} {
			w.put(uint32(bits.Reverse8(img.Pix[i+c])), 8)
		}
	}
	return w.b
}

// noise is a picture of random-looking blocks of the given size.
func noise(w, h, block int) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := crc32.ChecksumIEEE([]byte{byte(x / block), byte(x / block >> 8), byte(y / block), byte(y / block >> 8)})
			img.SetNRGBA(x, y, color.NRGBA{byte(v), byte(v >> 8), byte(v >> 16), 255})
		}
	}
	return img
}

// writeTemp stores data in a file of its own folder and returns the path.
func writeTemp(t testing.TB, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}
