package store

import (
	"crypto/sha256"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

// issuedFolder is a closed data folder with a survey of two photos and a pin, two revisions of which the first was approved by a link, and a report.
func issuedFolder(t *testing.T) (dir string, in survey.SurveyID) {
	t.Helper()
	s := openAt(t, filepath.Join(t.TempDir(), "data"))
	house := addSurvey(t, s)
	first := addTestPhoto(t, s, house.ID, 1)
	addTestPhoto(t, s, house.ID, 10)
	addTestPin(t, s, first)
	var issued []survey.Revision
	for range 2 {
		v := survey.NextRevision(house.ID, issued)
		v.SHA256 = frozen(t, s, fmt.Sprintf(`{"survey":"%s","number":%d,"prev":"%s","photos":[{"sha256":"%s","screen":"%s","thumb":"%s"}]}`, house.ID, v.Number, v.Prev, first.SHA256, first.Screen, first.Thumb))
		v.By, v.At = "Ana", time.UnixMilli(0).UTC()
		issued = append(issued, must(s.Issue(t.Context(), v))(t))
		if v.Number == 1 {
			link := must(s.CreateLink(t.Context(), linkTo(v, s.now().Add(24*time.Hour)), TokenSum(sha256.Sum256([]byte("a")))))(t)
			must(s.Decide(t.Context(), decided(v, link.ID)))(t)
		}
	}
	must(s.KeepRendition(t.Context(), issued[1], "crew-en-a4.pdf", frozen(t, s, "a report")))(t)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return s.dir, house.ID
}

// checkAt checks a folder as if it were now so much later.
func checkAt(t *testing.T, dir string, later time.Duration) Checkup {
	t.Helper()
	a := must(OpenAside(t.Context(), dir))(t)
	defer a.Close()
	var last int64
	return must(a.Check(t.Context(), time.Now().Add(later), func(done, total int64) {
		if done < last || done > total {
			t.Errorf("progress %d of %d after %d", done, total, last)
		}
		last = done
	}))(t)
}

// tamper changes the database behind the program's back, without its triggers and references.
func tamper(t *testing.T, dir, change string) {
	t.Helper()
	db := must(sql.Open("sqlite", source(filepath.Join(dir, databaseName), "_pragma=foreign_keys(0)")))(t)
	defer db.Close()
	rows, err := db.Query(`SELECT name FROM sqlite_schema WHERE type = 'trigger'`)
	names, err := collect(rows, err, func(row scanner) (string, error) {
		var name string
		return name, row.Scan(&name)
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		change = "DROP TRIGGER " + name + "; " + change
	}
	if _, err := db.Exec(change); err != nil {
		t.Fatal(err)
	}
}

// flip turns one bit of a file.
func flip(t *testing.T, path string, at int) {
	t.Helper()
	b := must(os.ReadFile(path))(t)
	b[at%len(b)] ^= 4
	if err := os.Chmod(path, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// blobOf is the path of the stored file that a query names.
func blobOf(t *testing.T, dir, query string) string {
	t.Helper()
	db := must(openQuiet(filepath.Join(dir, databaseName)))(t)
	defer db.Close()
	var sum string
	if err := db.QueryRow(query).Scan(&sum); err != nil {
		t.Fatal(err)
	}
	return filepath.Join(dir, blobName(sum))
}

func TestCheckOfAWholeFolder(t *testing.T) {
	dir, _ := issuedFolder(t)
	got := checkAt(t, dir, 0)
	if len(got.Findings)+len(got.Orphans) > 0 {
		t.Errorf("found %+v, %+v", got.Findings, got.Orphans)
	}
	got.Bytes = 0
	known := must(migrations())(t)
	if diff := cmp.Diff(Checkup{Schema: len(known), Surveys: 1, Photos: 2, Revisions: 2, Decided: 1, Files: 9}, got); diff != "" {
		t.Error(diff)
	}
}

// TestCheckBesideAServer checks a folder that is in use, and in which a log stands that nobody has written back.
func TestCheckBesideAServer(t *testing.T) {
	dir, in := issuedFolder(t)
	s := openAt(t, dir)
	addTestPin(t, s, addTestPhoto(t, s, in, 77))
	if got := checkAt(t, dir, 0); len(got.Findings)+len(got.Orphans) > 0 || got.Photos != 3 {
		t.Errorf("got %+v", got)
	}
}

// TestCheckFinds damages a folder in one way each, and wants just the findings that this should give.
func TestCheckFinds(t *testing.T) {
	sound, _ := issuedFolder(t)
	remove := func(query string) func(*testing.T, string) {
		return func(t *testing.T, dir string) {
			if err := os.Remove(blobOf(t, dir, query)); err != nil {
				t.Fatal(err)
			}
		}
	}
	flipped := func(query string) func(*testing.T, string) {
		return func(t *testing.T, dir string) { flip(t, blobOf(t, dir, query), 40) }
	}
	changed := func(change string) func(*testing.T, string) {
		return func(t *testing.T, dir string) { tamper(t, dir, change) }
	}
	const photo, thumb, content, report = `SELECT sha256 FROM photo WHERE number = 2`, `SELECT thumb FROM photo WHERE number = 2`, `SELECT sha256 FROM revision WHERE number = 1`, `SELECT sha256 FROM rendition`
	for _, c := range []struct {
		name   string
		damage func(*testing.T, string)
		want   []Trouble
		says   string
	}{
		{"photo missing", remove(photo), []Trouble{MissingFile}, "photo 2 of 12 Elm Street is missing: blobs/"},
		{"picture missing", remove(thumb), []Trouble{MissingFile}, "the small picture made of photo 2 of 12 Elm Street is missing"},
		{"report missing", remove(report), []Trouble{MissingFile}, "the report crew-en-a4.pdf of revision 2 of 12 Elm Street is missing"},
		{"revision missing", remove(content), []Trouble{MissingFile}, "revision 1 of 12 Elm Street is missing"},
		{"bit in a photo", flipped(photo), []Trouble{DamagedFile}, "photo 2 of 12 Elm Street has other bytes"},
		{"bit in a picture", flipped(thumb), []Trouble{DamagedFile}, "the small picture made of photo 2"},
		{"bit in a revision", flipped(content), []Trouble{DamagedFile, BrokenChain}, "revision 1 is not what was issued"},
		{"photo cut short", func(t *testing.T, dir string) {
			path := blobOf(t, dir, photo)
			if err := os.Truncate(path, 100); err != nil {
				t.Fatal(err)
			}
		}, []Trouble{DamagedFile}, "photo 2"},
		{"pin without its photo", changed(`UPDATE pin SET photo = 'ffffffff-ffff-4fff-bfff-ffffffffffff'`), []Trouble{DanglingRow}, "1 of the rows of pin refer to a row of photo"},
		{"survey gone", changed(`DELETE FROM survey`), []Trouble{DanglingRow}, "refer to a row of survey"},
		{"pin not in the history", changed(`UPDATE pin SET version = 7`), []Trouble{DanglingRow}, "1 of the pins do not end their history"},
		{"photo of other bytes", changed(`UPDATE photo SET sha256 = '` + strings.Repeat("ab", 32) + `' WHERE number = 2`), []Trouble{MissingFile}, "photo 2"},
		{"photo of a name that is none", changed(`UPDATE photo SET screen = '../../../etc/hostname' WHERE number = 2`), []Trouble{MissingFile}, "the picture made of photo 2"},
		{"revision of another time", changed(`UPDATE revision SET at = 5 WHERE number = 2`), []Trouble{BrokenChain}, "revision 2 was changed"},
		{"revision out of the chain", changed(`UPDATE revision SET prev = '` + strings.Repeat("ab", 32) + `' WHERE number = 2`), []Trouble{BrokenChain}, "revision 2 does not follow the one before it"},
		{"revisions gone", changed(`DELETE FROM rendition; DELETE FROM revision WHERE number = 2`), []Trouble{BrokenChain}, "was taken away"},
		{"decision turned", changed(`UPDATE approval SET decision = 'declined', reason = 'no'`), []Trouble{BrokenChain}, "decision 1, about revision 1, was changed after it was made"},
		{"name of the decision", changed(`UPDATE approval SET name = 'J. Quilt'`), []Trouble{BrokenChain}, "decision 1"},
		{"history changed", changed(`UPDATE history SET at = at + 1 WHERE seq = 1`), []Trouble{BrokenChain}, "history"},
		{"something else among the files", func(t *testing.T, dir string) {
			if err := os.WriteFile(filepath.Join(dir, blobsName, "ab", "notes.txt"), []byte("x"), 0o600); err != nil {
				t.Fatal(err)
			}
		}, []Trouble{StrayFile}, "blobs/ab/notes.txt"},
		{"page of the database", func(t *testing.T, dir string) {
			path := filepath.Join(dir, databaseName)
			b := must(os.ReadFile(path))(t)
			copy(b[len(b)-4096:], make([]byte, 16)) // the header of the last page (sqlite.org/fileformat2.html, 1.6)
			if err := os.WriteFile(path, b, 0o600); err != nil {
				t.Fatal(err)
			}
		}, []Trouble{DatabaseDamage}, "the database"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "data")
			if err := os.CopyFS(dir, os.DirFS(sound)); err != nil {
				t.Fatal(err)
			}
			c.damage(t, dir)
			var kinds []Trouble
			var all []string
			for _, f := range checkAt(t, dir, 0).Findings {
				all = append(all, f.What)
				if !slices.Contains(kinds, f.Trouble) {
					kinds = append(kinds, f.Trouble)
				}
				if f.Todo == "" {
					t.Errorf("nothing is said about what to do: %s", f.What)
				}
			}
			for _, want := range c.want {
				if !slices.Contains(kinds, want) {
					t.Errorf("no finding of %q in %q", want, all)
				}
			}
			if !strings.Contains(strings.Join(all, "\n"), c.says) {
				t.Errorf("got %q, want %q", all, c.says)
			}
		})
	}
}

// TestCheckOfRuin: a database of which not even the schema can be read is refused with what to do.
func TestCheckOfRuin(t *testing.T) {
	dir, _ := issuedFolder(t)
	path := filepath.Join(dir, databaseName)
	b := must(os.ReadFile(path))(t)
	for page := 4096; page < len(b); page += 4096 {
		copy(b[page:], make([]byte, 16))
	}
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if a, err := OpenAside(t.Context(), dir); err == nil || !strings.Contains(err.Error(), "is damaged") || !strings.Contains(err.Error(), "Restore the newest good backup") {
		t.Errorf("got %v, %v", a, err)
	}
}

// TestOrphans: what nothing names is listed and harms nothing; only what is older than a day is removed, only when nobody uses the folder, and never what anything names.
func TestOrphans(t *testing.T) {
	dir, in := issuedFolder(t)
	s := openAt(t, dir)
	young, old, noted := putBlob(t, s, content(900, 50)), putBlob(t, s, content(901, 60)), putBlob(t, s, content(902, 70))
	house := must(s.Survey(t.Context(), in))(t)
	house.Notes = "see " + noted.SHA256 // whatever mentions a file keeps it
	must(s.UpdateSurvey(t.Context(), house))(t)
	p := addTestPhoto(t, s, in, 20)
	if err := s.DeletePhoto(t.Context(), in, p.ID, p.Version); err != nil { // its row stays, so do its files
		t.Fatal(err)
	}
	age := func(sum string) {
		t.Helper()
		at := time.Now().Add(-25 * time.Hour)
		if err := os.Chtimes(filepath.Join(dir, blobName(sum)), at, at); err != nil {
			t.Fatal(err)
		}
	}
	for _, path := range must(filepath.Glob(filepath.Join(dir, blobsName, "*", "*")))(t) {
		if filepath.Base(path) != young.SHA256 {
			age(filepath.Base(path))
		}
	}
	if _, err := DeleteOrphans(t.Context(), dir, time.Now()); err == nil || !strings.Contains(err.Error(), "stop the server") {
		t.Errorf("beside a server: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	c := checkAt(t, dir, 0)
	got := map[string]bool{}
	for _, o := range c.Orphans {
		got[o.SHA256] = o.Old
	}
	if diff := cmp.Diff(map[string]bool{young.SHA256: false, old.SHA256: true}, got); diff != "" || len(c.Findings) > 0 {
		t.Error(diff, c.Findings)
	}
	reader := must(OpenAside(t.Context(), dir))(t)
	if _, err := DeleteOrphans(t.Context(), dir, time.Now()); err == nil || !strings.Contains(err.Error(), "under way") {
		t.Errorf("beside a backup: %v", err)
	}
	reader.Close()
	before := len(must(filepath.Glob(filepath.Join(dir, blobsName, "*", "*")))(t))
	removed := must(DeleteOrphans(t.Context(), dir, time.Now()))(t)
	if after := len(must(filepath.Glob(filepath.Join(dir, blobsName, "*", "*")))(t)); len(removed) != 1 || removed[0].SHA256 != old.SHA256 || after != before-1 {
		t.Errorf("removed %+v, %d files of %d are left", removed, after, before)
	}
	if c := checkAt(t, dir, 0); len(c.Findings) > 0 || len(c.Orphans) != 1 {
		t.Errorf("after: %+v", c)
	}
}

// TestNoOrphanIsRemovedBlindly: when the content of a revision cannot be read, what it names is not known.
func TestNoOrphanIsRemovedBlindly(t *testing.T) {
	dir, _ := issuedFolder(t)
	s := openAt(t, dir)
	orphan := putBlob(t, s, content(900, 50))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	flip(t, blobOf(t, dir, `SELECT sha256 FROM revision WHERE number = 1`), 3)
	if _, err := DeleteOrphans(t.Context(), dir, time.Now().Add(48*time.Hour)); err == nil || !strings.Contains(err.Error(), "mend that first") {
		t.Errorf("got %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, blobName(orphan.SHA256))); err != nil {
		t.Error(err)
	}
}

// TestFilesStayWhileTheyAreRead: an erasure beside a backup leaves the files for the next sweep.
func TestFilesStayWhileTheyAreRead(t *testing.T) {
	dir, in := issuedFolder(t)
	s := openAt(t, dir)
	files := func() int { return len(must(filepath.Glob(filepath.Join(dir, blobsName, "*", "*")))(t)) }
	reader := must(OpenAside(t.Context(), dir))(t)
	must(s.Erase(t.Context(), survey.Erasure{Survey: in, Reason: survey.ErasedAsked}))(t)
	if n := files(); n != 9 {
		t.Errorf("%d files are left while they are read, want all 9", n)
	}
	if err := reader.Close(); err != nil {
		t.Fatal(err)
	}
	if err := s.Sweep(t.Context()); err != nil {
		t.Fatal(err)
	}
	if n := files(); n != 0 {
		t.Errorf("%d files are left after the sweep", n)
	}
	if c := checkAt(t, dir, 0); len(c.Findings)+len(c.Orphans) > 0 {
		t.Errorf("check after an erasure: %+v", c)
	}
}

// FuzzEachSum holds the words that are found against a slow way: cut at everything that is no hexadecimal digit.
func FuzzEachSum(f *testing.F) {
	sum := strings.Repeat("0f", 32)
	for _, text := range []string{"", sum, sum + "a", "x" + sum + "y" + sum, sum[1:], `{"sha256":"` + sum + `"}`, strings.ToUpper(sum), sum + sum} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var got, want []string
		eachSum(text, func(s string) { got = append(got, s) })
		for _, word := range strings.FieldsFunc(text, func(r rune) bool { return !strings.ContainsRune("0123456789abcdef", r) }) {
			if isSum(word) {
				want = append(want, word)
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Error(diff)
		}
	})
}

// TestEveryColumnOfFilesIsKnown goes through the schema: a column whose name or comment is of a SHA-256 names a file or is listed here with what it is instead.
func TestEveryColumnOfFilesIsKnown(t *testing.T) {
	other := map[string]string{
		"approval.sha256": "that of its revision",
		"approval.prev":   "a chain's", "approval.hash": "a chain's",
		"finish.prev": "a chain's", "finish.hash": "a chain's",
		"seal.sum": "a chain's", "seal.prev": "a chain's", "seal.hash": "a chain's",
		"revision.prev":        "that of the revision before",
		"erased_blob.sha256":   "a file that is to go",
		"link.token_sha256":    "of a secret",
		"session.token_sha256": "of a secret",
	}
	files := map[string]bool{}
	for _, c := range blobColumns() {
		files[c.table+"."+c.column] = true
	}
	s := newStore(t)
	rows, err := s.reader.QueryContext(t.Context(), `SELECT t.name, c.name, t.sql FROM sqlite_schema t, pragma_table_info(t.name) c WHERE t.type = 'table'`)
	seen := 0
	_, err = collect(rows, err, func(row scanner) (struct{}, error) {
		var table, column, text string
		err := row.Scan(&table, &column, &text)
		_, line, _ := strings.Cut(text, "\n  "+column+" ")
		line, _, _ = strings.Cut(line, "\n")
		if !strings.Contains(line, "64") && !strings.Contains(column, "sha256") && !files[table+"."+column] {
			return struct{}{}, err
		}
		seen++
		if !files[table+"."+column] && other[table+"."+column] == "" {
			t.Errorf("%s.%s may name a stored file: add it to blobColumns, or say here what it is", table, column)
		}
		return struct{}{}, err
	})
	if err != nil || seen < len(files)+10 {
		t.Errorf("saw %d columns (%v)", seen, err)
	}
}
