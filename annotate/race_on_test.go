//go:build race

package annotate

// raceBuild tells that the race detector is built in: it makes the start of a child take a second and reports running out of memory
// in its own words.
const raceBuild = true
