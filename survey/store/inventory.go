package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"

	"undercroft/survey"
)

// Inventory is what a database holds and which stored files it stands on. Newest is the newest change of all and NewestIn the title of its survey, both zero when there
// is no survey.
type Inventory struct {
	Schema                                int
	Surveys, Photos, Revisions, Decisions int
	Newest                                time.Time
	NewestIn                              string
	Files                                 []Named
	Flaws                                 []string // what does not agree with itself; empty in a database that is whole
}

// Named is a stored file that something names. What says in words what it is. A file that is only Mentioned, in a history for example, need not be there.
type Named struct {
	SHA256    string
	What      string
	Mentioned bool
}

// maxContent is the most bytes that the content of a revision may have.
const maxContent = 64 << 20

// TakeInventory looks through a database file that nobody else uses, and through the revisions it names, which open gives. The error says what SQLite finds
// damaged in the file.
func TakeInventory(ctx context.Context, path string, open func(sum string) (*os.File, error)) (Inventory, error) {
	db, err := openQuiet(path)
	if err != nil {
		return Inventory{}, err
	}
	defer db.Close()
	var v Inventory
	if v.Schema, err = lookAt(ctx, db, path); err != nil {
		return Inventory{}, err
	}
	damage, err := integrity(ctx, db)
	if err != nil {
		return Inventory{}, err
	}
	if len(damage) > 0 {
		return Inventory{}, fmt.Errorf("the copy of the database is damaged: %s", strings.Join(damage, "; "))
	}
	dangling, err := danglingRows(ctx, db)
	if err != nil {
		return Inventory{}, err
	}
	v.Flaws = append(v.Flaws, dangling...)
	if v.Files, err = namedFiles(ctx, db, open); err != nil {
		return Inventory{}, err
	}
	for table, n := range map[string]*int{"survey": &v.Surveys, "photo": &v.Photos, "revision": &v.Revisions, "approval": &v.Decisions} {
		if there, err := hasTable(ctx, db, table); err != nil {
			return Inventory{}, err
		} else if !there {
			continue
		}
		if err := db.QueryRowContext(ctx, `SELECT count(*) FROM `+table).Scan(n); err != nil {
			return Inventory{}, fmt.Errorf("count rows: %w", err)
		}
	}
	v.Newest, v.NewestIn, err = newest(ctx, db)
	return v, err
}

// fileWords says, as SQL, what the file is that a column names.
func fileWords(c blobColumn) string {
	switch c {
	case blobColumn{"photo", "sha256"}:
		return `'photo ' || t.number || ' of ' || s.title`
	case blobColumn{"photo", "screen"}:
		return `'the picture made of photo ' || t.number || ' of ' || s.title`
	case blobColumn{"photo", "thumb"}:
		return `'the small picture made of photo ' || t.number || ' of ' || s.title`
	case blobColumn{"revision", "sha256"}:
		return `'revision ' || t.number || ' of ' || s.title`
	case blobColumn{"rendition", "sha256"}:
		return `'the report ' || t.name || ' of revision ' || t.number || ' of ' || s.title`
	case blobColumn{"finish", "sha256"}:
		return `'the completion record ' || t.seq || ' of ' || s.title`
	}
	return `'a file of ` + c.table + ` in ' || s.title`
}

// contentTables are the tables whose files are contents that name other files.
var contentTables = [...]string{"revision", "finish", "review"}

// namedFiles lists every file that the database needs or mentions, each once, in the order of their sums. Reading a photo of a survey that is not there still finds it: a
// damaged row must not hide a file.
func namedFiles(ctx context.Context, q query, open func(string) (*os.File, error)) ([]Named, error) {
	needed, contents := map[string]string{}, map[string]Named{}
	for _, c := range blobColumns() {
		if there, err := hasTable(ctx, q, c.table); err != nil {
			return nil, err
		} else if !there {
			continue
		}
		rows, err := q.QueryContext(ctx, `SELECT t.`+c.column+`, coalesce(`+fileWords(c)+`, 'a row of `+c.table+` without its survey') FROM `+c.table+` t LEFT JOIN survey s ON s.id = t.survey
			WHERE t.`+c.column+` <> '' ORDER BY 2`)
		list, err := collect(rows, err, scanNamed)
		if err != nil {
			return nil, fmt.Errorf("read the files of %s: %w", c.table, err)
		}
		for _, n := range list {
			if needed[n.SHA256] == "" {
				needed[n.SHA256] = n.What
			}
			if slices.Contains(contentTables[:], c.table) {
				contents[n.SHA256] = n
			}
		}
	}
	mentioned := map[string]bool{}
	if err := mentionedSums(ctx, q, mentioned); err != nil {
		return nil, err
	}
	for sum, n := range contents {
		body, err := readContent(open, sum)
		if err != nil {
			continue // it is missing or damaged, which is found where the file itself is looked at
		}
		eachSum(string(body), func(s string) { mentioned[s] = true })
		for _, p := range contentFiles(body) {
			if needed[p] == "" {
				needed[p] = "a photo that " + n.What + " stands on"
			}
		}
	}
	var all []Named
	for sum, what := range needed {
		all = append(all, Named{SHA256: sum, What: what})
		delete(mentioned, sum)
	}
	for sum := range mentioned {
		all = append(all, Named{SHA256: sum, What: "a file of earlier", Mentioned: true})
	}
	slices.SortFunc(all, func(a, b Named) int { return strings.Compare(a.SHA256, b.SHA256) })
	return all, nil
}

func scanNamed(row scanner) (Named, error) {
	var n Named
	return n, row.Scan(&n.SHA256, &n.What)
}

func hasTable(ctx context.Context, q query, name string) (bool, error) {
	var there bool
	if err := q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = ?)`, name).Scan(&there); err != nil {
		return false, fmt.Errorf("read the schema: %w", err)
	}
	return there, nil
}

// mentionedSums adds every text in the whole database that could be a file's name, in whatever column it stands: what may be removed is decided by it, and a table that
// somebody adds and forgets above must not cost a file.
func mentionedSums(ctx context.Context, q query, into map[string]bool) error {
	rows, err := q.QueryContext(ctx, `SELECT t.name, c.name FROM sqlite_schema t, pragma_table_info(t.name) c WHERE t.type = 'table'`)
	columns, err := collect(rows, err, func(row scanner) ([2]string, error) {
		var c [2]string
		return c, row.Scan(&c[0], &c[1])
	})
	if err != nil {
		return fmt.Errorf("read the schema: %w", err)
	}
	quote := func(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }
	for _, c := range columns {
		column := quote(c[1])
		rows, err := q.QueryContext(ctx, `SELECT `+column+` FROM `+quote(c[0])+` WHERE typeof(`+column+`) = 'text' AND length(`+column+`) >= 64`)
		_, err = collect(rows, err, func(row scanner) (struct{}, error) {
			var text string
			err := row.Scan(&text)
			eachSum(text, func(sum string) { into[sum] = true })
			return struct{}{}, err
		})
		if err != nil {
			return fmt.Errorf("read %s of %s: %w", c[1], c[0], err)
		}
	}
	return nil
}

// eachSum calls found for each word of exactly 64 hexadecimal digits.
func eachSum(text string, found func(string)) {
	run := 0
	for i := 0; i <= len(text); i++ {
		if i < len(text) && (text[i] >= '0' && text[i] <= '9' || text[i] >= 'a' && text[i] <= 'f') {
			run++
			continue
		}
		if run == 64 {
			found(text[i-64 : i])
		}
		run = 0
	}
}

// frozenContent is what has to be known of a revision's content: what it says of its place in the chain, and the photos it stands on.
type frozenContent struct {
	Survey survey.SurveyID `json:"survey"`
	Number int             `json:"number"`
	Prev   string          `json:"prev"`
	Photos []struct {
		SHA256 string `json:"sha256"`
		Screen string `json:"screen"`
		Thumb  string `json:"thumb"`
	} `json:"photos"`
}

// readContent reads the content of a revision or the like, as it is.
func readContent(open func(string) (*os.File, error), sum string) ([]byte, error) {
	f, err := open(sum)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	body, err := io.ReadAll(io.LimitReader(f, maxContent+1))
	if err == nil && len(body) > maxContent {
		err = errors.New("it is too large")
	}
	return body, err
}

// contentFiles are the photos that a content says it stands on; none when it cannot be read.
func contentFiles(body []byte) []string {
	var content frozenContent
	if json.Unmarshal(body, &content) != nil {
		return nil
	}
	var sums []string
	for _, p := range content.Photos {
		for _, sum := range []string{p.SHA256, p.Screen, p.Thumb} {
			if sum != "" {
				sums = append(sums, sum)
			}
		}
	}
	return sums
}

// integrity runs SQLite's own check of the file and gives what it found, at most a few lines.
func integrity(ctx context.Context, q query) ([]string, error) {
	rows, err := q.QueryContext(ctx, `PRAGMA integrity_check(10)`)
	lines, err := collect(rows, err, func(row scanner) (string, error) {
		var line string
		return line, row.Scan(&line)
	})
	if err != nil {
		return nil, fmt.Errorf("check the database: %w", err)
	}
	return slices.DeleteFunc(lines, func(line string) bool { return line == "ok" }), nil
}

// danglingRows lists the rows that refer to rows which are not there.
func danglingRows(ctx context.Context, q query) ([]string, error) {
	rows, err := q.QueryContext(ctx, `SELECT "table", "parent", count(*) FROM pragma_foreign_key_check GROUP BY "table", "parent"`)
	list, err := collect(rows, err, func(row scanner) (string, error) {
		var table, parent string
		var n int
		err := row.Scan(&table, &parent, &n)
		return fmt.Sprintf("%d of the rows of %s refer to a row of %s that is not there", n, table, parent), err
	})
	if err != nil {
		return nil, fmt.Errorf("check the references: %w", err)
	}
	return list, nil
}

// blobNames lists the stored files of a folder with their sizes and times, and whatever else lies among them.
func blobNames(root *os.Root) (files map[string]fs.FileInfo, strays []string, err error) {
	files = map[string]fs.FileInfo{}
	err = fs.WalkDir(root.FS(), blobsName, func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		sum := entry.Name()
		switch {
		case entry.IsDir() && (name == blobsName || len(name) == len(blobsName)+3 && eachHex(sum)):
			return nil
		case entry.IsDir():
			strays = append(strays, name)
			return fs.SkipDir
		case !isSum(sum) || name != blobName(sum) || !entry.Type().IsRegular():
			strays = append(strays, name)
			return nil
		}
		info, err := entry.Info()
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		files[sum] = info
		return err
	})
	return files, strays, err
}

func eachHex(text string) bool { return strings.Trim(text, "0123456789abcdef") == "" }
