package store

import (
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undercroft/survey"
)

// TestWhatWasMadeBeforeThereWereSealsIsSealed: a folder of the schema before them, with a revision, a report, a link and its question, is sealed when it is opened.
func TestWhatWasMadeBeforeThereWereSealsIsSealed(t *testing.T) {
	newStore(t) // the first of a process says how files are locked
	dir := filepath.Join(t.TempDir(), "data")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	db := must(sql.Open("sqlite", filepath.Join(dir, databaseName)))(t)
	id, sum := survey.NewID(), strings.Repeat("a", 64)
	steps := must(migrations())(t)[:sealSchema-1]
	for _, statement := range append(steps,
		`INSERT INTO survey (id, title, address, client, contact, surveyor, visit_date, access, notes, version, created_at, updated_at, changed_at, changed_seq) VALUES ('`+id+`', 'Larkmoor house', '', '', '', '', '', '', '', 1, 1, 1, 1, 1)`,
		`INSERT INTO history (seq, survey, kind, record, change, version, row, at, by) VALUES (1, '`+id+`', 'survey', '`+id+`', 'create', 1, '{"id":"`+id+`"}', 1, '')`,
		`INSERT INTO revision (survey, number, sha256, prev, by, although, at) VALUES ('`+id+`', 1, '`+sum+`', '', 'Ana', '', 2)`,
		`INSERT INTO rendition (survey, number, name, sha256, at) VALUES ('`+id+`', 1, 'crew-en-letter.pdf', '`+sum+`', 3)`,
		`INSERT INTO link (id, survey, number, token_sha256, by, at, expires_at) VALUES ('l1', '`+id+`', 1, NULL, 'Ana', 4, 5)`,
		`INSERT INTO inquiry (id, survey, number, link, name, text, at) VALUES ('q1', '`+id+`', 1, 'l1', 'J. Quill', 'Why?', 5)`,
	) {
		if _, err := db.ExecContext(t.Context(), statement); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	s := openAt(t, dir)
	v := must(s.Snapshot(t.Context(), survey.SurveyID(id)))(t)
	if err := survey.CheckSeals(v); err != nil || len(v.Seals) != 5 {
		t.Errorf("%d seals, %v", len(v.Seals), err)
	}
	v.Inquiries[0].Text = "Why not?"
	if err := survey.CheckSeals(v); survey.KindOf(err) != survey.Invalid {
		t.Errorf("a changed question: %v", err)
	}
}

// TestSealsAreMadeWithWhatTheySeal: each record has its seal at once, and what is repeated has no second one.
func TestSealsAreMadeWithWhatTheySeal(t *testing.T) {
	s := newStore(t)
	id := busySurvey(t, s)
	ctx := t.Context()
	seals := func() []string {
		t.Helper()
		v := must(s.Snapshot(ctx, id))(t)
		if err := survey.CheckSeals(v); err != nil {
			t.Fatal(err)
		}
		var kinds []string
		for _, seal := range v.Seals {
			kinds = append(kinds, string(seal.Kind))
		}
		return kinds
	}
	before := len(seals())
	l := must(s.CreateLink(ctx, survey.Link{ID: survey.LinkID(survey.NewID()), Survey: id, Number: 1, By: "Ana", Expires: s.now().AddDate(0, 0, 60)}, TokenSum{1}))(t)
	q := must(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID, Text: "Why?"}))(t)
	for range 2 {
		must(s.Answer(ctx, id, q.ID, "Because.", "Ana"))(t)
		if err := s.RevokeLink(ctx, id, l.ID, "Ana"); err != nil {
			t.Fatal(err)
		}
		v := must(s.Revision(ctx, id, 1))(t)
		must(s.Issue(ctx, v))(t)
		must(s.KeepRendition(ctx, v, "crew-en-letter.pdf", v.SHA256))(t)
	}
	if got := strings.Join(seals()[before:], ", "); got != "link, question, answer, link revoked" {
		t.Errorf("sealed: %s", got)
	}
}
