package annotate

// How foreign bytes are kept at arm's length.
//
// The kind of a file is told by its first bytes, and only the one right decoder ever sees it. What the camera noted (EXIF) is
// found by walks of our own over the container and checked bound by bound; the dozen tags that are wanted are copied into a
// fresh small TIFF, and only that copy is given to the EXIF library. A picture is opened only after its header promised a size
// that fits, and becomes a plain pixel buffer of our own before the imaging library sees it. Every step runs under recover, and
// the server runs all of it in a child process with a limit on memory and time (Child), because running out of memory and a
// panic on a foreign goroutine cannot be recovered from.
//
// A good EXIF block in a broken picture and a good picture with a broken EXIF block are both common: neither loses the other.

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Limits of what is taken in. They are far above what cameras write (48 megapixels, 15 MB) and far below what harms a server.
const (
	MaxFileBytes = 40 << 20    // bytes of one photo file
	MaxSide      = 20_000      // pixels of either side
	MaxPixels    = 100_000_000 // width times height
	maxScans     = 100         // passes of a progressive JPEG; cameras write about ten
	headBytes    = 256 << 10   // read of a file that is too large, for its EXIF alone
)

// Result is what one photo gave: what it says of itself and the paths of the two derivatives, empty when there is none.
// Meta.Problem says why there is none.
type Result struct {
	Meta   Meta   `json:"meta"`
	Screen string `json:"screen,omitempty"` // longest side at most ScreenSide, JPEG without metadata
	Thumb  string `json:"thumb,omitempty"`  // longest side at most ThumbSide, JPEG without metadata
}

// Read tells what a photo file of the given size says of itself, without opening the picture. It never fails: what cannot be read
// is unknown, and a file that cannot be shown says why in Problem. Quality stays nil.
func Read(r io.ReaderAt, size int64) Meta {
	data, err := load(r, size)
	if err != nil {
		return Meta{Orientation: 1, Problem: "The file could not be read to its end."}
	}
	return inspect(data, size)
}

// Make reads the photo at path and writes outDir/screen.jpg and outDir/thumb.jpg, upright and without metadata; outDir must
// exist. What the file itself makes impossible is told in Result.Meta.Problem and is no error; the error is for a path that
// cannot be read, a folder that cannot be written, and a ctx that ended. It works in this very process: the server uses Child.
func Make(ctx context.Context, path, outDir string) (Result, error) {
	return makeEarly(ctx, path, outDir, func(Meta) {})
}

// makeEarly is Make that also hands out what was read before the picture is opened, so that it is not lost with the picture.
func makeEarly(ctx context.Context, path, outDir string, early func(Meta)) (Result, error) {
	data, size, err := loadFile(path)
	if err != nil {
		return Result{}, err
	}
	meta := inspect(data, size)
	early(meta)
	if meta.Problem != "" {
		return Result{Meta: meta}, nil
	}
	pair, err := derive(ctx, data, &meta)
	if ctx.Err() != nil {
		return Result{Meta: meta}, fmt.Errorf("open picture: %w", context.Cause(ctx))
	}
	if err != nil {
		meta.Problem = brokenPicture(meta.Format, err)
		return Result{Meta: meta}, nil
	}
	return pair.write(meta, outDir)
}

// inspect reads all that can be told without opening the picture; size is that of the whole file, of which data may be the head.
func inspect(data []byte, size int64) Meta {
	m := Meta{Format: Sniff(data), Orientation: 1}
	if m.Format == FormatUnknown {
		m.Problem = describeUnknown(data)
		return m
	}
	if err := guard(func() error { return readExif(&m, exifBlock(m.Format, data)) }); err != nil {
		m.Warnings = append(m.Warnings, "What the camera noted in this file is damaged; a part of it may be missing.")
	}
	if err := guard(func() error { return checkHeader(&m, data) }); err != nil {
		m.Problem = brokenPicture(m.Format, err)
	}
	if size > MaxFileBytes {
		m.Problem = fmt.Sprintf("The file is larger than %d MB. Send it at a smaller size.", MaxFileBytes>>20)
	}
	return m
}

// exifBlock is the TIFF structure of the camera's notes in the file, nil when there is none.
func exifBlock(f Format, data []byte) []byte {
	switch f {
	case FormatJPEG:
		return jpegExif(data)
	case FormatPNG:
		return pngExif(data)
	case FormatWebP:
		return webpExif(data)
	case FormatHEIC:
		return heicExif(data)
	}
	return nil
}

// errPanic stands for a panic in a library that was fed foreign bytes.
var errPanic = errors.New("reading stopped unexpectedly")

// guard runs f and turns a panic on this goroutine into errPanic.
func guard(f func() error) (err error) {
	defer func() {
		if recover() != nil {
			err = errPanic
		}
	}()
	return f()
}

// load reads size bytes, or the head of a file that is too large.
func load(r io.ReaderAt, size int64) ([]byte, error) {
	n := size
	if size > MaxFileBytes {
		n = headBytes
	}
	data := make([]byte, max(n, 0))
	got, err := r.ReadAt(data, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	return data[:got], nil
}

// loadFile is load for a regular file, with the size of the whole file.
func loadFile(path string) ([]byte, int64, error) {
	f, err := os.Open(path) // #nosec G304 -- the file that the worker was started for
	if err != nil {
		return nil, 0, fmt.Errorf("open photo: %w", err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, 0, fmt.Errorf("stat photo: %w", err)
	}
	if !info.Mode().IsRegular() {
		return nil, 0, fmt.Errorf("open photo: %s is not a regular file", filepath.Base(path))
	}
	data, err := load(f, info.Size())
	if err != nil {
		return nil, 0, fmt.Errorf("read photo: %w", err)
	}
	return data, info.Size(), nil
}
