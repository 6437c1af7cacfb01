package plane

import "math"

// Pixel is a place on the photo as it is shown, after its Exif orientation was applied: U to the right, V down, in pixels of the
// full picture from its top left corner.
type Pixel struct{ U, V float64 }

// Point is a place on the plan, in inches, on the plane of the joists' bottom edges.
type Point struct{ X, Y float64 }

// Cov is a covariance of plan X and Y in square inches: symmetric, one sigma squared on its diagonal.
type Cov [2][2]float64

// Image is what is known of the photo: Width and Height in pixels as it is shown, and F35, the focal length in millimetres equivalent to
// the 35 mm format as Exif gives it, 0 when unknown or when the picture was cropped or edited. The zero Image is "nothing is known".
type Image struct {
	Width, Height float64
	F35           float64
}

// known says whether the picture's size is there.
func (i Image) known() bool { return i.Width > 0 && i.Height > 0 }

// halfDiagonal is the distance from the middle of the picture to its corner in pixels.
func (i Image) halfDiagonal() float64 { return math.Hypot(i.Width, i.Height) / 2 }

func (i Image) centre() vec2 { return vec2{i.Width / 2, i.Height / 2} }

// Focal is the focal length in pixels that F35 stands for, by the diagonal of the frame (CIPA DCG-001 defines the equivalent by the
// diagonal); 0 when unknown. Some makers use the width instead, 3.9 % less on a 4:3 picture, which is why it is only a soft prior.
func (i Image) Focal() float64 {
	if !i.known() || i.F35 <= 0 {
		return 0
	}
	return i.F35 * math.Hypot(i.Width, i.Height) / math.Hypot(36, 24)
}

// Model says which unknowns the fit of a photo has.
type Model string

// The models. ModelAuto takes the richest that the Image supports, and leaves the focal length out again when the references
// contradict it.
const (
	ModelAuto Model = ""
	ModelH    Model = "H"   // a homography, 8 unknowns
	ModelHD   Model = "HD"  // and one lens parameter, held near 0; needs Image.Width and Height
	ModelHDK  Model = "HDK" // and focal length and principal point, held near Exif's; needs Image.F35 too
)

// Handedness tells how the plan lies to a photo taken from below: Same when plan x turns into plan y counter-clockwise seen from above,
// Mirrored when the plan is drawn x to the right and y down the page. It is the sign of det d(u,v)/d(x,y).
type Handedness string

// The two senses, and none: no test.
const (
	AnyHandedness Handedness = ""
	Same          Handedness = "same"
	Mirrored      Handedness = "mirrored"
)

// Reference is a place whose plan position was measured and that was tapped on the photo. SigmaPx is the tap's standard deviation per
// axis in pixels, SigmaIn the measurement's in inches; both must be positive (see DefaultTap and DefaultTape).
type Reference struct {
	ID      string
	Pixel   Pixel
	Plan    Point
	SigmaPx float64
	SigmaIn float64
}

// Tap is a pin whose plan position is wanted; SigmaPx as in Reference.
type Tap struct {
	ID      string
	Pixel   Pixel
	SigmaPx float64
}

// The usual standard deviations: a fingertip without a magnifier, a tape read on site, and joist bottoms out of their plane.
const (
	DefaultTap  = 4.0   // pixels
	DefaultTape = 0.125 // inches
	usualSigmaZ = 0.125 // inches
)

// Options are the assumptions of a fit; all sigmas are one standard deviation.
type Options struct {
	Model       Model
	SigmaLambda float64    // of the lens parameter, 0.01: one per cent of radial shift at the corner
	SigmaF      float64    // of the focal length, as a part of it; 0: 0.03, or 0.08 when the picture is neither 4:3 nor 3:2
	SigmaPP     float64    // of the principal point, as a part of the picture's width, 0.01
	SigmaZ      float64    // inches that the joists' bottoms lie out of plane; 0 leaves it out; needs a focal length
	Handedness  Handedness // what the plan's sense must be
	TiltDegrees float64    // scale-only mode: how far the camera may have been from straight up, per axis, 5
}

// DefaultOptions are the options for a joist underside: everything at its usual value, SigmaZ 1/8 in, no test of handedness.
func DefaultOptions() Options {
	return Options{SigmaLambda: 0.01, SigmaPP: 0.01, SigmaZ: usualSigmaZ, TiltDegrees: 5}
}

// focalSigma is SigmaF, or the usual value for the picture's shape: other shapes than the sensor's are cut from it in unknown ways.
func (o Options) focalSigma(i Image) float64 {
	if o.SigmaF > 0 {
		return o.SigmaF
	}
	long, short := math.Max(i.Width, i.Height), math.Min(i.Width, i.Height)
	for _, shape := range []float64{4.0 / 3, 3.0 / 2} {
		if math.Abs(long-shape*short) <= 0.005*long {
			return 0.03
		}
	}
	return 0.08
}

// Ellipse is a region on the plan that holds the true position with 95 %: half axes A >= B in inches, the direction of A in degrees
// from plan x towards plan y, in [0, 180).
type Ellipse struct{ A, B, Degrees float64 }

// ellipseFactor is the square root of the 95 % quantile of chi-square with 2 degrees of freedom, sqrt(-2 ln 0.05).
const ellipseFactor = 2.447746830680816

// Ellipse95 is the 95 % region of a Gaussian position with this covariance (Foerstner & Wrobel, Photogrammetric Computer Vision, 2016,
// 2.4: the ellipse of constant chi-square).
func (c Cov) Ellipse95() Ellipse {
	greater, lesser, angle := mat2(c).eigen()
	degrees := angle * 180 / math.Pi
	if degrees >= 180 {
		degrees = 0
	}
	return Ellipse{ellipseFactor * math.Sqrt(math.Max(greater, 0)), ellipseFactor * math.Sqrt(math.Max(lesser, 0)), degrees}
}

// Around are n points of the ellipse's rim about a middle, evenly spaced in its parameter.
func (e Ellipse) Around(middle Point, n int) []Point {
	sin, cos := math.Sincos(e.Degrees * math.Pi / 180)
	rim := make([]Point, n)
	for i := range rim {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		rim[i] = Point{middle.X + e.A*c*cos - e.B*s*sin, middle.Y + e.A*c*sin + e.B*s*cos}
	}
	return rim
}
