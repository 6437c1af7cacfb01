//go:build !race

package annotate

// raceBuild tells that the race detector is not built in.
const raceBuild = false
