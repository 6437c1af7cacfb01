package plane

import (
	"math"
	"testing"
)

// TestPublishedFourPoints: the worked example in the README of the JavaScript library perspective-transform (github.com/jlouthan/perspective-transform,
// commit 155cffe5), read in a stored copy. It rounds H to 10 decimals, hence the tolerances.
func TestPublishedFourPoints(t *testing.T) {
	from := []Point{{158, 64}, {494, 69}, {495, 404}, {158, 404}}
	to := []Pixel{{100, 500}, {152, 564}, {148, 604}, {100, 560}}
	var refs []Reference
	for i := range from {
		refs = append(refs, Reference{string(rune('A' + i)), to[i], from[i], 4, 0.125})
	}
	opt := DefaultOptions()
	opt.Model = ModelH
	p, err := Fit(refs, Image{}, opt)
	if err != nil {
		t.Fatal(err)
	}
	published := [3][3]float64{
		{0.3869749384, 0.0426817448, 59.2427947969},
		{0.9589610618, 0.4562821238, 434.8644299345},
		{0.0012901794, 0.0004268174, 1},
	}
	for i, row := range published {
		for j, want := range row {
			if got := p.H[i][j] / p.H[2][2]; math.Abs(got-want) > 1e-9*math.Max(1, math.Abs(want)) {
				t.Errorf("H[%d][%d]: got %.10f, want %.10f", i, j, got, want)
			}
		}
	}
	px, ok := p.Project(Point{250, 120})
	if !ok || math.Abs(px.U-117.27521125839255) > 1e-4 || math.Abs(px.V-530.9202410878403) > 1e-4 {
		t.Errorf("(250, 120) projects to %v", px)
	}
	back, err := p.Locate(Tap{"P", Pixel{130, 570}, 4})
	if err != nil || math.Abs(back.X-338.99465637447327) > 1e-4 || math.Abs(back.Y-278.6450957956236) > 1e-4 {
		t.Errorf("(130, 570) is located at %v, %v", back.Point, err)
	}
}

// TestPublishedHomography applies the homography of the OpenCV tutorial "Basic concepts of the homography explained with code" (its output
// "findHomography H"). The tutorial's corners come from pictures, so the mapped points are computed from the printed matrix by hand.
func TestPublishedHomography(t *testing.T) {
	h := matrix3{
		{0.32903393332201, -1.244138808862929, 536.4769088231476},
		{0.6969763913334046, -0.08935909072571542, -80.34068504082403},
		{0.00040511729592961, -0.001079740100565013, 1},
	}
	for _, c := range []struct{ at, want vec2 }{
		{vec2{0, 0}, vec2{536.4769, -80.3407}},
		{vec2{640, 0}, vec2{593.2450, 290.4244}},
		{vec2{320, 240}, vec2{394.2269, 139.2827}},
		{vec2{0, 480}, vec2{-126.0257, -255.8163}},
	} {
		v := h.apply(c.at)
		got := vec2{v[0] / v[2], v[1] / v[2]}
		if got.sub(c.want).norm() > 1e-4 {
			t.Errorf("%v maps to %v, want %v", c.at, got, c.want)
		}
		flat := homography{h[0][0], h[0][1], h[0][2], h[1][0], h[1][1], h[1][2], h[2][0], h[2][1]}
		if got := flat.project(c.at); got.sub(c.want).norm() > 1e-4 {
			t.Errorf("%v projects to %v, want %v", c.at, got, c.want)
		}
		if back, ok := flat.backProject(c.want); flat.depth(c.at) > 0 && (!ok || back.sub(c.at).norm() > 1e-2) {
			t.Errorf("%v comes back as %v, want %v", c.want, back, c.at)
		}
	}
}

// TestOutsideMaximumLikelihood: positions by scipy.optimize.least_squares with errors in photo and plan both (v2: over the homography and the
// true places of the references; v3: over rotation, translation, focal length, principal point and lens). First-order weights agree with it to
// within a few thousandths of a sigma.
func TestOutsideMaximumLikelihood(t *testing.T) {
	for name, want := range map[string][]struct{ x, y, sd float64 }{
		"v2": {{214.88981, 96.10512, .334}, {160.19826, 71.32351, .287}, {288.54003, 30.52877, .505}},
		"v3": {{255.71963, 95.78727, .205}, {224.35517, 29.53981, .323}, {304.77717, 1.47434, .419}},
	} {
		got, _ := vector(t, name)
		for i, pin := range got.(map[string]any)["pins"].([]any) {
			p := pin.(map[string]any)
			off := math.Hypot(p["x"].(float64)-want[i].x, p["y"].(float64)-want[i].y)
			if off > 0.01*want[i].sd {
				t.Errorf("%s pin %d: %.5f in from the full solution, sigma %.2f", name, i+1, off, want[i].sd)
			}
		}
	}
}

// TestBundleAgainstScipy: positions, covariances and cost of v8 by scipy.optimize.least_squares over the same unknowns, to its printed digits.
func TestBundleAgainstScipy(t *testing.T) {
	got, _ := vector(t, "v8")
	b := got.(map[string]any)
	if omega := b["omega"].(float64); math.Abs(omega-5.835897578869302) > 1e-9 {
		t.Errorf("omega %v, want 5.835897578869302", omega)
	}
	want := map[string][5]float64{
		"Q":  {224.080061, 35.666145, 0.070821, -0.038755, 0.204522},
		"T3": {112.896342, 48.563155, 0.182105, 0.119757, 0.315937},
		"T5": {137.19739, 12.915017, 0.426795, 0.299909, 0.821239},
	}
	for _, v := range b["points"].([]any) {
		p := v.(map[string]any)
		w, ok := want[p["id"].(string)]
		if !ok {
			continue
		}
		cov := p["cov"].([]any)
		values := [5]float64{p["x"].(float64), p["y"].(float64), cov[0].([]any)[0].(float64), cov[0].([]any)[1].(float64), cov[1].([]any)[1].(float64)}
		for i := range w {
			if math.Abs(values[i]-w[i]) > 1e-6 {
				t.Errorf("%s[%d]: got %v, want %v", p["id"], i, values[i], w[i])
			}
		}
	}
}

// TestChi2Quantile against the tables (99.9 %: 13.82, 16.27, 18.47, 22.46, 29.59; 99 %: 9.210, 13.28, 23.21; from memory of any statistics table):
// the cube root approximation is within 2.5 % at two degrees of freedom and better above. And against its own values for 1 to 10.
func TestChi2Quantile(t *testing.T) {
	for _, c := range []struct {
		k           int
		z, want, by float64
	}{
		{2, z999, 13.82, 0.025}, {3, z999, 16.27, 0.02}, {4, z999, 18.47, 0.015}, {6, z999, 22.46, 0.01}, {10, z999, 29.59, 0.007},
		{2, z99, 9.210, 0.02}, {4, z99, 13.28, 0.01}, {10, z99, 23.21, 0.005},
		{1, z999, 11.16, 5e-4}, {2, z999, 14.13, 5e-4}, {4, z999, 18.72, 5e-4}, {6, z999, 22.68, 5e-4}, {10, z999, 29.76, 5e-4},
	} {
		if got := chi2Quantile(c.k, c.z); math.Abs(got-c.want) > c.by*c.want {
			t.Errorf("chi2Quantile(%d, %v): got %.3f, want %.3f", c.k, c.z, got, c.want)
		}
	}
}
