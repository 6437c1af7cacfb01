// Package calc plans a sloped ceiling hung below the joists of an elevated deck: zones, furring, panels and seams, notches,
// cutting, material, water, loads, movement, headroom and cautions. It is pure functions over plain data and knows nothing of
// surveys, pages or storage.
package calc

// MaxLength is the greatest length, in inches either way, that the calculator takes: a thousand feet.
const MaxLength = 12000
