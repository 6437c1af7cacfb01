package main

import (
	"os"
	"path/filepath"
	"testing"

	"undercroft/survey/store/disktest"
)

// TestPowerCut cuts the disk off from the real program at random moments. Unlike a kill this shows a sync that is missing. On one disk the database's own syncs would write
// down the names of photos too, and hide that a folder is not synced; so the database lies on a second disk in the second half, and only the photos' is cut off.
func TestPowerCut(t *testing.T) {
	for _, test := range []struct {
		name string
		two  bool
	}{{"one disk", false}, {"two disks", true}} {
		t.Run(test.name, func(t *testing.T) {
			photos := disktest.NewImage(t, "")
			dir := filepath.Join(photos.Dir, "data")
			if test.two {
				apart(t, dir, disktest.NewImage(t, "").Dir)
			}
			cutOff(t, photos, dir, rounds()/2)
		})
	}
}

// apart prepares a data folder whose database lies on another disk.
func apart(t *testing.T, dir, other string) {
	t.Helper()
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	database := filepath.Join(other, "undercroft.db")
	if err := os.WriteFile(database, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(database, filepath.Join(dir, "undercroft.db")); err != nil {
		t.Fatal(err)
	}
}

// cutOff cuts a disk off so many times, and each time wants all that was acknowledged before.
func cutOff(t *testing.T, disk disktest.Image, dir string, cuts int) {
	list := newCallers(t)
	for range cuts {
		p := start(t, dir)
		wantNoTemporaries(t, dir)
		settleAll(t, p, list, false)
		drive(t, p, list, func() {
			awaitAny(t, p, list, answersBetween)
			cutFrom(list)
			disk.Cut(t)
			p.kill()
		})
		disk.Remount(t, "")
	}
	checkStopped(t, start(t, dir), dir, list)
	t.Logf("%d cuts, %d acknowledgements, all found", cuts, acknowledged(list))
}

// cutFrom tells the clients that what is answered from now on, until they are driven again, proves nothing.
func cutFrom(list []*caller) {
	for _, c := range list {
		c.cut.Store(true)
	}
}
