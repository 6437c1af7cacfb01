// Package calc plans a sloped ceiling hung below the joists of an elevated deck: zones, furring, panels and seams, notches,
// cutting, material, water, loads, movement, headroom and cautions. It is pure functions over plain data and knows nothing of
// surveys, pages or storage.
//
// Decode reads a document strictly, Check judges an Input built in code, Compute plans it, WriteSheet prints the plan to read.
// What is wrong with a document is an *InputError; what is wrong with the deck is an Issue of the plan.
//
// Lengths are inches. Plan coordinates have x along the house and y away from it. Inside a zone everything is in the fall frame:
// x across the fall, y down it, so that the high edge has the least y whichever way the ceiling falls. The underside of the
// joists is a plane fitted to the measured heights; the ceiling is a plane level across the fall; the furring's thickness is what
// lies between the two.
//
// Comparisons of lengths take 1e-6 in in favour of what the deck allows: a limit met within that is met. Cut lengths are rounded
// down to 1/16, thicknesses to the nearest, screws and notches up; figures that are worked on stay exact.
//
// The rules are common practice of the trade or an assumption where no source stands beside them. Structure is for a licensed
// professional, and local codes come first.
package calc

// MaxLength is the greatest length, in inches either way, that the calculator takes: a thousand feet.
const MaxLength = 12000
