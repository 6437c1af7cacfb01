package backup

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
	"undercroft/survey/store"
)

const (
	loadWriters = 4
	kills       = 12
)

// written is what the store has acknowledged so far.
type written struct {
	mu     sync.Mutex
	photos map[survey.PhotoID]string // their bytes
	pins   map[survey.PinID]int      // their versions
	count  int
}

func (w *written) add(p survey.Photo, pin survey.Pin) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if p.ID != "" {
		w.photos[p.ID] = p.SHA256
	}
	w.pins[pin.ID] = pin.Version
	w.count++
}

// now copies what is acknowledged at this moment.
func (w *written) now() *written {
	w.mu.Lock()
	defer w.mu.Unlock()
	c := &written{photos: map[survey.PhotoID]string{}, pins: map[survey.PinID]int{}, count: w.count}
	for id, sum := range w.photos {
		c.photos[id] = sum
	}
	for id, version := range w.pins {
		c.pins[id] = version
	}
	return c
}

// writeOn adds photos and pins and changes the pins, until ctx ends. It leaves the backups a little of the processor.
func writeOn(ctx context.Context, h house, w *written) error {
	var p survey.Photo
	var pin survey.Pin
	for n := 0; ctx.Err() == nil; n++ {
		time.Sleep(25 * time.Millisecond)
		var err error
		if n < survey.MaxPhotos/loadWriters {
			if p, pin, err = h.photo(context.Background(), rand.Uint64N(1<<32), 1+rand.IntN(60_000)); err != nil {
				return err
			}
			w.add(p, pin)
		}
		pin.Note = fmt.Sprint("changed ", n)
		if pin, err = h.PutPin(context.Background(), pin); err != nil {
			return err
		}
		w.add(survey.Photo{}, pin)
	}
	return nil
}

// TestBackupUnderLoad backs a folder up from other processes while this one writes photos and pins into it. Each backup has everything that was acknowledged before it
// began, and a check of what is restored from it finds nothing.
func TestBackupUnderLoad(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	decision := h.approved(t)
	acknowledged := &written{photos: map[survey.PhotoID]string{}, pins: map[survey.PinID]int{}}
	ctx, stop := context.WithCancel(t.Context())
	var group sync.WaitGroup
	defer func() {
		stop()
		group.Wait()
	}()
	for range loadWriters {
		group.Go(func() {
			if err := writeOn(ctx, h, acknowledged); err != nil {
				t.Error("write:", err)
				stop()
			}
		})
	}
	var before []*written
	for i := range loadBackups {
		had := acknowledged.now().count
		for acknowledged.now().count < had+5 && ctx.Err() == nil { // each backup has something of its own
			time.Sleep(time.Millisecond)
		}
		before = append(before, acknowledged.now())
		if out, err := child(t, h.dir, target).Output(); err != nil {
			t.Fatalf("backup %d: %v %s", i, err, out)
		}
		checkLive(t, h.dir)
	}
	stop()
	group.Wait()
	sets := must(List(target))(t)
	if len(sets) != loadBackups {
		t.Fatalf("%d sets, want %d", len(sets), loadBackups)
	}
	for i, set := range sets {
		got := h.restored(t, target, set.Name)
		checkHas(t, fmt.Sprint("backup ", i), got, before[i])
		if len(got.Approvals) != 1 || got.Approvals[0].Hash != decision.Hash {
			t.Errorf("backup %d has the decisions %+v", i, got.Approvals)
		}
	}
	after := acknowledged.now()
	t.Logf("%d photos and %d pins when the first began, %d and %d at the end", len(before[0].photos), len(before[0].pins), len(after.photos), len(after.pins))
}

// checkLive checks a folder while it is written: nothing is amiss, and no file that is on its way is called old.
func checkLive(t *testing.T, dir string) {
	t.Helper()
	a := must(store.OpenAside(t.Context(), dir))(t)
	defer a.Close()
	c := must(a.Check(t.Context(), time.Now(), nil))(t)
	if len(c.Findings) > 0 || slices.ContainsFunc(c.Orphans, func(o store.Orphan) bool { return o.Old }) {
		t.Errorf("while it is written: %+v, %+v", c.Findings, c.Orphans)
	}
}

// checkHas looks for everything that was acknowledged.
func checkHas(t *testing.T, name string, got survey.Snapshot, want *written) {
	t.Helper()
	missing := 0
	for id, sum := range want.photos {
		if p, ok := got.Record.Photo(id); !ok || p.SHA256 != sum {
			missing++
		}
	}
	for id, version := range want.pins {
		if p, ok := got.Record.Pin(id); !ok || p.Version < version {
			missing++
		}
	}
	if missing > 0 {
		t.Errorf("%s lacks %d of %d photos and pins that were acknowledged before it began", name, missing, len(want.photos)+len(want.pins))
	}
}

// TestKilledBackup kills backups at random moments, and one at its first copied file: the set that was there stays as it was and can be restored, what is there by half has no
// name, and the next backup goes through.
func TestKilledBackup(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	if _, _, err := h.photo(t.Context(), 1, 100_000); err != nil {
		t.Fatal(err)
	}
	first := h.back(t, target)
	kept := tree(t, filepath.Join(target, setsName, first.Name))
	began := 0
	for i := range kills {
		for n := range 8 {
			if _, _, err := h.photo(t.Context(), uint64(100*i+n+10), 300_000); err != nil {
				t.Fatal(err)
			}
		}
		cmd := child(t, h.dir, target)
		out := must(cmd.StdoutPipe())(t)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		if i%2 == 0 {
			one := make([]byte, 1)
			if _, err := io.ReadFull(out, one); err == nil { // it has begun to copy files
				began++
			}
		} else {
			time.Sleep(time.Duration(rand.IntN(120)) * time.Millisecond)
		}
		cmd.Process.Kill()
		cmd.Wait()
		for _, set := range must(List(target))(t) {
			if !set.Good() {
				t.Fatalf("after kill %d: %+v", i, set)
			}
		}
	}
	if diff := cmp.Diff(kept, tree(t, filepath.Join(target, setsName, first.Name))); diff != "" {
		t.Error("the set that was there changed:", diff)
	}
	if got := h.restored(t, target, first.Name); len(got.Record.Photos) != 1 {
		t.Errorf("the first backup has %d photos", len(got.Record.Photos))
	}
	last := must(List(target))(t)
	h.restored(t, target, last[len(last)-1].Name)
	if began == 0 {
		t.Error("no backup was killed while it copied: this proves little")
	}
	r := h.back(t, target)
	if got := h.restored(t, target, r.Name); len(got.Record.Photos) != 1+8*kills {
		t.Errorf("the backup after the kills has %d photos", len(got.Record.Photos))
	}
	if left := must(os.ReadDir(filepath.Join(target, tempName)))(t); len(left) > 0 {
		t.Errorf("%d things are left of the killed ones", len(left))
	}
	if name := strings.Compare(r.Name, first.Name); name <= 0 {
		t.Errorf("%s does not sort after %s", r.Name, first.Name)
	}
	t.Logf("%d of %d backups were killed while they copied files, %d were through before", began, kills, len(last)-1)
}
