package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"time"

	"undercroft/survey"
)

// eraseLimit is for writing the whole database anew, which holds no photos.
const eraseLimit = 5 * time.Minute

// Erase takes everything of a survey out of the data folder and keeps e's reason and totals; who and when are given here. Its rows go, also those that are never deleted
// else, and the files that no other survey names. Then the database is written anew, so that nothing of the rows is left in its unused pages or in its log. Erasing again
// gives the erasure that was made. NotFound when there is no such survey, Invalid when Validate refuses e, Conflict when it is to go because it was deleted and is not, or
// can still be taken back.
//
// After an error nothing is erased. When only the rows could be, Unswept tells, the log says why, and the rest goes with Sweep.
func (s *Store) Erase(ctx context.Context, e survey.Erasure) (survey.Erasure, error) {
	e, err := s.EraseRows(ctx, e)
	if err != nil {
		return survey.Erasure{}, err
	}
	if err := s.Sweep(ctx); err != nil {
		s.log.Error("files of an erased survey are still there, and are removed later", "error", err)
	}
	return e, nil
}

// EraseRows is Erase for one of several surveys: the rows go, the rest waits for the next Sweep, which does it for all of them at once.
func (s *Store) EraseRows(ctx context.Context, e survey.Erasure) (survey.Erasure, error) {
	if err := e.Validate(); err != nil {
		return survey.Erasure{}, err
	}
	return writeAlways(ctx, s, "erase survey", func(ctx context.Context, t *tx) (survey.Erasure, error) {
		return erase(ctx, t, e, s.restored)
	})
}

// Erasures lists what was erased, the newest first.
func (s *Store) Erasures(ctx context.Context) ([]survey.Erasure, error) {
	return read(ctx, s, "list erasures", func(ctx context.Context, q query) ([]survey.Erasure, error) {
		rows, err := q.QueryContext(ctx, `SELECT survey, reason, by, at, totals FROM erasure ORDER BY seq DESC`)
		return collect(rows, err, scanErasure)
	})
}

func scanErasure(row scanner) (survey.Erasure, error) {
	var e survey.Erasure
	var at int64
	var totals string
	if err := row.Scan(&e.Survey, &e.Reason, &e.By, &at, &totals); err != nil {
		return survey.Erasure{}, err
	}
	e.At = storedTime(at)
	var err error
	e.Totals, err = survey.DecodeTotals(totals)
	return e, err
}

// checkErased refuses a survey that was erased: a phone or a bundle that still has it must not bring it back.
func checkErased(ctx context.Context, q query, id survey.SurveyID) error {
	var erased int
	if err := q.QueryRowContext(ctx, `SELECT count(*) FROM erasure WHERE survey = ?`, id).Scan(&erased); err != nil {
		return err
	}
	if erased > 0 {
		return survey.Errorf(survey.NotFound, "This survey was erased for good. Start a new one.")
	}
	return nil
}

// checkOverdue is a Conflict unless a survey is deleted now and can no longer be taken back: whoever wants it erased may have looked before somebody took it back.
func checkOverdue(ctx context.Context, t *tx, id survey.SurveyID, restored time.Time) error {
	filed, err := findFiling(ctx, t, id)
	if err != nil {
		return err
	}
	if filed.Act != survey.Deleted || t.now.Before(filed.ErasedOn(restored)) {
		return survey.Errorf(survey.Conflict, "The survey was brought back, or still can be: it is not erased.")
	}
	return nil
}

func erase(ctx context.Context, t *tx, e survey.Erasure, restored time.Time) (survey.Erasure, error) {
	made, err := scanErasure(t.QueryRowContext(ctx, `SELECT survey, reason, by, at, totals FROM erasure WHERE survey = ?`, e.Survey))
	if err == nil {
		return made, nil
	}
	if _, err := findSurvey(ctx, t, e.Survey); err != nil {
		return survey.Erasure{}, err
	}
	if e.Reason == survey.ErasedDeleted {
		if err := checkOverdue(ctx, t, e.Survey, restored); err != nil {
			return survey.Erasure{}, err
		}
	}
	seq, err := t.next(ctx)
	if err != nil {
		return survey.Erasure{}, err
	}
	e.At, e.By = t.now, ""
	if who, ok := survey.PersonOf(ctx); ok {
		e.By = who.Name
	}
	totals, err := survey.EncodeTotals(e.Totals)
	if err != nil {
		return survey.Erasure{}, err
	}
	_, err = t.ExecContext(ctx, `INSERT INTO erasure (survey, seq, reason, by, at, totals) VALUES (?, ?, ?, ?, ?, ?)`, e.Survey, seq, e.Reason, e.By, e.At.UnixMilli(), totals)
	if err != nil {
		return survey.Erasure{}, err
	}
	if _, err := t.ExecContext(ctx, `INSERT INTO erased_blob (survey, sha256) VALUES (?, ?)`, e.Survey, noBytes); err != nil {
		return survey.Erasure{}, err
	}
	for _, c := range blobColumns() {
		_, err := t.ExecContext(ctx, fmt.Sprintf(`INSERT OR IGNORE INTO erased_blob SELECT survey, %s FROM %s WHERE survey = ? AND %s <> ''`, c.column, c.table, c.column), e.Survey)
		if err != nil {
			return survey.Erasure{}, err
		}
	}
	return e, deleteRows(ctx, t, e.Survey)
}

// deleteRows deletes the rows of a survey from every table that has a column survey, and its own.
func deleteRows(ctx context.Context, t *tx, id survey.SurveyID) error {
	// The first holds for this transaction: the tables go in no order. The second writes over what is deleted; the database is written anew later, but may not be after a crash.
	if _, err := t.ExecContext(ctx, `PRAGMA defer_foreign_keys = ON; PRAGMA secure_delete = ON`); err != nil {
		return err
	}
	tables, err := surveyTables(ctx, t)
	if err != nil {
		return err
	}
	for _, table := range tables {
		if _, err := t.ExecContext(ctx, `DELETE FROM "`+table+`" WHERE survey = ?`, id); err != nil {
			return fmt.Errorf("erase %s: %w", table, err)
		}
	}
	_, err = t.ExecContext(ctx, `DELETE FROM survey WHERE id = ?`, id)
	return err
}

// surveyTables lists the tables whose rows belong to a survey, as the database itself tells them; erasures stay.
func surveyTables(ctx context.Context, q query) ([]string, error) {
	rows, err := q.QueryContext(ctx, `SELECT m.name FROM sqlite_schema m, pragma_table_info(m.name) c WHERE m.type = 'table' AND c.name = 'survey' AND m.name NOT IN ('erasure', 'erased_blob') ORDER BY m.name`)
	return collect(rows, err, func(row scanner) (string, error) {
		var name string
		return name, row.Scan(&name)
	})
}

// noBytes is the SHA-256 of nothing (FIPS 180-4). It stands among the files of every erasure, so that one of a survey without files is finished by Sweep, too.
const noBytes = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"

// blobColumn is a column whose texts name blobs; an empty text names none.
type blobColumn struct{ table, column string }

// blobColumns are all of them.
func blobColumns() []blobColumn {
	return []blobColumn{
		{"photo", "sha256"}, {"photo", "screen"}, {"photo", "thumb"}, {"revision", "sha256"}, {"rendition", "sha256"}, {"finish", "sha256"}, {"review", "sha256"},
	}
}

// Sweep finishes erasures that were not finished: it removes the files that erased surveys named and no other survey names, and the photos of theirs that have not arrived
// whole, writes the database anew and cuts its log. Nothing to do takes no time. While a backup or a check reads the files, none is removed: that is left to the next Sweep.
func (s *Store) Sweep(ctx context.Context) error {
	left, err := s.Unswept(ctx)
	if err != nil || len(left) == 0 {
		return err
	}
	files, err := s.root.Open(blobsName)
	if err != nil {
		return fmt.Errorf("open the stored files: %w", err)
	}
	defer files.Close()
	if err := LockFolder(files, true); errors.Is(err, ErrLocked) {
		s.log.Warn("the files of an erased survey are removed later: a backup or a check is reading them")
		return nil
	} else if err != nil {
		return fmt.Errorf("lock the stored files: %w", err)
	}
	if err := errors.Join(s.sweepOf(ctx, left, s.removeErased), s.syncShards(ctx, left)); err != nil {
		return err
	}
	for _, id := range left {
		for _, photo := range s.arriving.of(id) {
			if err := s.DropPieces(photo); err != nil {
				return err
			}
		}
	}
	if err := s.rewrite(ctx); err != nil {
		return err
	}
	return s.sweepOf(ctx, left, func(ctx context.Context, t *tx, id survey.SurveyID) error {
		_, err := t.ExecContext(ctx, `DELETE FROM erased_blob WHERE survey = ?`, id)
		return err
	})
}

// Unswept lists the erased surveys of which files, or traces in the database's unused pages, may still be there.
func (s *Store) Unswept(ctx context.Context) ([]survey.SurveyID, error) {
	return read(ctx, s, "look for erased files", func(ctx context.Context, q query) ([]survey.SurveyID, error) {
		rows, err := q.QueryContext(ctx, `SELECT DISTINCT survey FROM erased_blob`)
		return collect(rows, err, func(row scanner) (survey.SurveyID, error) {
			var id survey.SurveyID
			return id, row.Scan(&id)
		})
	})
}

// sweepOf does something for each of a few erased surveys in one transaction.
func (s *Store) sweepOf(ctx context.Context, surveys []survey.SurveyID, do func(context.Context, *tx, survey.SurveyID) error) error {
	_, err := writeAlways(ctx, s, "finish an erasure", func(ctx context.Context, t *tx) (struct{}, error) {
		for _, id := range surveys {
			if err := do(ctx, t, id); err != nil {
				return struct{}{}, err
			}
		}
		return struct{}{}, nil
	})
	return err
}

// removeErased removes the files of an erased survey one by one. No row can come to name one of them meanwhile: this is the one transaction that writes, and who adds a row
// looks for its files within its own.
func (s *Store) removeErased(ctx context.Context, t *tx, id survey.SurveyID) error {
	sums, err := sumsOf(ctx, t, `SELECT sha256 FROM erased_blob WHERE survey = ?`, id)
	if err != nil {
		return err
	}
	named := map[string]bool{}
	for _, c := range blobColumns() {
		others, err := sumsOf(ctx, t, fmt.Sprintf(`SELECT %[1]s FROM %[2]s WHERE %[1]s IN (SELECT sha256 FROM erased_blob WHERE survey = ?)`, c.column, c.table), id)
		if err != nil {
			return err
		}
		for _, sum := range others {
			named[sum] = true
		}
	}
	for _, sum := range sums {
		if named[sum] || !isSum(sum) {
			continue
		}
		if err := s.root.Remove(blobName(sum)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// sumsOf reads the sums that a query gives.
func sumsOf(ctx context.Context, q query, text string, args ...any) ([]string, error) {
	rows, err := q.QueryContext(ctx, text, args...)
	return collect(rows, err, func(row scanner) (string, error) {
		var sum string
		return sum, row.Scan(&sum)
	})
}

// syncShards makes it durable that files of erased surveys were removed, whoever else names the others.
func (s *Store) syncShards(ctx context.Context, surveys []survey.SurveyID) error {
	shards := map[string]bool{}
	for _, id := range surveys {
		sums, err := read(ctx, s, "list erased files", func(ctx context.Context, q query) ([]string, error) {
			return sumsOf(ctx, q, `SELECT sha256 FROM erased_blob WHERE survey = ?`, id)
		})
		if err != nil {
			return err
		}
		for _, sum := range sums {
			if isSum(sum) {
				shards[path.Dir(blobName(sum))] = true
			}
		}
	}
	for shard := range shards {
		if err := s.syncFolder(shard); err != nil {
			s.fail(err)
			return fmt.Errorf("sync folder: %w", err)
		}
	}
	return nil
}

// stillThere is NotFound when a file of a photo that is about to be named was removed since it was stored. To be called in the transaction that writes, which an erasure cannot
// come into.
func (s *Store) stillThere(p survey.Photo) error {
	for _, sum := range []string{p.SHA256, p.Screen, p.Thumb} {
		if sum == "" {
			continue
		}
		if _, err := s.root.Lstat(blobName(sum)); errors.Is(err, fs.ErrNotExist) {
			return survey.Errorf(survey.NotFound, "The file was removed meanwhile. Send the photo again.")
		} else if err != nil {
			return err
		}
	}
	return nil
}

// rewrite writes the database anew and cuts its log: deleted rows leave nothing in a page that was in use by older programs either, which did not overwrite them. Readers
// that stay long make it fail, and then the log is cut later, by the upkeep.
func (s *Store) rewrite(ctx context.Context) error {
	if err := s.enter(); err != nil {
		return err
	}
	defer s.use.RUnlock()
	working, done := context.WithTimeout(context.WithoutCancel(ctx), eraseLimit)
	defer done()
	if _, err := s.writer.ExecContext(working, `VACUUM`); err != nil {
		return s.explain("write the database anew", err)
	}
	if err := checkpoint(working, s.writer); err != nil {
		s.log.Warn("the log still holds what was erased, until it is written back", "error", err)
	}
	return nil
}
