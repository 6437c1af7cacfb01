package plane_test

import (
	"fmt"

	"undercroft/annotate/plane"
)

// Four joist ends were tapped and measured; a pin between them gets a plan position.
func Example() {
	refs := []plane.Reference{
		{ID: "joist 5 at the beam", Pixel: plane.Pixel{U: 3090, V: 1768}, Plan: plane.Point{X: 72, Y: 12}, SigmaPx: plane.DefaultTap, SigmaIn: plane.DefaultTape},
		{ID: "joist 13 at the beam", Pixel: plane.Pixel{U: 1188, V: 1870}, Plan: plane.Point{X: 200, Y: 12}, SigmaPx: plane.DefaultTap, SigmaIn: plane.DefaultTape},
		{ID: "joist 11 at the ledger", Pixel: plane.Pixel{U: 1069, V: 923}, Plan: plane.Point{X: 168, Y: 120}, SigmaPx: plane.DefaultTap, SigmaIn: plane.DefaultTape},
		{ID: "joist 7 at the ledger", Pixel: plane.Pixel{U: 2936, V: 799}, Plan: plane.Point{X: 104, Y: 120}, SigmaPx: plane.DefaultTap, SigmaIn: plane.DefaultTape},
	}
	photo, err := plane.Fit(refs, plane.Image{}, plane.DefaultOptions())
	if err != nil {
		fmt.Println(err)
		return
	}
	pin, err := photo.Locate(plane.Tap{ID: "light", Pixel: plane.Pixel{U: 1973, V: 1382}, SigmaPx: plane.DefaultTap})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f, %.2f in; 95 %% within %.2f by %.2f in\n", pin.X, pin.Y, pin.Ellipse95().A, pin.Ellipse95().B)
	for _, w := range photo.Warnings {
		fmt.Println(w.Code.Advice())
	}
	// Output:
	// 140.25, 79.89 in; 95 % within 1.21 by 0.71 in
	// A wrong reference cannot be noticed: add one.
}
