package draw_test

import (
	"fmt"

	"undercroft/survey/report/draw"
)

// A string of dimensions beside a drawing: the narrow gap's figure goes to a lane outside.
func ExampleDrawing_Dims() {
	d := &draw.Drawing{Title: "A strip"}
	d.Rect(draw.Box{X1: 120, Y1: 10}, draw.Style{Pen: draw.Heavy})
	d.Dims(draw.DimString{Side: draw.Top, At: -11, Marks: []float64{0, 110, 120}, Labels: []string{"9′ 2″", "10 1/16″"}, Ext: []float64{0}})
	for _, t := range d.Texts() {
		fmt.Printf("%s at %.1f, %.1f\n", t.S, t.At.X, t.At.Y)
	}
	// Output:
	// 9′ 2″ at 55.0, -13.2
	// 10 1/16″ at 115.0, -23.0
}
