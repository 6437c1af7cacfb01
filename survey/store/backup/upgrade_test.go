package backup

import (
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"undercroft/survey"
)

const (
	oldSurvey = "11111111-1111-4111-8111-111111111111"
	oldPhoto  = "22222222-2222-4222-8222-222222222222"
	oldPin    = "33333333-3333-4333-8333-333333333333"
)

// oldRows are rows as the program of the first schema wrote them.
const oldRows = `
INSERT INTO survey (id, title, address, client, contact, surveyor, visit_date, access, notes, version, created_at, updated_at, changed_at, changed_seq, last_photo, last_pin)
  VALUES ('` + oldSurvey + `', '12 Elm Street', '', 'R. Ash', '', 'Kim', '2026-05-30', '', 'call first', 1, 1780000000000, 1780000000000, 1780000003000, 4, 1, 1);
INSERT INTO photo (id, survey, number, name, caption, sha256, bytes, width, height, screen, thumb, meta, version, added_at, seq)
  VALUES ('` + oldPhoto + `', '` + oldSurvey + `', 1, 'IMG_0001.JPG', 'the ledger', '%[1]s', 9, 4032, 3024, '%[1]s', '%[1]s', '{"format":"jpeg"}', 1, 1780000001000, 2);
INSERT INTO pin (id, survey, photo, kind, number, x, y, "values", note, placed_by, version, created_at, updated_at)
  VALUES ('` + oldPin + `', '` + oldSurvey + `', '` + oldPhoto + `', 'note', 1, 0.25, 0.5, '{"what":"nail"}', 'joist 3', 'Kim', 1, 1780000002000, 1780000002000);
INSERT INTO fact (survey, key, text, version, updated_at) VALUES ('` + oldSurvey + `', 'deck_width', '16 ft', 1, 1780000003000);
INSERT INTO history (seq, survey, kind, record, change, version, row, at, by) VALUES
  (1, '` + oldSurvey + `', 'survey', '` + oldSurvey + `', 'create', 1, '{"title":"12 Elm Street"}', 1780000000000, ''),
  (2, '` + oldSurvey + `', 'photo', '` + oldPhoto + `', 'create', 1, '{"number":1,"sha256":"%[1]s","bytes":9}', 1780000001000, ''),
  (3, '` + oldSurvey + `', 'pin', '` + oldPin + `', 'create', 1, '{"kind":"note","note":"joist 3","values":{"what":"nail"}}', 1780000002000, 'Kim'),
  (4, '` + oldSurvey + `', 'fact', 'deck_width', 'create', 1, '{"text":"16 ft"}', 1780000003000, '');`

// oldFolder is a data folder that a program of the schema of that number left: its migrations alone, applied to an empty database, and the rows of the first.
func oldFolder(t *testing.T, schema int, files []string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	photo := []byte("a picture")
	digest := sha256.Sum256(photo)
	sum := hex.EncodeToString(digest[:])
	if err := os.MkdirAll(filepath.Join(dir, blobsName, sum[:2]), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, blobName(sum)), photo, 0o400); err != nil {
		t.Fatal(err)
	}
	db := must(sql.Open("sqlite", "file:"+filepath.Join(dir, databaseName)+"?_pragma=journal_mode(WAL)&_pragma=foreign_keys(1)"))(t)
	defer db.Close()
	for i, file := range files[:schema] {
		if _, err := db.Exec(string(must(os.ReadFile(file))(t))); err != nil {
			t.Fatal(file, err)
		}
		if i == 0 {
			if _, err := db.Exec(fmt.Sprintf(oldRows, sum)); err != nil {
				t.Fatal(err)
			}
		}
	}
	return dir
}

// TestRestoreAcrossUpgrades backs up what each schema before today's left, the first one above all, and restores it with today's program.
func TestRestoreAcrossUpgrades(t *testing.T) {
	files := must(filepath.Glob("../migrations/*.sql"))(t)
	slices.Sort(files)
	if len(files) < 9 {
		t.Fatalf("%d migrations", len(files))
	}
	for schema := 1; schema <= len(files); schema++ {
		t.Run(filepath.Base(files[schema-1]), func(t *testing.T) {
			h := house{dir: oldFolder(t, schema, files), Survey: survey.Survey{ID: oldSurvey}}
			target := filepath.Join(t.TempDir(), "backups")
			made := h.back(t, target)
			if made.Schema != schema || !made.Good() || made.Photos != 1 || !made.Newest.Equal(time.UnixMilli(1_780_000_003_000)) {
				t.Errorf("the backup says %+v", made.About)
			}
			got := h.restored(t, target, "")
			p, _ := got.Record.Photo(oldPhoto)
			pin, _ := got.Record.Pin(oldPin)
			if got.Record.Survey.Client != "R. Ash" || p.Caption != "the ledger" || pin.Note != "joist 3" || pin.Values["what"] != "nail" || got.Record.Facts["deck_width"].Text != "16 ft" || len(got.History) != 4 {
				t.Errorf("restored %+v", got.Record)
			}
		})
	}
}
