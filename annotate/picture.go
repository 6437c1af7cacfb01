package annotate

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"

	"golang.org/x/image/webp"
)

// Errors of a header that promises more than is opened.
var (
	errTooLarge = errors.New("too many pixels")
	errNoSize   = errors.New("width or height 0")
	errTooMany  = errors.New("too many passes")
	errHEIC     = errors.New("no decoder for HEIC")
	errMoving   = errors.New("animated")
)

// checkHeader sets the upright size of the picture and refuses one that would cost too much to open. It reads headers only.
func checkHeader(m *Meta, data []byte) error {
	w, h, err := headerSize(m.Format, data)
	if m.Format == FormatHEIC {
		m.Width, m.Height = w, h
		return errHEIC
	}
	if err != nil {
		return err
	}
	if w <= 0 || h <= 0 {
		return errNoSize
	}
	m.Width, m.Height = w, h
	if m.Orientation >= 5 {
		m.Width, m.Height = h, w
	}
	if !fits(w, h) {
		return errTooLarge
	}
	switch m.Format {
	case FormatJPEG:
		if jpegScans(data, maxScans) > maxScans {
			return errTooMany
		}
	case FormatWebP:
		return checkWebP(data)
	}
	return nil
}

// headerSize is the stored size by the header; for HEIC the upright size, 0 when it cannot be told.
func headerSize(f Format, data []byte) (w, h int, err error) {
	var c image.Config
	switch f {
	case FormatJPEG:
		c, err = jpeg.DecodeConfig(bytes.NewReader(data))
	case FormatPNG:
		c, err = png.DecodeConfig(bytes.NewReader(data))
	case FormatWebP:
		c, err = webp.DecodeConfig(bytes.NewReader(data))
	case FormatHEIC:
		w, h = heicSize(data)
		return w, h, nil
	}
	return c.Width, c.Height, err
}

func fits(w, h int) bool {
	return w >= 1 && h >= 1 && w <= MaxSide && h <= MaxSide && int64(w)*int64(h) <= MaxPixels
}

// checkWebP looks at every frame, because a decoder reserves what the frame says and not what the canvas says.
func checkWebP(data []byte) error {
	for _, c := range webpChunks(data) {
		if c.id == "ANIM" || c.id == "ANMF" {
			return errMoving
		}
		if w, h, ok := webpFrame(c); ok && !fits(w, h) {
			return errTooLarge
		}
	}
	return nil
}

// decode opens the picture with the one decoder of its format; ctx ends it at the next read. A JPEG whose end marker is missing
// is opened all the same, which gives a whole picture or a coarse one; cut tells that this was so.
func decode(ctx context.Context, f Format, data []byte) (img image.Image, cut bool, err error) {
	err = guard(func() (err error) {
		r := contextReader{ctx, bytes.NewReader(data)}
		switch f {
		case FormatJPEG:
			tail := bytes.NewReader([]byte{0xFF, markerEOI})
			img, err = jpeg.Decode(io.MultiReader(r, tail))
			cut = tail.Len() == 0
		case FormatPNG:
			img, err = png.Decode(r)
		case FormatWebP:
			img, err = webp.Decode(r)
		default:
			err = fmt.Errorf("no decoder for %q", f)
		}
		return err
	})
	return img, cut, err
}

// contextReader ends with the error of its context, so that a decoder that works long on few bytes still stops.
type contextReader struct {
	ctx context.Context
	r   io.Reader
}

func (c contextReader) Read(p []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	return c.r.Read(p[:min(len(p), 4096)])
}

// brokenPicture says in plain words why the picture cannot be shown and what helps.
func brokenPicture(f Format, err error) string {
	switch {
	case errors.Is(err, errHEIC):
		return "This photo is in the HEIC format: it is kept, but it cannot be shown yet. Send it as a JPEG, " +
			"or set the phone to take JPEG photos (iPhone: Settings, Camera, Formats, Most Compatible)."
	case errors.Is(err, errTooLarge):
		return fmt.Sprintf("The picture is too large to open: at most %d megapixels and %d pixels a side are taken. "+
			"Send it at a smaller size.", MaxPixels/1_000_000, MaxSide)
	case errors.Is(err, errTooMany):
		return "The picture is stored in too many passes to be opened safely. Save it as a plain JPEG and send that."
	case errors.Is(err, errMoving):
		return "This is a moving WebP picture. Send a still photo."
	case isUnsupported(err):
		return "The picture is stored in a rare way that cannot be shown. Save it as a plain JPEG and send that."
	}
	return "The picture is damaged or cut off and cannot be shown. Send it again, or take it again."
}

// isUnsupported reports whether a decoder knows what it sees and cannot do it.
func isUnsupported(err error) bool {
	var j jpeg.UnsupportedError
	var p png.UnsupportedError
	return errors.As(err, &j) || errors.As(err, &p)
}
