package calc

import (
	"math"

	"undercroft/calc/length"
)

// gallonsPerFt3 is US gallons in a cubic foot (1728/231 = 7.48052).
const gallonsPerFt3 = 7.48052

// stormFlow is the flow of rain off an area, gallons a minute: Q = i A, i in inches an hour, A in square feet (rational method
// with a runoff coefficient of 1; ASCE 7-05 Commentary eq. C8-1 prints it as 0.0104 A i).
func stormFlow(inchesPerHour, ft2 float64) float64 { return inchesPerHour * ft2 * gallonsPerFt3 / 720 }

// leaderCapacity is what a round leader carries, gallons a minute, flowing 7/24 full (National Standard Plumbing Code 2006,
// table 13.6.1); 0 for a size that the table does not have.
func leaderCapacity(size length.Inches) float64 {
	switch size {
	case 2:
		return 23
	case 3:
		return 67
	case 4:
		return 144
	case 5:
		return 261
	case 6:
		return 424
	case 8:
		return 913
	}
	return 0
}

// cfsToGPM turns cubic feet a second into gallons a minute.
const cfsToGPM = gallonsPerFt3 * 60

// capacity is what a level gutter of that length carries, gallons a minute. Half-round: Q = 0.52 w^2.5; rectangular: Q = 7.75
// (d/w)^1.6 (w/L)^0.3 w^2.5, both in feet and cubic feet a second (Beij 1934, printed in EPA/600/R-16/093, eqs 6-68 and 6-69).
// Ogee: the roof area of the published table, at 1 in/h. Manning's equation would give about 2.3 times as much and is no use here:
// the flow in a gutter grows along its length.
func (g gutterShape) capacity(run float64) float64 {
	w := float64(g.Width) / 12
	switch g.Section {
	case "half-round":
		return 0.52 * math.Pow(w, 2.5) * cfsToGPM
	case "rectangular":
		d, l := float64(g.Depth)/12, max(run/12, w)
		return 7.75 * math.Pow(d/w, 1.6) * math.Pow(w/l, 0.3) * math.Pow(w, 2.5) * cfsToGPM
	}
	return stormFlow(1, g.TableFt2)
}

// manningN is the roughness of a smooth plastic or coated panel (0.009 to 0.011 in tables of open channel flow).
const manningN = 0.011

// waterDepth is the depth of a film of water at a panel's low end, inches: wide-channel Manning, d = (n q / (1.486 sqrt(S)))^(3/5)
// feet, q in cubic feet a second per foot of width, slope S in per in.
func waterDepth(q, slope float64) float64 {
	return 12 * math.Pow(manningN*q/(1.486*math.Sqrt(slope)), 0.6)
}
