package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Trouble is a kind of finding; what is to be done goes by it.
type Trouble string

// The troubles.
const (
	DatabaseDamage Trouble = "database" // SQLite finds the file damaged
	DanglingRow    Trouble = "row"      // a row refers to nothing, or does not agree with its history
	MissingFile    Trouble = "missing"  // something names a file that is not there
	DamagedFile    Trouble = "damaged"  // a file has other bytes than its name says
	BrokenChain    Trouble = "chain"    // what was issued or decided is not what it was
	DamagedOrphan  Trouble = "orphan"   // so has a file that nothing names
	StrayFile      Trouble = "stray"    // something else lies among the stored files
)

// todo is what is to be done about a trouble.
func (t Trouble) todo() string {
	switch t {
	case DatabaseDamage:
		return "Stop the server and keep the folder as it is. Restore the newest good backup into a new folder and look at it before you go on there."
	case DanglingRow:
		return "Keep the folder as it is and compare with the newest good backup, restored into a new folder. If that is sound, go on there."
	case MissingFile:
		return "Copy the file from a backup: it lies there under the same path, blobs/, two digits, the whole sum. Then check again."
	case DamagedFile:
		return "Remove the file, copy the one of the same path (blobs/, two digits, the whole sum) from a backup, and check again."
	case BrokenChain:
		return "Do not issue or send anything of this survey. Compare the fingerprints on paper and on receipts with the newest good backup, restored into a new folder."
	case DamagedOrphan:
		return "Nothing is lost by it. Remove it: check -delete-orphans does so when it is older than 24 hours."
	case StrayFile:
		return "Undercroft did not put it there and does not use it: move it away."
	}
	return ""
}

// Finding is one thing that is not as it should be, and what to do about it.
type Finding struct {
	Trouble    Trouble
	What, Todo string
}

// Orphan is a stored file that nothing names: an upload that was cut short by a crash leaves one, and it does no harm. Old says that DeleteOrphans would remove it.
type Orphan struct {
	SHA256 string
	Bytes  int64
	At     time.Time
	Old    bool
}

// Checkup is what Check saw. Files and Bytes count the stored files that were read again.
type Checkup struct {
	Schema                              int
	Surveys, Photos, Revisions, Decided int
	Files                               int
	Bytes                               int64
	Findings                            []Finding
	Orphans                             []Orphan
}

func (c *Checkup) add(kind Trouble, format string, args ...any) {
	c.Findings = append(c.Findings, Finding{kind, fmt.Sprintf(format, args...), kind.todo()})
}

// Check reads everything in a data folder again: the database by SQLite's own checks, every stored file by its sum, every reference, the chains of revisions and of
// decisions. It changes nothing. now is the time by which orphans are old; progress, which may be nil, hears how many bytes of how many were read.
func (a *Aside) Check(ctx context.Context, now time.Time, progress func(done, total int64)) (Checkup, error) {
	c := Checkup{Schema: a.schema}
	files, strays, err := blobNames(a.root) // before the rows: what is stored while this goes on is no orphan
	if err != nil {
		return c, fmt.Errorf("list the stored files: %w", err)
	}
	for _, name := range strays {
		c.add(StrayFile, "%s is no stored file", name)
	}
	damage, err := integrity(ctx, a.db)
	if passing(ctx, err) {
		return c, err
	}
	if err != nil {
		c.add(DatabaseDamage, "the database cannot be read: %v", err)
		return c, nil
	}
	for _, line := range damage {
		c.add(DatabaseDamage, "the database is damaged: %s", line)
	}
	named, err := a.checkDatabase(ctx, &c)
	if passing(ctx, err) {
		return c, err
	}
	if err != nil {
		c.add(DatabaseDamage, "the database cannot be read: %v", err)
		return c, nil
	}
	for _, n := range named {
		if files[n.SHA256] == nil && !n.Mentioned && !a.arrived(n.SHA256, files) {
			c.add(MissingFile, "%s is missing: %s", n.What, missingName(n.SHA256))
		}
	}
	err = a.readFiles(ctx, files, named, now, progress, &c)
	return c, err
}

// passing tells whether an error says nothing of the database: the work was called off, or somebody else was in the way.
func passing(ctx context.Context, err error) bool {
	if err == nil || ctx.Err() != nil {
		return err != nil
	}
	e, ok := errors.AsType[*sqlite.Error](err)
	return ok && slices.Contains([]int{sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_INTERRUPT, sqlite3.SQLITE_NOMEM}, e.Code()&0xff)
}

// checkDatabase checks all that stands in the database, as it is at one moment, and gives the files it names. It ends its reading before the files are read, which takes
// long: as long as somebody reads, the server's log cannot be written back.
func (a *Aside) checkDatabase(ctx context.Context, c *Checkup) ([]Named, error) {
	begun, err := a.db.BeginTx(ctx, nil)
	if err != nil {
		return nil, err
	}
	defer begun.Rollback()
	named, err := a.checkRows(ctx, begun, c)
	if err != nil {
		return nil, err
	}
	return named, a.checkChains(ctx, begun, c)
}

// checkRows checks what the database says of itself and gives the files it names.
func (a *Aside) checkRows(ctx context.Context, q query, c *Checkup) ([]Named, error) {
	dangling, err := danglingRows(ctx, q)
	if err != nil {
		return nil, err
	}
	for _, line := range dangling {
		c.add(DanglingRow, "%s", line)
	}
	for _, r := range []struct{ query, says string }{
		{`SELECT count(*) FROM survey s WHERE version <> (SELECT max(version) FROM history WHERE survey = s.id AND kind = 'survey' AND record = s.id)`, "of the surveys do not end their history"},
		{`SELECT count(*) FROM photo p WHERE version <> (SELECT max(version) FROM history WHERE survey = p.survey AND kind = 'photo' AND record = p.id)`, "of the photos do not end their history"},
		{`SELECT count(*) FROM pin p WHERE version <> (SELECT max(version) FROM history WHERE survey = p.survey AND kind = 'pin' AND record = p.id)`, "of the pins do not end their history"},
		{`SELECT count(*) FROM photo p WHERE EXISTS (SELECT 1 FROM history h WHERE survey = p.survey AND kind = 'photo' AND record = p.id
			AND (row ->> 'number', row ->> 'sha256', row ->> 'bytes') IS NOT (p.number, p.sha256, p.bytes))`, "of the photos are not those that their history tells of"},
		{`SELECT count(*) FROM pin p WHERE (kind, note, json("values")) IS NOT (SELECT row ->> 'kind', row ->> 'note', json(row -> 'values') FROM history
			WHERE survey = p.survey AND kind = 'pin' AND record = p.id ORDER BY seq DESC LIMIT 1)`, "of the pins do not say what their history says"},
		{`SELECT count(*) FROM fact f WHERE text IS NOT (SELECT row ->> 'text' FROM history WHERE survey = f.survey AND kind = 'fact' AND record = f.key ORDER BY seq DESC LIMIT 1)`,
			"of the typed facts do not say what their history says"},
	} {
		var n int
		if err := q.QueryRowContext(ctx, r.query).Scan(&n); err != nil {
			return nil, err
		}
		if n != 0 {
			c.add(DanglingRow, "%d %s", n, r.says)
		}
	}
	if err := q.QueryRowContext(ctx, `SELECT (SELECT count(*) FROM survey), (SELECT count(*) FROM photo)`).Scan(&c.Surveys, &c.Photos); err != nil {
		return nil, err
	}
	return namedFiles(ctx, q, a.Open)
}

// arrived tells whether a file is there that was not when the names were listed; then it is listed too.
func (a *Aside) arrived(sum string, files map[string]fs.FileInfo) bool {
	if !isSum(sum) {
		return false
	}
	info, err := a.root.Lstat(blobName(sum))
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	files[sum] = info
	return true
}

// readFiles reads every stored file again and finds those that nothing names.
func (a *Aside) readFiles(ctx context.Context, files map[string]fs.FileInfo, named []Named, now time.Time, progress func(done, total int64), c *Checkup) error {
	about := map[string]Named{}
	for _, n := range named {
		about[n.SHA256] = n
	}
	var total int64
	sums := make([]string, 0, len(files))
	for sum, info := range files {
		total += info.Size()
		sums = append(sums, sum)
	}
	slices.Sort(sums)
	for _, sum := range sums {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, ok := about[sum]
		kind := DamagedFile
		if !ok {
			c.Orphans = append(c.Orphans, orphanOf(sum, files[sum], now))
			n.What, kind = "a file that nothing names", DamagedOrphan
		}
		is, err := a.sumOf(ctx, sum)
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			c.add(kind, "%s cannot be read: %s (%v)", n.What, blobName(sum), err)
		case is != sum:
			c.add(kind, "%s has other bytes than were stored: %s", n.What, blobName(sum))
		}
		c.Files++
		if c.Bytes += files[sum].Size(); progress != nil {
			progress(c.Bytes, total)
		}
	}
	return nil
}

// missingName is where a file should lie; a name that is no sum is given as it is.
func missingName(sum string) string {
	if !isSum(sum) {
		return fmt.Sprintf("%.80q", sum)
	}
	return blobName(sum)
}

// sumOf reads a stored file and sums it up.
func (a *Aside) sumOf(ctx context.Context, sum string) (string, error) {
	f, err := a.Open(sum)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.CopyBuffer(h, reading{ctx, f}, make([]byte, 128<<10)); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
