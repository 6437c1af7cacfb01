package backup

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/store"
)

// childEnv, when set, makes the test binary a process of its own that backs a folder up, as the program does beside its server.
const childEnv = "BACKUP_TEST_CHILD"

func TestMain(m *testing.M) {
	if os.Getenv(childEnv) == "" {
		os.Exit(m.Run())
	}
	r, err := Make(context.Background(), Config{Data: os.Args[1], Target: os.Args[2], Keep: 100, Now: time.Now, Progress: func(done, total int64) { fmt.Println("copied", done, total) }})
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	fmt.Println("made", r.Name)
	os.Exit(0)
}

// child is a backup in a process of its own.
func child(t *testing.T, data, target string) *exec.Cmd {
	t.Helper()
	cmd := exec.Command(must(os.Executable())(t), data, target)
	cmd.Env = append(os.Environ(), childEnv+"=1")
	return cmd
}

func must[T any](v T, err error) func(testing.TB) T {
	return func(tb testing.TB) T {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
		return v
	}
}

// house is an open data folder with one survey.
type house struct {
	*store.Store
	dir string
	survey.Survey
}

func openHouse(t *testing.T) house {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	s := must(store.Open(t.Context(), store.Config{Dir: dir, Now: time.Now}))(t)
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error("close:", err)
		}
	})
	v := must(s.CreateSurvey(t.Context(), survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "12 Elm Street"}))(t)
	return house{s, dir, v}
}

// content is n bytes that seed decides.
func content(seed uint64, n int) []byte {
	b := make([]byte, n)
	rand.NewChaCha8([32]byte{byte(seed), byte(seed >> 8), byte(seed >> 16), byte(seed >> 24)}).Read(b)
	return b
}

func (h house) blob(ctx context.Context, b []byte) (store.Blob, error) {
	return h.ReceiveBlob(ctx, bytes.NewReader(b), survey.MaxPhotoBytes)
}

// photo adds a photo of n bytes with a small picture and a pin on it.
func (h house) photo(ctx context.Context, seed uint64, n int) (survey.Photo, survey.Pin, error) {
	original, err := h.blob(ctx, content(seed, n))
	if err != nil {
		return survey.Photo{}, survey.Pin{}, err
	}
	small, err := h.blob(ctx, content(seed+1<<30, 500))
	if err != nil {
		return survey.Photo{}, survey.Pin{}, err
	}
	p, err := h.AddPhoto(ctx, survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: h.ID, SHA256: original.SHA256, Bytes: original.Bytes, Screen: small.SHA256, Thumb: small.SHA256})
	if err != nil {
		return survey.Photo{}, survey.Pin{}, err
	}
	pin, err := h.PutPin(ctx, survey.Pin{ID: survey.PinID(survey.NewID()), Survey: h.ID, Photo: p.ID, Kind: survey.PinNote, X: 0.1, Y: 2.0 / 3, Note: fmt.Sprint("pin of ", p.Number)})
	return p, pin, err
}

// approved issues a revision of the survey and has it approved in person.
func (h house) approved(t *testing.T) survey.Approval {
	t.Helper()
	v := survey.NextRevision(h.ID, must(h.Revisions(t.Context(), h.ID))(t))
	v.SHA256 = must(h.blob(t.Context(), fmt.Appendf(nil, `{"survey":"%s","number":%d,"prev":"%s"}`, h.ID, v.Number, v.Prev)))(t).SHA256
	v.By, v.At = "Ana", time.UnixMilli(1_780_000_000_000).UTC()
	must(h.Issue(t.Context(), v))(t)
	return must(h.Decide(t.Context(), survey.Approval{Survey: h.ID, Number: v.Number, SHA256: v.SHA256, Decision: survey.Approved, Name: "J. Quill", Consent: "I agree.", Lang: "en", With: "Ana",
		Address: "192.0.2.7", Agent: "a phone"}))(t)
}

func (h house) back(t *testing.T, target string) Result {
	t.Helper()
	return must(Make(t.Context(), Config{Data: h.dir, Target: target, Keep: 14, Now: time.Now}))(t)
}

// restored restores a set, wants nothing amiss and gives everything of the house that the new folder has.
func (h house) restored(t *testing.T, target, at string) survey.Snapshot {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "restored")
	r := must(Restore(t.Context(), Restoring{Target: target, At: at, Data: dir, Now: time.Now}))(t)
	if len(r.Checkup.Findings)+len(r.Checkup.Orphans)+len(r.Flaws) > 0 {
		t.Errorf("restored %s: %+v, flaws %q", r.Name, r.Checkup, r.Flaws)
	}
	s := must(store.Open(t.Context(), store.Config{Dir: dir, Now: time.Now}))(t)
	defer s.Close()
	return must(s.Snapshot(t.Context(), h.ID))(t)
}

// refusedRestore wants a restore to fail, saying this, before anything is written.
func refusedRestore(t *testing.T, target, at, says string) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "restored")
	_, err := Restore(t.Context(), Restoring{Target: target, At: at, Data: dir, Now: time.Now})
	if err == nil || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v, want one line with %q", err, says)
	}
	if _, err := os.Stat(dir); !os.IsNotExist(err) {
		t.Errorf("something was written (%v)", err)
	}
}

// tree lists the files of a folder with the sums of their bytes.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		sum := sha256.Sum256(must(os.ReadFile(name))(t))
		files[must(filepath.Rel(dir, name))(t)] = hex.EncodeToString(sum[:])
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func copied(t *testing.T, dir string) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "copy")
	if err := os.CopyFS(to, os.DirFS(dir)); err != nil {
		t.Fatal(err)
	}
	return to
}
