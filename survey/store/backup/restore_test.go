package backup

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	_ "modernc.org/sqlite"

	"undercroft/survey"
	"undercroft/survey/store"
)

// flip turns one bit in the middle of a file.
func flip(t *testing.T, path string) {
	t.Helper()
	b := must(os.ReadFile(path))(t)
	b[len(b)/2] ^= 1
	rewrite(t, path, b)
}

func rewrite(t *testing.T, path string, b []byte) {
	t.Helper()
	if err := os.Chmod(path, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// TestDamagedBackupIsRefused turns one bit in each file of a backup, loses each, cuts each short, and takes each line out of its sums: nothing is restored, nothing is written.
func TestDamagedBackupIsRefused(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	if _, _, err := h.photo(t.Context(), 1, 10_000); err != nil {
		t.Fatal(err)
	}
	h.approved(t)
	set := h.back(t, target).Name
	files := 0
	for name := range tree(t, target) {
		if name == markName {
			continue // it says whose the folder is and nothing of the data
		}
		files++
		for damage, do := range map[string]func(string){
			"bit":  func(path string) { flip(t, path) },
			"lost": func(path string) { os.Remove(path) },
			"cut":  func(path string) { b := must(os.ReadFile(path))(t); rewrite(t, path, b[:len(b)-1]) },
		} {
			broken := copied(t, target)
			do(filepath.Join(broken, name))
			t.Log(damage, name)
			refusedRestore(t, broken, "", "the backup "+set+" is damaged")
		}
	}
	if files != 3+3 { // a photo, its picture, a revision
		t.Errorf("%d files", files)
	}
	sums := filepath.Join(setsName, set, sumsName)
	lines := strings.SplitAfter(string(must(os.ReadFile(filepath.Join(target, sums)))(t)), "\n")
	for i := range lines[:len(lines)-1] {
		broken := copied(t, target)
		rewrite(t, filepath.Join(broken, sums), []byte(strings.Join(lines[:i], "")+strings.Join(lines[i+1:], "")))
		refusedRestore(t, broken, "", "is damaged")
	}
	h.restored(t, target, "")
}

// TestSumsLines: the lines are those of sha256sum (GNU coreutils), and nothing else is read.
func TestSumsLines(t *testing.T) {
	list := []sum{{strings.Repeat("0a", 32), "sets/2026-06-04T093000Z/undercroft.db"}, {strings.Repeat("b1", 32), blobName(strings.Repeat("b1", 32))}}
	text := string(writeSums(list))
	if lines := strings.Split(text, "\n"); lines[0] != strings.Repeat("0a", 32)+"  sets/2026-06-04T093000Z/undercroft.db" || !strings.HasPrefix(lines[2], "# 2 files, ") || len(lines) != 4 {
		t.Errorf("got %q", text)
	}
	if got := must(readSums([]byte(text)))(t); len(got) != 2 || got[1] != list[1] {
		t.Errorf("read %v", got)
	}
	for name, bad := range map[string]string{
		"empty": "", "no sum of its own": strings.SplitAfter(text, "#")[0], "more at the end": text + "\n", "twice": text + text,
		"a path that leaves": string(writeSums([]sum{{list[0].sha256, "../etc/passwd"}})), "an absolute path": string(writeSums([]sum{{list[0].sha256, "/etc/passwd"}})),
		"a path that turns": string(writeSums([]sum{{list[0].sha256, "blobs/../x"}})), "a short sum": string(writeSums([]sum{{"ab", "blobs/x"}})),
	} {
		if got, err := readSums([]byte(bad)); err == nil {
			t.Errorf("%s: read %v", name, got)
		}
	}
}

// FuzzReadSums: what is read is written again as the same bytes, and never names a file outside its folder.
func FuzzReadSums(f *testing.F) {
	f.Add(writeSums(nil))
	f.Add(writeSums([]sum{{strings.Repeat("0a", 32), "blobs/0a/x"}}))
	f.Add([]byte("# 0 files, "))
	f.Fuzz(func(t *testing.T, body []byte) {
		list, err := readSums(body)
		if err != nil {
			return
		}
		if string(writeSums(list)) != string(body) {
			t.Errorf("%q is read as %v", body, list)
		}
		for _, s := range list {
			if !filepath.IsLocal(s.name) {
				t.Errorf("%q names %s", body, s.name)
			}
		}
		if again, err := readSums(writeSums(append(list, sum{strings.Repeat("0a", 32), "x"}))); err != nil || len(again) != len(list)+1 {
			t.Errorf("one more is read as %v, %v", again, err)
		}
	})
}

// TestRestoreRefuses: a folder with something in it, a name that is none, a set of a newer program, a folder that holds no backups.
func TestRestoreRefuses(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	set := h.back(t, target).Name
	full := t.TempDir()
	if err := os.WriteFile(filepath.Join(full, "x"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Restore(t.Context(), Restoring{Target: target, Data: full, Now: time.Now}); err == nil || !strings.Contains(err.Error(), "is not empty") {
		t.Errorf("a folder that is not empty: %v", err)
	}
	if _, err := Restore(t.Context(), Restoring{Target: target, Data: filepath.Join(target, "new"), Now: time.Now}); err == nil || !strings.Contains(err.Error(), "apart") {
		t.Errorf("into the backups: %v", err)
	}
	refusedRestore(t, target, "2020-01-01T000000Z", "there is no backup")
	refusedRestore(t, h.dir, "", "holds no backups")

	newer := copied(t, target)
	path := filepath.Join(newer, setsName, set, databaseName)
	if err := os.Chmod(path, 0o600); err != nil {
		t.Fatal(err)
	}
	db := must(sql.Open("sqlite", path))(t)
	if _, err := db.Exec(`PRAGMA user_version = 99`); err != nil {
		t.Fatal(err)
	}
	db.Close()
	resum(t, newer, set)
	refusedRestore(t, newer, "", "newer Undercroft")
}

// resum writes the sums of a set anew, as if the set had been made as it is.
func resum(t *testing.T, dir, set string) {
	t.Helper()
	r := must(readTarget(dir))(t)
	defer r.Close()
	list := must(r.sums(set))(t)
	for i, s := range list {
		is, _, err := r.sumFile(t.Context(), s.name)
		if err != nil {
			t.Fatal(err)
		}
		list[i].sha256 = is
	}
	rewrite(t, filepath.Join(dir, setsName, set, sumsName), writeSums(list))
}

// TestRestoredFromNowOn: a restored folder says when it was restored, and how long its deleted surveys can be taken back; a backup of it does not.
func TestRestoredFromNowOn(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	must(h.File(t.Context(), h.ID, survey.Deleted))(t)
	h.back(t, target)
	later := time.Now().UTC().AddDate(0, 3, 0).Truncate(time.Second)
	for range 2 {
		clock := func() time.Time { return later }
		dir := filepath.Join(t.TempDir(), "new")
		r := must(Restore(t.Context(), Restoring{Target: target, Data: dir, Now: clock}))(t)
		if want := later.AddDate(0, 0, survey.DeletedDays); r.Deleted != 1 || !r.Until.Equal(want) {
			t.Errorf("%d can be taken back until %v, want 1 until %v", r.Deleted, r.Until, want)
		}
		s := must(store.Open(t.Context(), store.Config{Dir: dir, Now: clock}))(t)
		if !s.Restored().Equal(later) {
			t.Errorf("restored %v, want %v", s.Restored(), later)
		}
		_, err := s.Erase(t.Context(), survey.Erasure{Survey: h.ID, Reason: survey.ErasedDeleted})
		if survey.KindOf(err) != survey.Conflict {
			t.Errorf("erased at once: %v", err)
		}
		target = filepath.Join(t.TempDir(), "backups")
		must(Make(t.Context(), Config{Data: dir, Target: target, Keep: 14, Now: clock}))(t)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		later = later.AddDate(0, 3, 0)
	}
}

// TestHalfRestoredFolder calls a restore off in its middle: what is there is marked, and nothing opens it.
func TestHalfRestoredFolder(t *testing.T) {
	h, target := openHouse(t), filepath.Join(t.TempDir(), "backups")
	for n := range 4 {
		if _, _, err := h.photo(t.Context(), uint64(n), 10_000); err != nil {
			t.Fatal(err)
		}
	}
	h.back(t, target)
	ctx, stop := context.WithCancel(t.Context())
	dir := filepath.Join(t.TempDir(), "new")
	_, err := Restore(ctx, Restoring{Target: target, Data: dir, Now: time.Now, Progress: func(done, total int64) {
		if done > total/2 { // everything is read and the first file is written
			stop()
		}
	}})
	if err == nil || len(tree(t, dir)) < 2 || tree(t, dir)[databaseName] != "" {
		t.Fatalf("it was not stopped in its middle: %v, %d files", err, len(tree(t, dir)))
	}
	if s, err := store.Open(t.Context(), store.Config{Dir: dir, Now: time.Now}); err == nil || !strings.Contains(err.Error(), "holds only a part of a backup") {
		t.Errorf("opened: %v, %v", s, err)
	}
	if a, err := store.OpenAside(t.Context(), dir); err == nil {
		t.Errorf("opened: %v", a)
	}
}
