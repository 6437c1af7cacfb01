package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"undercroft/annotate"
	"undercroft/survey"
)

// childEnv, when set, makes the test binary the process that a test starts to kill, or to be refused.
const childEnv = "STORE_TEST_CHILD"

func TestMain(m *testing.M) {
	switch os.Getenv(childEnv) {
	case "":
		os.Exit(m.Run())
	case "write":
		os.Exit(writeUntilKilled(os.Args[1]))
	case "open":
		os.Exit(openOnce(os.Args[1]))
	}
	fmt.Fprintln(os.Stderr, "unknown child")
	os.Exit(2)
}

// clock is a time that tests set.
type clock struct {
	mu sync.Mutex
	t  time.Time
}

func newClock() *clock { return &clock{t: time.Date(2026, 5, 30, 9, 0, 0, 123_456_789, time.UTC)} }

// Now goes on by a second at each call.
func (c *clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.t = c.t.Add(time.Second)
	return c.t
}

func (c *clock) move(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.t = c.t.Add(d)
}

func openAt(tb testing.TB, dir string) *Store {
	tb.Helper()
	s, err := Open(tb.Context(), Config{Dir: dir, Now: newClock().Now})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() {
		if err := s.Close(); err != nil {
			tb.Error("close:", err)
		}
	})
	return s
}

func newStore(tb testing.TB) *Store {
	tb.Helper()
	return openAt(tb, filepath.Join(tb.TempDir(), "data"))
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

func wantKind(tb testing.TB, err error, kind survey.Kind) *survey.Error {
	tb.Helper()
	e, ok := err.(*survey.Error)
	if !ok || e.Kind != kind {
		tb.Fatalf("got error %v, want one of kind %d", err, kind)
	}
	if e.Message == "" {
		tb.Error("the error has no message")
	}
	return e
}

func sampleSurvey() survey.Survey {
	return survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "12 Elm Street", Address: "12 Elm Street", Client: "R. Ash", Contact: "555-0100",
		Surveyor: "Kim", VisitDate: "2026-05-30", Access: "side gate, small dog", Notes: "call first"}
}

func addSurvey(tb testing.TB, s *Store) survey.Survey {
	tb.Helper()
	return must(s.CreateSurvey(tb.Context(), sampleSurvey()))(tb)
}

// content is n bytes that seed decides.
func content(seed uint64, n int) []byte {
	b := make([]byte, n)
	rand.NewChaCha8([32]byte{byte(seed), byte(seed >> 8), byte(seed >> 16), byte(seed >> 24)}).Read(b)
	return b
}

func sumOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

func putBlob(tb testing.TB, s *Store, b []byte) Blob {
	tb.Helper()
	return must(s.ReceiveBlob(tb.Context(), bytes.NewReader(b), survey.MaxPhotoBytes))(tb)
}

func samplePhoto(in survey.SurveyID, original, screen, thumb Blob) survey.Photo {
	bearing, latitude := 271.5, 12.345678
	return survey.Photo{
		ID: survey.PhotoID(survey.NewID()), Survey: in, Name: "IMG_0001.JPG", Caption: "the ledger", SHA256: original.SHA256, Bytes: original.Bytes,
		Width: 4032, Height: 3024, Screen: screen.SHA256, Thumb: thumb.SHA256,
		Meta: annotate.Meta{Format: annotate.FormatJPEG, Width: 4032, Height: 3024, Orientation: 6, Taken: "2026-05-30T10:11:12", Offset: "+02:00",
			Bearing: &bearing, Latitude: &latitude, Warnings: []string{"The photo is dark."}},
	}
}

func addTestPhoto(tb testing.TB, s *Store, in survey.SurveyID, seed uint64) survey.Photo {
	tb.Helper()
	p := samplePhoto(in, putBlob(tb, s, content(seed, 3000)), putBlob(tb, s, content(seed+1, 900)), putBlob(tb, s, content(seed+2, 90)))
	return must(s.AddPhoto(tb.Context(), p))(tb)
}

func samplePin(p survey.Photo) survey.Pin {
	return survey.Pin{ID: survey.PinID(survey.NewID()), Survey: p.Survey, Photo: p.ID, Kind: survey.PinNote, X: 0.1, Y: 2.0 / 3, Note: "joist 3",
		By: "Kim", Values: map[string]string{"what": "nail", "size": "1 1/2"}}
}

func addTestPin(tb testing.TB, s *Store, p survey.Photo) survey.Pin {
	tb.Helper()
	return must(s.PutPin(tb.Context(), samplePin(p)))(tb)
}

// temporaries lists what is in temp.
func temporaries(tb testing.TB, s *Store) []string {
	tb.Helper()
	return must(filepath.Glob(filepath.Join(s.dir, tempName, "*")))(tb)
}

// historyOf lists the changes of a record, oldest first, as "change version".
func historyOf(tb testing.TB, s *Store, record string) []string {
	tb.Helper()
	list, err := read(tb.Context(), s, "read history", func(ctx context.Context, q query) ([]string, error) {
		rows, err := q.QueryContext(ctx, `SELECT change || ' ' || version FROM history WHERE record = ? ORDER BY seq`, record)
		return collect(rows, err, func(row scanner) (string, error) {
			var text string
			return text, row.Scan(&text)
		})
	})
	if err != nil {
		tb.Fatal(err)
	}
	return list
}
