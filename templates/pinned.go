package templates

import (
	"fmt"
	"math"
	"strconv"
)

// PinnedPin is one pin to draw on a photo: Kind is a survey.PinKind, the ends are fractions of the upright picture. Label says the pin
// in words for those who do not see it; Href may be empty on paper. Count over 1 marks a row drawn as one pin.
type PinnedPin struct {
	Kind     string
	Number   int
	X, Y     float64
	X2, Y2   *float64
	Label    string
	Href     string
	ID       string
	Selected bool
	Caution  bool
	Count    int
}

// PinnedPhoto is what the part pin-overlay draws over a picture: the upright picture at Src, Width by Height pixels at full size, with its pins. Every
// number in Marks is ready to print. Build it with PinPhoto.
type PinnedPhoto struct {
	Src, Alt      string
	Width, Height int
	Marks         []PinMark
	Ceiling       CeilingOver // below the pins; LayCeiling fills it
}

// PinMark is a pin placed on its photo. Percent places are of the picture; DX to TextY are px from there.
type PinMark struct {
	PinnedPin
	Left, Top   string // the anchor: "37.13%"
	Left1, Top1 string // ends of a pin with two ends, empty otherwise
	Left2, Top2 string
	Slant       string    // rotation of the strokes at the ends of a line, in degrees
	Line        []float64 // the line in pixels of the picture: x1 y1 x2 y2
	Head        Head
	Leader      bool
	LX, LY      string // where the leader meets the head
	TextY       string
	Text        string
}

// PinPhoto places the heads for a picture shown width px wide and gives what the part pin-overlay needs. The marks keep their size in px
// when the picture is shown larger; choose the width that it will have, 360 for the smallest screen. A photo of unknown size counts as 4:3.
func PinPhoto(src, alt string, photoWidth, photoHeight int, width float64, pins []PinnedPin) PinnedPhoto {
	if photoWidth <= 0 || photoHeight <= 0 {
		photoWidth, photoHeight = 4, 3
	}
	photo := PinnedPhoto{Src: src, Alt: alt, Width: photoWidth, Height: photoHeight}
	places := make([]LeaderPin, len(pins))
	for i, p := range pins {
		places[i] = LeaderPin{X: p.X, Y: p.Y, X2: p.X2, Y2: p.Y2, On: sitsOnPoint(p.Kind)}
	}
	heads := PlaceHeads(width, width*float64(photoHeight)/float64(photoWidth), places)
	for i, p := range pins {
		photo.Marks = append(photo.Marks, pinMark(photo, p, heads[i]))
	}
	return photo
}

// sitsOnPoint tells whether a kind's head may stand on its exact point: a line's number, a surface and a note point at no detail.
func sitsOnPoint(kind string) bool { return kind == "dimension" || kind == "wall" || kind == "note" }

func pinMark(photo PinnedPhoto, p PinnedPin, head Head) PinMark {
	m := PinMark{PinnedPin: p, Head: head, TextY: markTextY(p.Kind), Text: markText(p.Number)}
	x, y := p.X, p.Y
	if p.X2 != nil && p.Y2 != nil {
		x, y = (p.X+*p.X2)/2, (p.Y+*p.Y2)/2
		m.Left1, m.Top1, m.Left2, m.Top2 = percent(p.X), percent(p.Y), percent(*p.X2), percent(*p.Y2)
		w, h := float64(photo.Width), float64(photo.Height)
		m.Line = []float64{p.X * w, p.Y * h, *p.X2 * w, *p.Y2 * h}
		m.Slant = strconv.FormatFloat(math.Atan2(m.Line[3]-m.Line[1], m.Line[2]-m.Line[0])*180/math.Pi, 'f', 1, 64)
	}
	m.Left, m.Top = percent(x), percent(y)
	if d := math.Hypot(head.DX, head.DY); d > 0 {
		m.Leader = true
		m.LX, m.LY = fmt.Sprintf("%.1f", head.DX*(d-13)/d), fmt.Sprintf("%.1f", head.DY*(d-13)/d)
	}
	return m
}

// percent prints a fraction as an SVG percentage, to a hundredth of a pixel of the largest photos.
func percent(f float64) string { return strconv.FormatFloat(f*100, 'f', 5, 64) + "%" }

// markText is the number in the head, + for a pin that has none yet.
func markText(number int) string {
	if number <= 0 {
		return "+"
	}
	return strconv.Itoa(number)
}

// markTextY is the baseline of the number in a kind's mark, in px below its centre; the symbols in pinmarks.html carry the same.
func markTextY(kind string) string {
	switch kind {
	case "level":
		return "-1"
	case "clearance":
		return "2"
	case "post":
		return "3"
	case "fixture":
		return "5.5"
	case "opening":
		return "6"
	case "water":
		return "8"
	}
	return "4.5"
}
