package backup

import (
	"context"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
	"undercroft/survey/store"
	"undercroft/survey/store/disktest"
)

// TestIncremental: the second backup copies only what is new, the third nothing, and each can be restored as it was.
func TestIncremental(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	for n := range 3 {
		if _, _, err := h.photo(t.Context(), uint64(n), 10_000); err != nil {
			t.Fatal(err)
		}
	}
	first := h.back(t, target)
	if _, _, err := h.photo(t.Context(), 7, 20_000); err != nil {
		t.Fatal(err)
	}
	second, third := h.back(t, target), h.back(t, target)
	if got := []int{first.Copied, second.Copied, third.Copied}; !cmp.Equal(got, []int{6, 2, 0}) || second.CopiedBytes != 20_500 {
		t.Errorf("copied %v files, the second time %d bytes", got, second.CopiedBytes)
	}
	for name, want := range map[string]int{first.Name: 3, second.Name: 4, third.Name: 4, "": 4} {
		if got := h.restored(t, target, name); len(got.Record.Photos) != want || len(got.Record.Pins) != want {
			t.Errorf("%q: %d photos and %d pins, want %d of each", name, len(got.Record.Photos), len(got.Record.Pins), want)
		}
	}
}

// TestUnfinishedUploadsAreLeftOut, and so is what is being written just now.
func TestUnfinishedUploadsAreLeftOut(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	if _, _, err := h.photo(t.Context(), 1, 10_000); err != nil {
		t.Fatal(err)
	}
	if _, err := h.blob(t.Context(), content(99, 30_000)); err != nil { // a file whose row never came
		t.Fatal(err)
	}
	for _, name := range []string{"pieces/x/1-0-1", "temp/half"} {
		if err := os.MkdirAll(filepath.Join(h.dir, path.Dir(name)), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(h.dir, name), []byte("unfinished"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	r := h.back(t, target)
	var names []string
	for name := range tree(t, target) {
		if !strings.HasPrefix(name, "blobs/") {
			names = append(names, name)
		}
	}
	if len(names) != 4 || r.Files != 2 {
		t.Errorf("the target has %q and %d stored files, want its mark, one set and 2", names, r.Files)
	}
}

// TestTargetsThatAreRefused: each with one line that says why, and nothing is written.
func TestTargetsThatAreRefused(t *testing.T) {
	h := openHouse(t)
	home := t.TempDir()
	for name, body := range map[string]string{"foreign/letters.txt": "dear", "file": "x"} {
		if err := os.MkdirAll(filepath.Join(home, path.Dir(name)), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(home, name), []byte(body), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(h.dir, link); err != nil {
		t.Fatal(err)
	}
	before := tree(t, home)
	for _, c := range []struct{ name, target, says string }{
		{"in the data folder", filepath.Join(h.dir, "backups"), "apart from the data folder"},
		{"the data folder", h.dir, "apart from the data folder"},
		{"around the data folder", filepath.Dir(h.dir), "apart from the data folder"},
		{"by a link", filepath.Join(link, "backups"), "apart from the data folder"},
		{"of somebody else", filepath.Join(home, "foreign"), "has other things in it"},
		{"a file", filepath.Join(home, "file"), "is a file"},
		{"in a file", filepath.Join(home, "file", "backups"), "is a file"},
	} {
		_, err := Make(t.Context(), Config{Data: h.dir, Target: c.target, Keep: 1, Now: time.Now})
		if err == nil || !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: got %v, want one line with %q", c.name, err, c.says)
		}
	}
	if diff := cmp.Diff(before, tree(t, home)); diff != "" {
		t.Error(diff)
	}
	target := filepath.Join(home, "backups")
	h.back(t, target)
	busy := must(openTarget(target, h.dir))(t)
	defer busy.Close()
	if _, err := Make(t.Context(), Config{Data: h.dir, Target: target, Keep: 1, Now: time.Now}); err == nil || !strings.Contains(err.Error(), "another backup") {
		t.Errorf("two at once: %v", err)
	}
}

// TestFullTarget fills the target's disk: the error says so, the set that was there can be restored, and with room made the next backup goes through.
func TestFullTarget(t *testing.T) {
	h, target := openHouse(t), filepath.Join(disktest.Memory(t, "size=6m"), "backups")
	if _, _, err := h.photo(t.Context(), 1, 100_000); err != nil {
		t.Fatal(err)
	}
	first := h.back(t, target)
	if _, _, err := h.photo(t.Context(), 2, 8<<20); err != nil {
		t.Fatal(err)
	}
	// Known before: the photo is larger than what is left.
	if _, err := Make(t.Context(), Config{Data: h.dir, Target: target, Keep: 14, Now: time.Now}); err == nil || !strings.Contains(err.Error(), "need") {
		t.Errorf("got %v", err)
	}
	// Found while the database is written.
	disktest.Fill(t, filepath.Dir(target))
	if _, err := Make(t.Context(), Config{Data: h.dir, Target: target, Keep: 14, Now: time.Now}); err == nil || !strings.Contains(err.Error(), "no room left") || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v", err)
	}
	if got := h.restored(t, target, ""); len(got.Record.Photos) != 1 {
		t.Errorf("%d photos", len(got.Record.Photos))
	}
	if sets := must(List(target))(t); len(sets) != 1 || sets[0].Name != first.Name {
		t.Errorf("sets: %+v", sets)
	}
}

// TestLossIsSaid: a photo that the data folder has lost is a flaw of the new set, is still there for the old one, and stays in the target as long as that is needed.
func TestLossIsSaid(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	p, _, err := h.photo(t.Context(), 1, 10_000)
	if err != nil {
		t.Fatal(err)
	}
	first := h.back(t, target)
	q, _, err := h.photo(t.Context(), 2, 10_000)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(filepath.Join(h.dir, blobName(p.SHA256)), 9_000); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(h.dir, blobName(q.SHA256))); err != nil {
		t.Fatal(err)
	}
	second := h.back(t, target)
	said := strings.Join(second.Flaws, "\n")
	if second.Good() || len(second.Flaws) != 2 || !strings.Contains(said, "photo 1 of 12 Elm Street is damaged in the data folder; the backup has it") ||
		!strings.Contains(said, "photo 2 of 12 Elm Street is missing in the data folder and is not in the backup") {
		t.Errorf("flaws %q", second.Flaws)
	}
	if got := h.restored(t, target, first.Name); len(got.Record.Photos) != 1 {
		t.Errorf("the first has %d photos", len(got.Record.Photos))
	}
	r := must(Restore(t.Context(), Restoring{Target: target, Data: filepath.Join(t.TempDir(), "new"), Now: time.Now}))(t)
	if len(r.Checkup.Findings) != 1 || r.Checkup.Findings[0].Trouble != store.MissingFile {
		t.Errorf("a check of the second finds %+v", r.Checkup.Findings)
	}
}

// TestReread: a file that was damaged in the target is not seen by its size, but when it is read again; then it is copied anew.
func TestReread(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	p, _, err := h.photo(t.Context(), 1, 10_000)
	if err != nil {
		t.Fatal(err)
	}
	h.back(t, target)
	flip(t, filepath.Join(target, blobName(p.SHA256)))
	if r := h.back(t, target); r.Copied != 0 {
		t.Errorf("copied %d", r.Copied)
	}
	refusedRestore(t, target, "", "has other bytes")
	r := must(Make(t.Context(), Config{Data: h.dir, Target: target, Keep: 14, Reread: true, Now: time.Now}))(t)
	if r.Copied != 1 || r.Mended != 1 {
		t.Errorf("copied %d, mended %d", r.Copied, r.Mended)
	}
	h.restored(t, target, "")
}

// TestNamesGoOn: the sets sort by their making even when the clock was set back.
func TestNamesGoOn(t *testing.T) {
	at := func(text string) time.Time { return must(time.Parse(time.RFC3339, text))(t) }
	for _, c := range []struct {
		now, last, want string
	}{
		{"2026-06-04T09:30:00Z", "", "2026-06-04T093000Z"},
		{"2026-06-04T11:30:00+02:00", "2026-06-04T092959Z", "2026-06-04T093000Z"},
		{"2026-06-04T09:30:00Z", "2026-06-04T093000Z", "2026-06-04T093001Z"},
		{"2026-06-04T09:30:00Z", "2031-12-31T235959Z", "2032-01-01T000000Z"},
	} {
		var there []string
		if c.last != "" {
			there = []string{c.last}
		}
		if got := must(nextName(at(c.now), there))(t); got != c.want {
			t.Errorf("%s after %q: got %s, want %s", c.now, c.last, got, c.want)
		}
	}
}

// TestStopped calls a backup off while it copies: nothing is left of it.
func TestStopped(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	for n := range 4 {
		if _, _, err := h.photo(t.Context(), uint64(n), 10_000); err != nil {
			t.Fatal(err)
		}
	}
	ctx, stop := context.WithCancel(t.Context())
	_, err := Make(ctx, Config{Data: h.dir, Target: target, Keep: 1, Now: time.Now, Progress: func(int64, int64) { stop() }})
	if err == nil || len(must(List(target))(t)) != 0 || len(must(os.ReadDir(filepath.Join(target, tempName)))(t)) != 0 {
		t.Errorf("got %v; sets %v", err, must(List(target))(t))
	}
	if r := h.back(t, target); r.Copied != 7 { // one was through before
		t.Errorf("copied %d", r.Copied)
	}
}

// TestNothingIsLockedOut: who signs in and what is written goes on beside a backup that is under way.
func TestNothingIsLockedOut(t *testing.T) {
	h := openHouse(t)
	from := must(store.OpenAside(t.Context(), h.dir))(t)
	defer from.Close()
	v := must(h.Store.Survey(t.Context(), h.ID))(t)
	v.Notes = "changed meanwhile"
	must(h.UpdateSurvey(t.Context(), v))(t)
	inventory := must(from.Copy(t.Context(), filepath.Join(t.TempDir(), "copy.db")))(t)
	if inventory.Surveys != 1 || inventory.NewestIn != "12 Elm Street" || len(inventory.Flaws) > 0 {
		t.Errorf("%+v", inventory)
	}
	if _, err := h.CreateSurvey(t.Context(), survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "another"}); err != nil {
		t.Error(err)
	}
}
