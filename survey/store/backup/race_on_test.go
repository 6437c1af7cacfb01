//go:build race

package backup

// loadBackups are fewer with the race detector, under which SQLite is an order of magnitude slower.
const loadBackups = 3
