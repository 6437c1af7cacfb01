package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

// The words by which a homeowner could be known, none of which may be found after an erasure. They are invented.
const (
	personName    = "Wilhelmina Quillfeather"
	personAddress = "1147 Larkmoor Crescent"
	personNote    = "the key lies under the third flowerpot"
)

// personal is a survey with something personal in every table that has rows of surveys. The rows of other parts are written as SQL: what they mean does not count here.
func personal(t *testing.T, s *Store) survey.Survey {
	t.Helper()
	ctx := t.Context()
	v := sampleSurvey()
	v.Client, v.Address, v.Notes = "before "+personName, personAddress, personNote
	v = must(s.CreateSurvey(ctx, v))(t)
	v.Client = personName
	v = must(s.UpdateSurvey(ctx, v))(t)
	addTestPhoto(t, s, v.ID, 30) // which another survey may have, too
	pin := addTestPin(t, s, addTestPhoto(t, s, v.ID, 7))
	pin.Note = personNote
	must(s.PutPin(ctx, pin))(t)
	must(s.PutFacts(ctx, v.ID, []survey.Fact{{Key: "walk.note", Text: personNote}}))(t)
	r := survey.NextRevision(v.ID, nil)
	r.SHA256, r.By, r.At = frozen(t, s, `{"client":"`+personName+`","address":"`+personAddress+`"}`), "Ana", s.now()
	must(s.Issue(ctx, r))(t)
	must(s.KeepRendition(ctx, r, "scope-en-letter.pdf", frozen(t, s, "report for "+personName)))(t)
	l := must(s.CreateLink(ctx, linkTo(r, s.now().Add(24*time.Hour)), TokenSum{7}))(t)
	must(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID, Name: personName, Text: personNote}))(t)
	a := decided(r, l.ID)
	a.Name = personName
	must(s.Decide(ctx, a))(t)
	must(s.File(ctx, v.ID, survey.Archived))(t)
	sum := frozen(t, s, "finished for "+personName)
	for _, row := range []struct {
		sql  string
		args []any
	}{
		{`INSERT INTO finish (survey, seq, act, sha256, approved, by, reason, name, consent, lang, link, address, agent, signature, at, prev, hash)
			VALUES (?, 1, 'signed', ?, 1, 'Ana', '', ?, '', 'en', '', ?, '', '', 0, '', ?)`, []any{v.ID, sum, personName, personAddress, sum}},
		{`INSERT INTO review (survey, seq, by, at, revision, sha256) VALUES (?, 1, ?, 0, 1, ?)`, []any{v.ID, personName, sum}},
		{`INSERT INTO remark (id, survey, question, kind, subject, target, about, text, photo, by, at) VALUES (?1, ?2, ?1, 'ask', 'survey', '', '', ?3, '', ?4, 0)`,
			[]any{survey.NewID(), v.ID, personNote, personName}},
		{`INSERT INTO verification (id, survey, seq, pin, set_values, was_values, before_words, withdraws, by, at) VALUES (?, ?, 1, '', '{}', '{}', ?, '', ?, 0)`,
			[]any{survey.NewID(), v.ID, personNote, personName}},
	} {
		if _, err := s.writer.ExecContext(ctx, row.sql, row.args...); err != nil {
			t.Fatal(err)
		}
	}
	return must(s.Survey(ctx, v.ID))(t)
}

// holding lists the files of a folder that hold any of some bytes.
func holding(t *testing.T, dir string, words ...[]byte) []string {
	t.Helper()
	var found []string
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		for _, w := range words {
			if bytes.Contains(body, w) {
				found = append(found, filepath.Base(name)+": "+string(w[:min(len(w), 20)]))
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func rowsOf(t *testing.T, s *Store, table string, id survey.SurveyID) int {
	t.Helper()
	return must(read(t.Context(), s, "count", func(ctx context.Context, q query) (int, error) {
		var n int
		return n, q.QueryRowContext(ctx, `SELECT count(*) FROM "`+table+`" WHERE survey = ?`, id).Scan(&n)
	}))(t)
}

func tablesOf(t *testing.T, s *Store) []string {
	t.Helper()
	return must(read(t.Context(), s, "list tables", func(ctx context.Context, q query) ([]string, error) { return surveyTables(ctx, q) }))(t)
}

// TestEraseLeavesNothing: after an erasure no row of the survey is left in any table, no file that it named alone, and nowhere in the data folder's bytes can a name, an
// address, a note or a photo be found; the other survey is whole, with the photo that both had.
func TestEraseLeavesNothing(t *testing.T) {
	s := newStore(t)
	ctx := survey.WithPerson(t.Context(), survey.Person{Name: "Olive of the office"})
	v := personal(t, s)
	other := addSurvey(t, s)
	shared := addTestPhoto(t, s, other.ID, 30)
	half, sum := content(60, 500), sha256.Sum256(content(60, 500))
	must(s.AddPiece(ctx, v.ID, survey.PhotoID(survey.NewID()), Pieces{Length: 1000}, sum, bytes.NewReader(half)))(t)
	theirs := survey.PhotoID(survey.NewID())
	must(s.AddPiece(ctx, other.ID, theirs, Pieces{Length: 1000}, sum, bytes.NewReader(half)))(t)
	tables := tablesOf(t, s)
	for _, table := range tables {
		if rowsOf(t, s, table, v.ID) == 0 {
			t.Errorf("the test puts nothing into the table %s: add a row to personal", table)
		}
	}
	words := [][]byte{[]byte(personName), []byte(personAddress), []byte(personNote), content(7, 100)}
	if found := holding(t, s.dir, words...); len(found) < len(words) {
		t.Fatalf("before, only found %v", found)
	}
	before := must(s.Snapshot(ctx, other.ID))(t)
	totals := survey.Totals{Photos: 1, Pins: 1, Panels: 12, AreaSqFt: 390.5, PriceCents: 1234500, Revisions: 1, Decisions: 1, Visit: "2026-05-30"}
	e := must(s.Erase(ctx, survey.Erasure{Survey: v.ID, Reason: survey.ErasedAsked, Totals: totals}))(t)
	if again := must(s.Erase(ctx, survey.Erasure{Survey: v.ID, Reason: survey.ErasedDeleted}))(t); again != e {
		t.Errorf("erased again: got %+v, want %+v", again, e)
	}
	if e.By != "Olive of the office" || e.At.IsZero() {
		t.Errorf("who and when: %+v", e)
	}
	if diff := cmp.Diff([]survey.Erasure{e}, must(s.Erasures(ctx))(t)); diff != "" {
		t.Error(diff)
	}
	for _, table := range tables {
		if n := rowsOf(t, s, table, v.ID); n > 0 {
			t.Errorf("%s still has %d rows", table, n)
		}
	}
	if n := rowsOf(t, s, "erased_blob", v.ID); n > 0 {
		t.Errorf("%d files are still to be looked at", n)
	}
	wantKind(t, errorOf(s.Survey(ctx, v.ID)), survey.NotFound)
	if found := holding(t, s.dir, words...); len(found) > 0 {
		t.Errorf("while the store is open, still found %v", found)
	}
	if diff := cmp.Diff(before, must(s.Snapshot(ctx, other.ID))(t)); diff != "" {
		t.Error(diff)
	}
	if photos, _ := s.arriving.count(); photos != 1 || must(s.Pieces(theirs))(t).Offset != 500 {
		t.Errorf("%d photos are arriving, want that of the other survey", photos)
	}
	if err := s.checkBlobs(shared); err != nil {
		t.Errorf("the other survey's photo: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if found := holding(t, s.dir, words...); len(found) > 0 {
		t.Errorf("after closing, still found %v", found)
	}
}

// TestEraseLooksAgain: what is to go because it was deleted stays, whatever was read before, unless it is deleted at that moment and its days are over. What the homeowner
// asks for goes at once.
func TestEraseLooksAgain(t *testing.T) {
	for _, test := range []struct {
		name string
		acts []survey.FilingAct
		wait time.Duration // after the last act
		kind survey.Kind
	}{
		{"never filed", nil, 31 * 24 * time.Hour, survey.Conflict},
		{"archived", []survey.FilingAct{survey.Archived}, 31 * 24 * time.Hour, survey.Conflict},
		{"deleted too short ago", []survey.FilingAct{survey.Deleted}, 30*24*time.Hour - time.Millisecond, survey.Conflict},
		{"taken back", []survey.FilingAct{survey.Deleted, survey.Returned}, 31 * 24 * time.Hour, survey.Conflict},
		{"taken back and deleted again", []survey.FilingAct{survey.Deleted, survey.Returned, survey.Deleted}, 29 * 24 * time.Hour, survey.Conflict},
		{"deleted", []survey.FilingAct{survey.Deleted}, 30 * 24 * time.Hour, survey.Internal},
	} {
		t.Run(test.name, func(t *testing.T) {
			now := time.Date(2026, 5, 31, 9, 42, 0, 0, time.UTC)
			s := must(Open(t.Context(), Config{Dir: t.TempDir(), Now: func() time.Time { return now }}))(t)
			defer s.Close()
			v := addSurvey(t, s)
			for _, act := range test.acts {
				now = now.AddDate(0, 0, 40)
				must(s.File(t.Context(), v.ID, act))(t)
			}
			now = now.Add(test.wait)
			_, err := s.Erase(t.Context(), survey.Erasure{Survey: v.ID, Reason: survey.ErasedDeleted})
			if survey.KindOf(err) != test.kind || (err == nil) != (test.kind == survey.Internal) {
				t.Fatalf("got %v", err)
			}
			if _, gone := s.Survey(t.Context(), v.ID); (gone == nil) != (err != nil) {
				t.Errorf("erased: %v; the survey: %v", err, gone)
			}
			must(s.Erase(t.Context(), survey.Erasure{Survey: v.ID, Reason: survey.ErasedAsked}))(t)
			wantKind(t, errorOf(s.Survey(t.Context(), v.ID)), survey.NotFound)
		})
	}
}

// TestErasedStaysErased: neither a phone that still has the survey nor a bundle of it brings it back, and its numbers in the store's sequence do not come again.
func TestErasedStaysErased(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v := addSurvey(t, s)
	p := addTestPhoto(t, s, v.ID, 1)
	snap := must(s.Snapshot(ctx, v.ID))(t)
	must(s.Erase(ctx, survey.Erasure{Survey: v.ID, Reason: survey.ErasedAsked}))(t)
	wantKind(t, errorOf(s.CreateSurvey(ctx, v)), survey.NotFound)
	for _, b := range [][]byte{content(1, 3000), content(2, 900), content(3, 90)} {
		putBlob(t, s, b)
	}
	wantKind(t, errorOf(s.AddPhoto(ctx, p)), survey.NotFound)
	wantKind(t, s.Restore(ctx, snap), survey.NotFound)
	wantKind(t, errorOf(s.Erase(ctx, survey.Erasure{Survey: survey.SurveyID(survey.NewID()), Reason: survey.ErasedAsked})), survey.NotFound)
	wantKind(t, errorOf(s.Erase(ctx, survey.Erasure{Survey: v.ID, Reason: "because of " + personName})), survey.Invalid)
	next := addTestPhoto(t, s, addSurvey(t, s).ID, 50)
	if next.Sequence <= p.Sequence {
		t.Errorf("the sequence went back: %d after %d", next.Sequence, p.Sequence)
	}
}

// TestFileRemovedBeforeItIsNamed: a photo whose file an erasure removed after it was stored, and before its row was written, is refused.
func TestFileRemovedBeforeItIsNamed(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	p := samplePhoto(v.ID, putBlob(t, s, content(1, 3000)), putBlob(t, s, content(2, 900)), putBlob(t, s, content(3, 90)))
	if err := s.stillThere(p); err != nil {
		t.Fatal(err)
	}
	if err := s.root.Remove(blobName(p.Thumb)); err != nil {
		t.Fatal(err)
	}
	wantKind(t, s.stillThere(p), survey.NotFound)
}

// TestSweepAfterACrash: files that an erasure did not come to remove go with the next Sweep; one that another survey names by then stays.
func TestSweepAfterACrash(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v := addSurvey(t, s)
	gone, kept := addTestPhoto(t, s, v.ID, 1), addTestPhoto(t, s, v.ID, 20)
	must(write(ctx, s, "erase", func(ctx context.Context, w *tx) (survey.Erasure, error) {
		return erase(ctx, w, survey.Erasure{Survey: v.ID, Reason: survey.ErasedAsked}, time.Time{})
	}))(t)
	if err := checkpoint(ctx, s.writer); err != nil {
		t.Fatal(err)
	}
	if found := holding(t, s.dir, []byte(v.Address)); len(found) > 0 {
		t.Errorf("deleted rows were not written over: %v", found)
	}
	addTestPhoto(t, s, addSurvey(t, s).ID, 20)
	for range 2 {
		if err := s.Sweep(ctx); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.checkBlobs(kept); err != nil {
		t.Errorf("the photo of the other survey: %v", err)
	}
	for _, sum := range []string{gone.SHA256, gone.Screen, gone.Thumb} {
		wantKind(t, errorOf(s.blobSize(sum)), survey.NotFound)
	}
}

// TestErasureOpensOneSurveyOnly: what is never deleted stays so for every other survey, and an erasure itself is never changed.
func TestErasureOpensOneSurveyOnly(t *testing.T) {
	s := newStore(t)
	ctx := t.Context()
	v := addSurvey(t, s)
	must(s.Erase(ctx, survey.Erasure{Survey: v.ID, Reason: survey.ErasedAsked}))(t)
	personal(t, s)
	for _, table := range append(tablesOf(t, s), "erasure") {
		if slices.Contains([]string{"photo", "pin", "fact"}, table) { // they are changed as the survey goes on; what was, stands in the history
			continue
		}
		if _, err := s.writer.ExecContext(ctx, `PRAGMA defer_foreign_keys = ON; DELETE FROM `+table); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("DELETE FROM %s: got %v, want a refusal", table, err)
		}
	}
	for _, text := range []string{`UPDATE erasure SET totals = '{}', reason = 'kept long enough'`, `INSERT OR REPLACE INTO erasure SELECT survey, seq, 'deleted', '', 0, '{}' FROM erasure`,
		`UPDATE filing SET by = 'x'`, `INSERT OR REPLACE INTO filing SELECT survey, seq, 'deleted', '', 0 FROM filing`} {
		if _, err := s.writer.ExecContext(ctx, text); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: got %v, want a refusal", text, err)
		}
	}
}

// TestBlobColumnsAreAll: every column that could name a file is either one whose files an erasure removes or known to name none.
func TestBlobColumnsAreAll(t *testing.T) {
	s := newStore(t)
	known := map[blobColumn]bool{{"erased_blob", "sha256"}: true, {"approval", "sha256"}: true, {"approval", "prev"}: true, {"approval", "hash"}: true, {"revision", "prev"}: true,
		{"finish", "prev"}: true, {"finish", "hash"}: true, {"seal", "sum"}: true, {"seal", "prev"}: true, {"seal", "hash"}: true}
	for _, c := range blobColumns() {
		known[c] = true
	}
	columns := must(read(t.Context(), s, "columns", func(ctx context.Context, q query) ([]blobColumn, error) {
		rows, err := q.QueryContext(ctx, `SELECT m.name, c.name FROM sqlite_schema m, pragma_table_info(m.name) c WHERE m.type = 'table' AND c.type = 'TEXT'
			AND (c.name IN ('screen', 'thumb', 'blob') OR c.name LIKE '%sha256%' OR m.sql LIKE '%length(' || c.name || ') = 64%' OR m.sql LIKE '%length(' || c.name || ') = CASE%')`)
		return collect(rows, err, func(row scanner) (blobColumn, error) {
			var c blobColumn
			return c, row.Scan(&c.table, &c.column)
		})
	}))(t)
	if len(columns) < len(known) {
		t.Errorf("only %d columns are looked at", len(columns))
	}
	for _, c := range columns {
		if !known[c] {
			t.Errorf("%s of %s: say in blobColumns that it names files, or here that it does not", c.column, c.table)
		}
	}
	for _, c := range blobColumns() {
		if !slices.Contains(columns, c) {
			t.Errorf("there is no column %s of %s", c.column, c.table)
		}
	}
	if _, err := s.root.Stat(blobName(noBytes)); !errors.Is(err, fs.ErrNotExist) {
		t.Error("a file of no bytes is stored")
	}
}
