package survey

import (
	"math"

	"undercroft/annotate/plane"
)

// Aim is what it takes to find the plan position of a point of one photo, for a magnifier that follows a finger. A pixel's ideal place is the
// centre of the picture plus its offset over 1 + Lambda q, with q the offset's square over that of the half diagonal; Plan takes that, as u, v, 1 in
// pixels, to plan inches times w, where a w of 0 or less lies beyond the horizon. Something that hangs d below the joists' bottoms lies nearer to the
// camera by d/Below of its distance from it. PM is the ± of 95 % in inches at the middles of a grid of rows by columns over the picture, 0 where there is
// no position.
type Aim struct {
	Plan    [9]float64  `json:"plan"` // row by row
	Lambda  float64     `json:"lambda"`
	Width   float64     `json:"width"`
	Height  float64     `json:"height"`
	CameraX float64     `json:"cameraX"`
	CameraY float64     `json:"cameraY"`
	Below   float64     `json:"below"` // 0 when the camera's place is not known
	PM      [][]float64 `json:"pm"`
}

// The grid of Aim.PM.
const (
	aimRows    = 12
	aimColumns = 12
)

// Aim gives the geometry of a photo for pointing; false when the photo has none that may be trusted.
func (g Geometry) Aim(photo Photo) (Aim, bool) {
	p := g[photo.ID]
	if p.Fit == nil || !p.Trusted || p.Fit.ScaleOnly {
		return Aim{}, false
	}
	inverse, ok := invert(p.Fit.H)
	if !ok {
		return Aim{}, false
	}
	a := Aim{Plan: inverse, Lambda: p.Fit.Lambda, Width: float64(photo.Width), Height: float64(photo.Height)}
	if pose := p.Fit.Pose; pose != nil {
		a.CameraX, a.CameraY, a.Below = pose.X, pose.Y, pose.Below
	}
	for i := range aimRows {
		row := make([]float64, aimColumns)
		for j := range row {
			at := Pin{Number: 1, X: (float64(j) + 0.5) / aimColumns, Y: (float64(i) + 0.5) / aimRows}
			if located, problem := g.Locate(photo, at, 0); problem == "" {
				row[j] = math.Round(located.PM()*1000) / 1000
			}
		}
		a.PM = append(a.PM, row)
	}
	return a, true
}

// invert is the inverse of a homography by its adjugate, with the sign that keeps w positive on the references' side of the horizon: the
// product of both, H times its inverse, is the identity times a positive number. False when there is none.
func invert(h [3][3]float64) ([9]float64, bool) {
	minor := func(r, c int) float64 {
		r1, r2, c1, c2 := (r+1)%3, (r+2)%3, (c+1)%3, (c+2)%3
		return h[r1][c1]*h[r2][c2] - h[r1][c2]*h[r2][c1]
	}
	det := h[0][0]*minor(0, 0) + h[0][1]*minor(0, 1) + h[0][2]*minor(0, 2)
	if det == 0 || math.IsNaN(det) {
		return [9]float64{}, false
	}
	var out [9]float64
	for r := range 3 {
		for c := range 3 {
			out[3*r+c] = minor(c, r) / det
		}
	}
	return out, true
}

// ellipseSides are the corners of the polygon that stands for an ellipse.
const ellipseSides = 48

// EllipseOn is the 95 % ellipse of a located pin as it looks on its photo, laid around the pinned point: fractions of the upright picture, nil when
// some of it lies beyond the horizon.
func (g Geometry) EllipseOn(photo Photo, pin Pin, located Located) [][2]float64 {
	p := g[photo.ID]
	if p.Fit == nil {
		return nil
	}
	middle, err := p.Fit.Locate(plane.Tap{ID: InputID(pin.Number), Pixel: pixel(photo, pin.X, pin.Y), SigmaPx: tapSigma(photo)})
	if err != nil {
		return nil
	}
	o := overlay{w: float64(photo.Width), h: float64(photo.Height)}
	var ring [][2]float64
	for _, at := range located.Ellipse.Around(middle.Point, ellipseSides) {
		to, ok := p.Fit.Project(at)
		if !ok {
			return nil
		}
		ring = append(ring, o.fraction(to))
	}
	return ring
}
