// Package plane turns pins on photos of a deck's underside into plan positions with an honest uncertainty. It is pure functions over plain
// data and knows nothing of surveys, files or pages.
//
// # Places
//
// Pixels are of the picture as it is shown (Exif orientation applied), U to the right, V down, from the top left corner. Plan places are inches
// on the plane of the joists' bottom edges. Every sigma is one standard deviation per axis; every ellipse holds 95 %.
//
// # Use
//
// Fit takes the references of one photo, each tapped on it and measured on the deck, and gives a Photo. Photo.Locate turns a Tap into a
// Position with covariance and warnings; Photo.LocateHanging corrects for things below the plane; Photo.Project and Photo.ProjectSegment draw
// the plan over the photo; Photo.Warnings, Photo.Blunder and Photo.References say how far to trust it. FitBundle adjusts several photos that
// share points; Fuse averages positions of photos that share no reference. Answer does all that from JSON to JSON.
//
//   - 4 references are the least, and then nothing can be checked; 6 or more on the rim of the work area are right.
//   - With exactly 2, Fit takes the camera as looking straight up and gives rough positions near them. 3 are refused: they have several answers.
//   - A wrong reference is never dropped. It is named when one error alone explains the misfit, and a person decides.
//   - A position is refused beyond the horizon of the plane and where first-order propagation is not honest.
//
// # Method
//
// The unknowns are a homography (model H), one lens parameter held near zero (HD), and focal length and principal point held near Exif's
// (HDK). They are fitted by Gauss-Newton to pixel residuals weighted by the noise of tap, tape and joists together, from a linear start in
// normalised coordinates. Sources: Hartley & Zisserman, Multiple View Geometry in Computer Vision, 2nd ed., 2004, for homographies,
// normalisation and the camera; Foerstner & Wrobel, Photogrammetric Computer Vision, 2016, for covariances and tests; Baarda, 1968, for
// reliability; Fitzgibbon, CVPR 2001, for the lens; Wilson & Hilferty, 1931, for quantiles. The titles are cited from memory. What has no
// source beside it, such as the treatment of joists out of plane, of things that hang below, of a tilted camera in scale-only mode and the limits
// of the warnings, is our own derivation, checked by simulation in the tests.
//
// What is not modelled: a common error of all tape readings (a bent hook), taps of one person that err in one direction, lenses of ultra-wide
// cameras, stitched panoramas. None of this has been tried on real photos with known truth; the tests use simulated and rendered ones.
package plane
