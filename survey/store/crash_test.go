package store

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"undercroft/survey"
)

const (
	kills   = 20
	writers = 4
)

// openOnce is the child that opens a folder, says how that went and leaves.
func openOnce(dir string) int {
	s, err := Open(context.Background(), Config{Dir: dir, Now: newClock().Now})
	if err != nil {
		fmt.Println(err)
		return 1
	}
	fmt.Println("open")
	if err := s.Close(); err != nil {
		fmt.Println(err)
		return 1
	}
	return 0
}

// writeUntilKilled is the child that adds photos and pins from several goroutines and prints a line for each answer it got, after it got it.
func writeUntilKilled(dir string) int {
	s, err := Open(context.Background(), Config{Dir: dir, Now: newClock().Now})
	if err != nil {
		fmt.Println("error", err)
		return 1
	}
	var group sync.WaitGroup
	for range writers {
		group.Go(func() {
			if err := writeForever(s); err != nil {
				fmt.Println("error", err)
			}
		})
	}
	group.Wait()
	return 1
}

// writeForever makes a survey, then photo after photo with two pins and a change each.
func writeForever(s *Store) error {
	ctx := context.Background()
	v, err := s.CreateSurvey(ctx, sampleSurvey())
	if err != nil {
		return err
	}
	acknowledge("survey", v.ID, v.Version)
	for {
		seed := rand.Uint64N(1 << 32)
		size := 1 + rand.IntN(60_000)
		blob, err := s.ReceiveBlob(ctx, bytes.NewReader(content(seed, size)), survey.MaxPhotoBytes)
		if err != nil {
			return err
		}
		acknowledge("blob", blob.SHA256, seed, size)
		photo, err := s.AddPhoto(ctx, survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: v.ID, SHA256: blob.SHA256, Bytes: blob.Bytes})
		if err != nil {
			return err
		}
		acknowledge("photo", photo.ID, v.ID, photo.Number, photo.SHA256)
		for range 2 {
			if err := writePin(ctx, s, photo); err != nil {
				return err
			}
		}
		facts, err := s.PutFacts(ctx, v.ID, []survey.Fact{{Key: fmt.Sprint("a", photo.Number), Text: "1"}, {Key: fmt.Sprint("b", photo.Number), Text: "1"}})
		if err != nil {
			return err
		}
		acknowledge("facts", v.ID, facts[0].Key, facts[1].Key)
		if err := writePieces(ctx, s, v.ID); err != nil {
			return err
		}
	}
}

// crashPiece is the size of a piece that is written until a kill.
const crashPiece = 20_000

// writePieces sends a photo in pieces and makes it when they are all there, as a phone and the server do.
func writePieces(ctx context.Context, s *Store, in survey.SurveyID) error {
	seed, size, id := rand.Uint64N(1<<32), 1+rand.IntN(3*crashPiece), survey.PhotoID(survey.NewID())
	whole := content(seed, size)
	for offset := 0; offset < size; offset += crashPiece {
		now, err := addPiece(s, id, whole, offset, crashPiece)
		if err != nil {
			return err
		}
		acknowledge("piece", id, in, now.Offset, seed, size)
	}
	r, err := s.OpenPieces(id)
	if err != nil {
		return err
	}
	defer r.Close()
	blob, err := s.ReceiveBlob(ctx, r, survey.MaxPhotoBytes)
	if err != nil {
		return err
	}
	photo, err := s.AddPhoto(ctx, survey.Photo{ID: id, Survey: in, SHA256: blob.SHA256, Bytes: blob.Bytes})
	if err != nil {
		return err
	}
	acknowledge("photo", photo.ID, in, photo.Number, sumOf(whole))
	return s.DropPieces(id)
}

func writePin(ctx context.Context, s *Store, photo survey.Photo) error {
	pin, err := s.PutPin(ctx, samplePin(photo))
	if err != nil {
		return err
	}
	acknowledge("pin", pin.ID, pin.Survey, pin.Number, pin.Version)
	pin.Note = "changed"
	if pin, err = s.PutPin(ctx, pin); err != nil {
		return err
	}
	acknowledge("pin", pin.ID, pin.Survey, pin.Number, pin.Version)
	return nil
}

// acknowledge prints a line with one write, so that a kill cuts no line into another's.
func acknowledge(fields ...any) { os.Stdout.WriteString(fmt.Sprintln(fields...)) }

// TestKill kills a writing process at random moments and then looks for everything it had acknowledged.
func TestKill(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	acknowledged := 0
	for i := range kills {
		lines := killOne(t, dir, time.Duration(60+rand.IntN(300))*time.Millisecond)
		acknowledged += len(lines)
		began := time.Now()
		s := openAt(t, dir)
		if took := time.Since(began); took > 2*time.Second {
			t.Errorf("kill %d: opening again took %v, want under 2 s", i, took)
		}
		checkAcknowledged(t, s, lines)
		checkWhole(t, s)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if t.Failed() {
			t.Fatalf("after kill %d", i)
		}
	}
	t.Logf("%d kills, %d acknowledgements, all found", kills, acknowledged)
	if acknowledged < 20*kills {
		t.Errorf("only %d acknowledgements: this proves little", acknowledged)
	}
}

// killOne starts the writing child, kills it so long after its first line and gives the whole lines it printed.
func killOne(t *testing.T, dir string, after time.Duration) []string {
	t.Helper()
	cmd := exec.Command(must(os.Executable())(t), dir)
	cmd.Env = append(os.Environ(), childEnv+"=write")
	out := must(cmd.StdoutPipe())(t)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer cmd.Wait()
	first := make([]byte, 1)
	if _, err := io.ReadFull(out, first); err != nil {
		t.Fatal("the child said nothing:", err)
	}
	timer := time.AfterFunc(after, func() { cmd.Process.Kill() })
	defer timer.Stop()
	text := string(first) + string(must(io.ReadAll(bufio.NewReader(out)))(t))
	lines := strings.Split(text, "\n")
	lines = lines[:len(lines)-1] // what follows the last line end was cut off
	for _, line := range lines {
		if strings.HasPrefix(line, "error") {
			t.Fatal(line)
		}
	}
	return lines
}

// checkAcknowledged looks for what each line promises.
func checkAcknowledged(t *testing.T, s *Store, lines []string) {
	t.Helper()
	records := map[string]survey.Record{}
	record := func(id string) survey.Record {
		if _, ok := records[id]; !ok {
			records[id] = must(s.Record(t.Context(), survey.SurveyID(id)))(t)
		}
		return records[id]
	}
	for _, line := range lines {
		f := strings.Fields(line)
		ok := false
		switch f[0] {
		case "survey":
			ok = record(f[1]).Survey.Title == sampleSurvey().Title
		case "blob":
			seed, size := must(strconv.ParseUint(f[2], 10, 64))(t), must(strconv.Atoi(f[3]))(t)
			ok = bytes.Equal(readBlob(t, s, f[1]), content(seed, size))
		case "photo":
			p, found := record(f[2]).Photo(survey.PhotoID(f[1]))
			ok = found && strconv.Itoa(p.Number) == f[3] && p.SHA256 == f[4]
		case "pin":
			p, found := record(f[2]).Pin(survey.PinID(f[1]))
			ok = found && strconv.Itoa(p.Number) == f[3] && p.Version >= must(strconv.Atoi(f[4]))(t)
		case "piece":
			offset, size := must(strconv.ParseInt(f[3], 10, 64))(t), must(strconv.Atoi(f[5]))(t)
			p, made := record(f[2]).Photo(survey.PhotoID(f[1]))
			whole := content(must(strconv.ParseUint(f[4], 10, 64))(t), size)
			ok = made && p.SHA256 == sumOf(whole) || bytes.HasPrefix(readPieces(t, s, survey.PhotoID(f[1])), whole[:offset])
		case "facts":
			ok = record(f[1]).Facts[f[2]].Version == 1 && record(f[1]).Facts[f[3]].Version == 1
		}
		if !ok {
			t.Errorf("acknowledged but not there: %s", line)
		}
	}
}

// checkWhole looks for anything that is there by half: a row without its bytes, a name that does not fit the bytes, a piece cut short, facts of one request
// of which one is missing, a hole in the numbers, a row whose history does not end with it, temporary files.
func checkWhole(t *testing.T, s *Store) {
	t.Helper()
	if left := temporaries(t, s); len(left) > 0 {
		t.Errorf("temporary files are left: %q", left)
	}
	for _, path := range must(filepath.Glob(filepath.Join(s.dir, blobsName, "*", "*")))(t) {
		if got := sumOf(readBlob(t, s, filepath.Base(path))); got != filepath.Base(path) {
			t.Errorf("blob %s has the bytes of %s", path, got)
		}
	}
	for _, path := range must(filepath.Glob(filepath.Join(s.dir, piecesName, "*", "*")))(t) {
		p, ok := parsePiece(filepath.Base(path))
		if in, mark := strings.CutPrefix(filepath.Base(path), surveyMark); mark { // an empty file that names the survey
			_, err := survey.ParseID(in)
			ok = err == nil
		}
		if size := must(os.Stat(path))(t).Size(); !ok || size != p.bytes {
			t.Errorf("piece %s has %d bytes", path, size)
		}
	}
	for _, v := range must(s.Surveys(t.Context()))(t) {
		r := must(s.Record(t.Context(), v.ID))(t)
		for i, p := range r.Photos {
			if got := must(s.blobSize(p.SHA256))(t); got != p.Bytes || p.Number != i+1 {
				t.Errorf("photo %d of %d: number %d, %d bytes, want %d", i+1, len(r.Photos), p.Number, got, p.Bytes)
			}
		}
		for i, p := range r.Pins {
			if p.Number != i+1 {
				t.Errorf("pin %d has number %d", i+1, p.Number)
			}
		}
		for key := range r.Facts {
			other := map[byte]string{'a': "b", 'b': "a"}[key[0]] + key[1:]
			if _, ok := r.Facts[other]; !ok {
				t.Errorf("fact %s is there without %s", key, other)
			}
		}
	}
	checkDatabase(t, s)
}

// checkDatabase runs SQLite's own checks and holds the rows against the history.
func checkDatabase(t *testing.T, s *Store) {
	t.Helper()
	for _, c := range []struct{ query, want string }{
		{`PRAGMA integrity_check`, "ok"},
		{`SELECT count(*) FROM pragma_foreign_key_check`, "0"},
		{`SELECT count(*) FROM pin p WHERE version <> (SELECT max(version) FROM history WHERE kind = 'pin' AND record = p.id)`, "0"},
		{`SELECT count(*) FROM photo p WHERE seq <> (SELECT min(seq) FROM history WHERE kind = 'photo' AND record = p.id)`, "0"},
		{`SELECT (SELECT count(*) FROM history) - (SELECT max(seq) FROM history)`, "0"},
	} {
		var got string
		if err := s.reader.QueryRowContext(t.Context(), c.query).Scan(&got); err != nil || got != c.want {
			t.Errorf("%s: got %s, %v, want %s", c.query, got, err, c.want)
		}
	}
}

// readPieces reads the pieces of a photo that follow each other from its first byte on.
func readPieces(t *testing.T, s *Store, id survey.PhotoID) []byte {
	t.Helper()
	r := &pieceReader{store: s, id: id, next: must(s.listPieces(id))(t)}
	defer r.Close()
	return must(io.ReadAll(r))(t)
}

func readBlob(t *testing.T, s *Store, sum string) []byte {
	t.Helper()
	f := must(s.OpenBlob(sum))(t)
	defer f.Close()
	return must(io.ReadAll(f))(t)
}
