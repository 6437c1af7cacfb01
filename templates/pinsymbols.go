package templates

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
)

// PinStroke is one stroke of a pin's mark as a chain of points in px about the head's middle, curves as short lines. Filled ones are filled, closed or not;
// Closed draws the line back to the first point. Thick is drawn 3.5 px wide, others 2.
type PinStroke struct {
	Points                [][2]float64
	Filled, Closed, Thick bool
}

// PinSymbols are the marks of the pins by kind, read from the symbols that pages draw, so that paper draws the same. A fault in them is a fault of the
// program.
func PinSymbols() map[string][]PinStroke { return symbols() }

// symbols reads the marks once.
var symbols = sync.OnceValue(func() map[string][]PinStroke {
	text, err := files.ReadFile("part/pinmarks.html")
	if err != nil {
		panic(fmt.Errorf("read the marks of the pins: %w", err))
	}
	marks := map[string][]PinStroke{}
	for _, symbol := range symbolPart.FindAllStringSubmatch(string(text), -1) {
		for _, shape := range shapePart.FindAllStringSubmatch(symbol[2], -1) {
			marks[symbol[1]] = append(marks[symbol[1]], strokesOf(shape[1], attributes(shape[2]))...)
		}
	}
	return marks
})

var (
	symbolPart = regexp.MustCompile(`<symbol id="k-(\w+)"[^>]*>(.*?)</symbol>`)
	shapePart  = regexp.MustCompile(`<(path|circle|rect) ([^>]*)/>`)
	attribute  = regexp.MustCompile(`([\w-]+)="([^"]*)"`)
	pathPart   = regexp.MustCompile(`[A-Za-z][^A-Za-z]*`)
	pathNumber = regexp.MustCompile(`-?(?:\d+\.?\d*|\.\d+)`)
)

func attributes(text string) map[string]string {
	out := map[string]string{}
	for _, a := range attribute.FindAllStringSubmatch(text, -1) {
		out[a[1]] = a[2]
	}
	return out
}

// strokesOf are the strokes of one shape: class "o" is not filled, "t" is thick.
func strokesOf(tag string, a map[string]string) []PinStroke {
	number := func(name string) float64 {
		v, _ := strconv.ParseFloat(a[name], 64) // what is not given counts as 0
		return v
	}
	var strokes []PinStroke
	switch tag {
	case "circle":
		r := number("r")
		strokes = []PinStroke{{Points: arc([2]float64{r, 0}, [2]float64{-r, 0}, r, true), Closed: true}}
		strokes[0].Points = append(strokes[0].Points, arc([2]float64{-r, 0}, [2]float64{r, 0}, r, true)...)
	case "rect":
		x, y, w, h := number("x"), number("y"), number("width"), number("height")
		strokes = []PinStroke{{Points: [][2]float64{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}, Closed: true}}
	default:
		strokes = pathStrokes(a["d"])
	}
	classes := strings.Fields(a["class"])
	for i := range strokes {
		strokes[i].Filled = true
		for _, c := range classes {
			strokes[i].Filled = strokes[i].Filled && c != "o"
			strokes[i].Thick = strokes[i].Thick || c == "t"
		}
	}
	return strokes
}

// pathStrokes reads the commands that the marks use: M, L, H, V, C, A with circular arcs below half a turn, and Z, all absolute.
func pathStrokes(d string) []PinStroke {
	var strokes []PinStroke
	var at [2]float64
	add := func(points ...[2]float64) {
		s := &strokes[len(strokes)-1]
		s.Points, at = append(s.Points, points...), points[len(points)-1]
	}
	for _, part := range pathPart.FindAllString(d, -1) {
		n := numbers(part[1:])
		switch part[0] {
		case 'M':
			strokes = append(strokes, PinStroke{})
			for i := 0; i+1 < len(n); i += 2 {
				add([2]float64{n[i], n[i+1]})
			}
		case 'L':
			for i := 0; i+1 < len(n); i += 2 {
				add([2]float64{n[i], n[i+1]})
			}
		case 'H':
			add([2]float64{n[0], at[1]})
		case 'V':
			add([2]float64{at[0], n[0]})
		case 'C':
			for i := 0; i+5 < len(n); i += 6 {
				add(bezier(at, [2]float64{n[i], n[i+1]}, [2]float64{n[i+2], n[i+3]}, [2]float64{n[i+4], n[i+5]})...)
			}
		case 'A':
			add(arc(at, [2]float64{n[5], n[6]}, n[0], n[4] == 1)...)
		case 'Z':
			strokes[len(strokes)-1].Closed = true
		default:
			panic(fmt.Errorf("the marks of the pins use the path command %q, which is not read", part))
		}
	}
	return strokes
}

func numbers(text string) []float64 {
	var list []float64
	for _, s := range pathNumber.FindAllString(text, -1) {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			panic(fmt.Errorf("read the marks of the pins: %w", err))
		}
		list = append(list, v)
	}
	return list
}

// curveSteps are the short lines that stand for a curve.
const curveSteps = 12

// bezier is a cubic curve from a to d without its first point.
func bezier(a, b, c, d [2]float64) [][2]float64 {
	var points [][2]float64
	for i := 1; i <= curveSteps; i++ {
		t := float64(i) / curveSteps
		u := 1 - t
		var p [2]float64
		for k := range 2 {
			p[k] = u*u*u*a[k] + 3*u*u*t*b[k] + 3*u*t*t*c[k] + t*t*t*d[k]
		}
		points = append(points, p)
	}
	return points
}

// arc is a circular arc of radius r of at most half a turn from a to b without its first point; clockwise on the screen when sweep is set.
func arc(a, b [2]float64, r float64, sweep bool) [][2]float64 {
	mid, half := [2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}, math.Hypot(b[0]-a[0], b[1]-a[1])/2
	off := math.Sqrt(max(r*r-half*half, 0)) / max(2*half, 1e-9)
	if !sweep {
		off = -off
	}
	center := [2]float64{mid[0] - (b[1]-a[1])*off, mid[1] + (b[0]-a[0])*off}
	from, to := math.Atan2(a[1]-center[1], a[0]-center[0]), math.Atan2(b[1]-center[1], b[0]-center[0])
	switch {
	case sweep && to <= from:
		to += 2 * math.Pi
	case !sweep && to >= from:
		to -= 2 * math.Pi
	}
	var points [][2]float64
	for i := 1; i <= curveSteps; i++ {
		sin, cos := math.Sincos(from + (to-from)*float64(i)/curveSteps)
		points = append(points, [2]float64{center[0] + r*cos, center[1] + r*sin})
	}
	return points
}
