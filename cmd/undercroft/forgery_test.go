package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"image"
	"image/jpeg"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/survey/report/document"
	"undercroft/survey/report/pdf"
	"undercroft/survey/store"
)

// issuedFolder is a data folder with a survey of which two revisions were issued, each with three reports, a link that was revoked, a question with its answer and an approval.
// It gives the folder, the sums of the revisions and of the decisions.
func issuedFolder(t *testing.T) (dir string, revisions, decisions []string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "data")
	now := time.Date(2026, 6, 4, 9, 30, 0, 0, time.UTC)
	s, err := store.Open(t.Context(), store.Config{Dir: dir, Now: func() time.Time { now = now.Add(time.Second); return now }})
	if err != nil {
		t.Fatal(err)
	}
	h := &forgedHouse{t: t, Store: s, ctx: survey.WithPerson(t.Context(), survey.Person{Name: "R. Vance"})}
	h.begin()
	for _, text := range []string{"28'", "30'"} {
		h.put("width", text)
		v, a := h.issue()
		revisions, decisions = append(revisions, v.SHA256), append(decisions, a.Hash)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return dir, revisions, decisions
}

// forgedHouse makes the survey.
type forgedHouse struct {
	*store.Store
	t      *testing.T
	ctx    context.Context
	survey survey.SurveyID
	issued []survey.Revision
}

func done[T any](h *forgedHouse, v T, err error) T {
	h.t.Helper()
	if err != nil {
		h.t.Fatal(err)
	}
	return v
}

func (h *forgedHouse) blob(body []byte) string {
	h.t.Helper()
	b, err := h.ReceiveBlob(h.ctx, bytes.NewReader(body), int64(len(body)))
	return done(h, b, err).SHA256
}

func (h *forgedHouse) begin() {
	h.t.Helper()
	v, err := h.CreateSurvey(h.ctx, survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Larkmoor house", Client: "J. Quill"})
	h.survey = done(h, v, err).ID
	picture := func(wide int) []byte {
		var out bytes.Buffer
		if err := jpeg.Encode(&out, image.NewGray(image.Rect(0, 0, wide, wide)), nil); err != nil {
			h.t.Fatal(err)
		}
		return out.Bytes()
	}
	original := append(picture(64), "the camera’s own notes"...)
	p := survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: h.survey, Name: "IMG.jpg", SHA256: h.blob(original), Bytes: int64(len(original)), Width: 64, Height: 64, Screen: h.blob(picture(48)), Thumb: h.blob(picture(16))}
	p, err = h.AddPhoto(h.ctx, p)
	done(h, p, err)
	pin, err := h.PutPin(h.ctx, survey.Pin{ID: survey.PinID(survey.NewID()), Survey: h.survey, Photo: p.ID, Kind: survey.PinNote, X: 0.5, Y: 0.5, Note: "look", By: "Ana"})
	done(h, pin, err)
	h.put("projection", "14'")
}

// put says a fact anew.
func (h *forgedHouse) put(key, text string) {
	h.t.Helper()
	r, err := h.Record(h.ctx, h.survey)
	done(h, r, err)
	f, err := h.PutFacts(h.ctx, h.survey, []survey.Fact{{Key: key, Text: text, Version: r.Facts[key].Version}})
	done(h, f, err)
}

// issue freezes the next revision, keeps reports of it, and lets the homeowner ask and approve.
func (h *forgedHouse) issue() (survey.Revision, survey.Approval) {
	h.t.Helper()
	r, err := h.Record(h.ctx, h.survey)
	done(h, r, err)
	v := survey.NextRevision(h.survey, h.issued)
	v.By, v.At = "R. Vance", time.Date(2026, 6, 4, 10, v.Number, 0, 0, time.UTC)
	content, sum, err := report.Freeze(v, r, survey.Compute(r), report.Options{})
	done(h, content, err)
	v.SHA256 = sum
	h.blob(content)
	v, err = h.Issue(h.ctx, v)
	h.issued = append(h.issued, done(h, v, err))
	thawed, err := report.Thaw(content)
	done(h, thawed, err)
	for _, reader := range []document.Reader{document.Crew, document.Scope, document.Survey} {
		doc, err := thawed.Document(reader, words.English, false, sum)
		done(h, doc, err)
		var out bytes.Buffer
		if err := pdf.Write(&out, doc, pdf.Letter, func(sha256 string) ([]byte, error) { return readBlob(h.Store, sha256) }); err != nil {
			h.t.Fatal(err)
		}
		kept, err := h.KeepRendition(h.ctx, v, string(reader)+"-en-letter.pdf", h.blob(out.Bytes()))
		done(h, kept, err)
	}
	h.say(v)
	return v, h.decide(v)
}

// say is what the crew and the office do with a revision: a review, a question with its answer, a value measured on site, and where the survey is kept.
func (h *forgedHouse) say(v survey.Revision) {
	h.t.Helper()
	review, err := h.Review(h.ctx, survey.Review{Survey: h.survey, By: "B. Quill", Revision: v.Number, SHA256: v.SHA256})
	done(h, review, err)
	id := survey.NewID()
	asked, err := h.Remark(h.ctx, survey.Remark{ID: id, Survey: h.survey, Question: id, Kind: survey.RemarkAsk, Subject: survey.SubjectSurvey, About: "the survey", Text: "Is the gate open?", By: "B. Quill"})
	done(h, asked, err)
	answered, err := h.Remark(h.ctx, survey.Remark{ID: survey.NewID(), Survey: h.survey, Question: id, Kind: survey.RemarkAnswer, Text: "It is.", By: "R. Vance"})
	done(h, answered, err)
	r, err := h.Record(h.ctx, h.survey)
	was := done(h, r, err).Facts["projection"].Text
	measured, err := h.Verify(h.ctx, survey.Verification{ID: survey.NewID(), Survey: h.survey, Set: map[string]string{"projection": was + " 1/2"}, Was: map[string]string{"projection": was}, Before: "14′ 0″ (typed)", By: "B. Quill"})
	done(h, measured, err)
	for _, act := range []survey.FilingAct{survey.Archived, survey.Returned} {
		filed, err := h.File(h.ctx, h.survey, act)
		done(h, filed, err)
	}
}

func (h *forgedHouse) decide(v survey.Revision) survey.Approval {
	h.t.Helper()
	var links []survey.Link
	for i := range 2 {
		l, err := h.CreateLink(h.ctx, survey.Link{ID: survey.LinkID(survey.NewID()), Survey: h.survey, Number: v.Number, By: "R. Vance", Expires: time.Date(2026, 8, 1, 0, 0, 0, 0, time.UTC)}, sha256.Sum256(fmt.Append(nil, v.Number, i)))
		links = append(links, done(h, l, err))
	}
	if err := h.RevokeLink(h.ctx, h.survey, links[1].ID, "Ana"); err != nil {
		h.t.Fatal(err)
	}
	q, err := h.Ask(h.ctx, survey.Inquiry{ID: survey.NewID(), Link: links[0].ID, Name: "J. Quill", Text: "Will it be as bright?"})
	done(h, q, err)
	q, err = h.Answer(h.ctx, h.survey, q.ID, "It stays as it is.", "R. Vance")
	done(h, q, err)
	a, err := h.Decide(h.ctx, survey.Approval{Survey: h.survey, Number: v.Number, SHA256: v.SHA256, Decision: survey.Approved, Name: "J. Quill", Consent: "I agree.", Lang: "en", Link: links[0].ID, Address: "192.0.2.7", Agent: "A phone"})
	return done(h, a, err)
}

// forger changes one thing of a data folder as somebody with all of its files would.
type forger struct {
	t   *testing.T
	dir string
	db  *sql.DB
	r   *rand.Rand
}

// forgedColumns are the cells that say what was issued, sent, asked, answered and decided, and of which photos; the history up to the last decision with them. A link's token is not
// among them: its sum says nothing to anybody and is not taken elsewhere.
func forgedColumns() map[string][]string {
	return map[string][]string{
		"revision":  {"survey", "number", "sha256", "prev", "by", "although", "at"},
		"rendition": {"survey", "number", "name", "sha256", "at"},
		"approval":  {"survey", "seq", "number", "sha256", "decision", "name", "reason", "consent", "lang", "at", "link", "made_with", "address", "agent", "signature", "prev", "hash"},
		"link":      {"id", "survey", "number", "by", "at", "expires_at", "revoked_at", "revoked_by"},
		"inquiry":   {"id", "survey", "number", "link", "name", "text", "at", "answer", "answered_by", "answered_at"},
		"seal":      {"survey", "seq", "kind", "record", "sum", "prev", "hash"},
		"history":   {"survey", "kind", "record", "change", "version", "row", "at", "by"},
		"photo":     {"survey", "number", "sha256", "bytes"},

		"review":       {"survey", "seq", "by", "at", "revision", "sha256"},
		"remark":       {"id", "survey", "question", "kind", "subject", "target", "about", "text", "photo", "by", "at"},
		"verification": {"id", "survey", "seq", "pin", "set_values", "was_values", "before_words", "withdraws", "by", "at"},
		"filing":       {"survey", "seq", "act", "by", "at"},
	}
}

func (f *forger) exec(statement string, args ...any) int64 {
	f.t.Helper()
	result, err := f.db.ExecContext(f.t.Context(), statement, args...)
	if err != nil {
		f.t.Fatalf("%s %v: %v", statement, args, err)
	}
	n, err := result.RowsAffected()
	if err != nil {
		f.t.Fatal(err)
	}
	return n
}

// key names one row of a table, in a condition.
func (f *forger) key(table string) (where string) {
	keys := map[string]string{"approval": "seq", "history": "seq", "inquiry": "id", "link": "id", "photo": "id", "rendition": "number || name", "revision": "number", "seal": "seq", "review": "seq", "remark": "id", "verification": "id", "filing": "seq"}[table]
	var value string
	row := f.db.QueryRowContext(f.t.Context(), fmt.Sprintf(`SELECT CAST(%s AS TEXT) FROM %s ORDER BY 1 LIMIT 1 OFFSET %d %% (SELECT count(*) FROM %s)`, keys, table, f.r.IntN(1000), table))
	if err := row.Scan(&value); err != nil {
		f.t.Fatal(err)
	}
	return fmt.Sprintf("CAST(%s AS TEXT) = '%s'", keys, value)
}

// cell changes one cell into something else of its type: another row's, or its own with a letter, a bit or a number changed.
func (f *forger) cell() string {
	tables := slices.Sorted(maps.Keys(forgedColumns())) // in order, so that a seed's choices are the same from run to run
	table := tables[f.r.IntN(len(tables))]
	columns := forgedColumns()[table]
	column, where := columns[f.r.IntN(len(columns))], f.key(table)
	var was any
	if err := f.db.QueryRowContext(f.t.Context(), fmt.Sprintf(`SELECT "%s" FROM %s WHERE %s`, column, table, where)).Scan(&was); err != nil {
		f.t.Fatal(err)
	}
	var now any
	switch v := was.(type) {
	case int64:
		now = v + int64(f.r.IntN(5)) + 1
	case string:
		now = f.text(v)
	case nil:
		now = int64(1)
	default:
		f.t.Fatalf("%s.%s is %T", table, column, was)
	}
	if column == "row" || column == "set_values" || column == "was_values" { // these must stay JSON
		now = strings.Replace(was.(string), "{", `{"x":"1",`, 1)
	}
	f.exec(fmt.Sprintf(`UPDATE OR REPLACE %s SET "%s" = ? WHERE %s`, table, column, where), now)
	return fmt.Sprintf("%s.%s of %s: %v → %v", table, column, where, was, now)
}

func (f *forger) text(was string) string {
	if was == "" {
		return "x"
	}
	b := []byte(was)
	switch i := f.r.IntN(len(b)); f.r.IntN(3) {
	case 0:
		return was + "x"
	case 1:
		return was[:len(was)-1]
	default:
		if b[i] == 'e' {
			b[i] = 'a'
		} else {
			b[i] = 'e'
		}
	}
	return string(b)
}

// row takes a row out, takes all of a table out, puts two into each other's place, or adds one.
func (f *forger) row() string {
	add := map[string]string{
		"approval":  `INSERT INTO approval SELECT survey, seq + 2, number + 2, sha256, decision, name, reason, consent, lang, at, link, made_with, address, agent, signature, hash, hash FROM approval WHERE seq = 2`,
		"filing":    `INSERT INTO filing SELECT survey, seq + 10, act, by, at FROM filing LIMIT 1`,
		"inquiry":   `INSERT INTO inquiry SELECT substr(id, 1, 35) || 'x', survey, number, link, name, text, at, answer, answered_by, answered_at FROM inquiry LIMIT 1`,
		"link":      `INSERT INTO link SELECT substr(id, 1, 35) || 'x', survey, number, NULL, by, at, expires_at, revoked_at, revoked_by FROM link LIMIT 1`,
		"remark":    `INSERT INTO remark SELECT substr(id, 1, 35) || 'x', survey, question, kind, subject, target, about, text, photo, by, at FROM remark LIMIT 1`,
		"rendition": `INSERT INTO rendition SELECT survey, number, 'x' || name, sha256, at FROM rendition LIMIT 1`,
		"review":    `INSERT INTO review SELECT survey, seq + 10, by, at, revision, sha256 FROM review LIMIT 1`,
		"revision":  `INSERT INTO revision SELECT survey, number + 1, sha256, sha256, by, although, at FROM revision WHERE number = 2`,
		"seal":      `INSERT INTO seal SELECT survey, seq + 1, kind, record || 'x', sum, hash, hash FROM seal ORDER BY seq DESC LIMIT 1`,
		"verification": `INSERT INTO verification SELECT substr(id, 1, 35) || 'x', survey, seq + 10, pin, set_values, was_values, before_words, withdraws, by, at
			FROM verification LIMIT 1`,
	}
	tables := slices.Sorted(maps.Keys(add))
	table := tables[f.r.IntN(len(tables))]
	switch where := f.key(table); f.r.IntN(4) {
	case 0:
		f.exec(`DELETE FROM ` + table + ` WHERE ` + where)
		return "without " + table + " " + where
	case 1:
		f.exec(`DELETE FROM ` + table)
		return "without any " + table
	case 2:
		if table == "approval" || table == "seal" {
			f.exec(`UPDATE ` + table + ` SET seq = CASE seq WHEN 1 THEN -2 WHEN 2 THEN -1 ELSE seq END`)
			f.exec(`UPDATE ` + table + ` SET seq = -seq WHERE seq < 0`)
			return table + ": the first two in each other’s place"
		}
	}
	if f.exec(add[table]) != 1 {
		f.t.Fatal("nothing was added")
	}
	return "one more " + table
}

// file changes one byte of a stored file, its length, or takes it away; undo puts it back.
func (f *forger) file() (what string, undo func()) {
	var files []string
	err := filepath.WalkDir(filepath.Join(f.dir, "blobs"), func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			files = append(files, path)
		}
		return err
	})
	if err != nil || len(files) < 8 {
		f.t.Fatal(files, err)
	}
	path := files[f.r.IntN(len(files))]
	body, err := os.ReadFile(path)
	if err != nil {
		f.t.Fatal(err)
	}
	forged := bytes.Clone(body)
	i := f.r.IntN(len(forged))
	switch f.r.IntN(4) {
	case 0:
		forged = forged[:i]
	case 1:
		forged = append(forged, ' ')
	default:
		forged[i] ^= 1 << f.r.IntN(8)
	}
	write := func(body []byte) {
		if err := os.Chmod(path, 0o600); err != nil {
			f.t.Fatal(err)
		}
		if err := os.WriteFile(path, body, 0o600); err != nil {
			f.t.Fatal(err)
		}
	}
	write(forged)
	return fmt.Sprintf("%s, of %d bytes, at %d", filepath.Base(path), len(body), i), func() { write(body) }
}

// openForged opens a database as somebody with the file would: without what keeps rows as they are.
func openForged(t *testing.T, dir string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, "undercroft.db")+"?_pragma=foreign_keys(0)&_pragma=ignore_check_constraints(1)&_pragma=journal_mode(DELETE)&_pragma=synchronous(OFF)")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := db.QueryContext(t.Context(), `SELECT name FROM sqlite_schema WHERE type = 'trigger'`)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	if err := rows.Close(); err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if _, err := db.ExecContext(t.Context(), `DROP TRIGGER `+name); err != nil {
			t.Fatal(err)
		}
	}
	return db
}

// TestEveryForgeryIsFound makes 200 random single changes to a data folder in which everything was issued and approved, with the triggers dropped: a cell, a byte of a photo, of a
// report or of a revision's content, a row taken out, put elsewhere or added. verify finds every one, and nothing where nothing was changed.
func TestEveryForgeryIsFound(t *testing.T) {
	dir, _, _ := issuedFolder(t)
	if status, out := commandOutput(t, "verify", "-data", dir); status != exitOK || !strings.Contains(out, "Larkmoor house is whole") {
		t.Fatalf("before anything was changed: status %d and %q", status, out)
	}
	if err := openForged(t, dir).Close(); err != nil { // without triggers, once for all
		t.Fatal(err)
	}
	database := filepath.Join(dir, "undercroft.db")
	whole, err := os.ReadFile(database)
	if err != nil {
		t.Fatal(err)
	}
	f := &forger{t: t, dir: dir, r: rand.New(rand.NewPCG(7, 72))}
	kinds := map[string]int{}
	const tries = 200
	found := 0
	for range tries {
		f.db = openForged(t, dir)
		var what, kind string
		undo := func() {}
		switch n := f.r.IntN(10); {
		case n < 5:
			kind, what = "cell", f.cell()
		case n < 8:
			kind = "file"
			what, undo = f.file()
		default:
			kind, what = "row", f.row()
		}
		if err := f.db.Close(); err != nil {
			t.Fatal(err)
		}
		status, out := commandOutput(t, "verify", "-data", dir)
		if kinds[kind]++; status == exitFailed {
			found++
		} else {
			t.Errorf("not found, %s: %s: status %d and %q", kind, what, status, out)
		}
		undo()
		if err := os.WriteFile(database, whole, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("found %d of %d: %v", found, tries, kinds)
	if status, out := commandOutput(t, "verify", "-data", dir); status != exitOK {
		t.Errorf("with everything put back: status %d and %q", status, out)
	}
}

// TestTheNewestDecisionTakenAway: with its seal, and whatever was sealed since, it cannot be seen in the folder; against the sum on its receipt, or on the newest report, it is.
func TestTheNewestDecisionTakenAway(t *testing.T) {
	dir, revisions, decisions := issuedFolder(t)
	expect := []string{"verify", "-data", dir, "-expect", survey.Fingerprint(decisions[1]), "-expect", revisions[1]}
	if status, out := commandOutput(t, expect...); status != exitOK || !strings.Contains(out, "revision 2 of Larkmoor house, approved by J. Quill") {
		t.Fatalf("status %d and %q", status, out)
	}
	db := openForged(t, dir)
	for _, statement := range []string{`DELETE FROM seal WHERE seq >= (SELECT seq FROM seal WHERE kind = 'decision' AND record = '2')`, `DELETE FROM approval WHERE seq = 2`} {
		if _, err := db.ExecContext(t.Context(), statement); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if status, out := commandOutput(t, "verify", "-data", dir); status != exitOK {
		t.Errorf("nothing of the chain itself is wrong: status %d and %q", status, out)
	}
	if status, out := commandOutput(t, expect...); status != exitFailed || !strings.Contains(out, survey.Fingerprint(decisions[1])+": no revision and no decision has it") {
		t.Errorf("against the receipt: status %d and %q", status, out)
	}
	for _, odd := range []string{"7e18", "not hexadecimal at all", strings.Repeat("a", 65)} {
		if status, _ := commandOutput(t, "verify", "-data", dir, "-expect", odd); status != exitUsage {
			t.Errorf("-expect %q: status %d", odd, status)
		}
	}
}

// TestReportsAreHeldAgainstWhatWasIssued: each report that was issued is told by its bytes, with its revision, reader, language and paper; one with a changed byte is none.
func TestReportsAreHeldAgainstWhatWasIssued(t *testing.T) {
	dir, _, _ := issuedFolder(t)
	house := filepath.Join(t.TempDir(), "house.zip")
	if status, out := commandOutput(t, "export", "-data", dir, "Larkmoor", "-o", house); status != exitOK {
		t.Fatal(out)
	}
	var sum string
	db := openForged(t, dir)
	if err := db.QueryRowContext(t.Context(), `SELECT sha256 FROM rendition WHERE number = 2 AND name = 'scope-en-letter.pdf'`).Scan(&sum); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	body, err := os.ReadFile(filepath.Join(dir, "blobs", sum[:2], sum))
	if err != nil || hex.EncodeToString(func() []byte { s := sha256.Sum256(body); return s[:] }()) != sum {
		t.Fatal(err)
	}
	good, bad := filepath.Join(t.TempDir(), "scope.pdf"), filepath.Join(t.TempDir(), "forged.pdf")
	forged := bytes.Clone(body)
	forged[len(forged)/2] ^= 4
	for name, content := range map[string][]byte{good: body, bad: forged} {
		if err := os.WriteFile(name, content, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, from := range [][]string{{house}, {"-data", dir}} {
		args := append([]string{"verify"}, from...)
		if status, out := commandOutput(t, append(args, good)...); status != exitOK || !strings.Contains(out, "is exactly the homeowner’s scope (in English, Letter, PDF) of revision 2 of Larkmoor house") {
			t.Errorf("%v: status %d and %q", from, status, out)
		}
		status, out := commandOutput(t, append(args, good, bad, filepath.Join(dir, "none.pdf"))...)
		if status != exitFailed || !strings.Contains(out, "forged.pdf is not one of the reports") || !strings.Contains(out, "none.pdf cannot be read") || !strings.Contains(out, "2 of what was given") {
			t.Errorf("%v, forged: status %d and %q", from, status, out)
		}
	}
	if status, out := commandOutput(t, "verify", "-data", filepath.Join(dir, "none")); status != exitFailed || !strings.Contains(out, "no data folder") {
		t.Errorf("no folder: status %d and %q", status, out)
	}
}
