//go:build !race

package backup

const loadBackups = 10
