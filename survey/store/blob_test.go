package store

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/iotest"

	"undercroft/survey"
)

func TestReceiveBlob(t *testing.T) {
	s := newStore(t)
	// FIPS 180-4 test vectors (NIST, "SHA-256 example", messages "abc" and empty).
	for text, want := range map[string]string{
		"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
		"":    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
	} {
		b := putBlob(t, s, []byte(text))
		if b != (Blob{SHA256: want, Bytes: int64(len(text)), New: true}) {
			t.Errorf("%q: got %+v", text, b)
		}
		if got := readBlob(t, s, want); string(got) != text {
			t.Errorf("read back %q, want %q", got, text)
		}
		path := must(s.BlobPath(want))(t)
		if want := filepath.Join(s.dir, "blobs", want[:2], want); path != want {
			t.Errorf("it lies at %s, want %s", path, want)
		}
		if mode := must(os.Stat(path))(t).Mode(); mode != 0o400 {
			t.Errorf("mode %v, want 0400", mode)
		}
	}
	if left := temporaries(t, s); len(left) > 0 {
		t.Errorf("left: %q", left)
	}
}

func TestReceiveBlobTwice(t *testing.T) {
	s := newStore(t)
	data := content(1, 100_000)
	first := putBlob(t, s, data)
	path := must(s.BlobPath(first.SHA256))(t)
	before := must(os.Stat(path))(t)
	second := putBlob(t, s, data)
	if second.New || second.SHA256 != first.SHA256 || second.Bytes != first.Bytes {
		t.Errorf("second time: %+v, first time: %+v", second, first)
	}
	if after := must(os.Stat(path))(t); !os.SameFile(before, after) || !after.ModTime().Equal(before.ModTime()) {
		t.Error("the file was written again")
	}
	if left := temporaries(t, s); len(left) > 0 {
		t.Errorf("left: %q", left)
	}
}

func TestReceiveBlobAtOnce(t *testing.T) {
	s := newStore(t)
	data := content(2, 300_000)
	var group sync.WaitGroup
	var mu sync.Mutex
	fresh := 0
	for range 8 {
		group.Go(func() {
			b, err := s.ReceiveBlob(t.Context(), bytes.NewReader(data), survey.MaxPhotoBytes)
			if err != nil {
				t.Error(err)
			}
			mu.Lock()
			defer mu.Unlock()
			if b.New {
				fresh++
			}
		})
	}
	group.Wait()
	if fresh != 1 {
		t.Errorf("%d of 8 were new, want 1", fresh)
	}
	if got := readBlob(t, s, sumOf(data)); !bytes.Equal(got, data) {
		t.Error("the bytes differ")
	}
}

// zeros gives zero bytes without end and counts them.
type zeros struct{ given int64 }

func (z *zeros) Read(p []byte) (int, error) {
	clear(p)
	z.given += int64(len(p))
	return len(p), nil
}

func TestReceiveBlobTooLarge(t *testing.T) {
	s := newStore(t)
	source := &zeros{}
	_, err := s.ReceiveBlob(t.Context(), io.LimitReader(source, 41<<20), survey.MaxPhotoBytes)
	if e := wantKind(t, err, survey.TooLarge); !strings.Contains(e.Message, "40 MB") {
		t.Errorf("the message %q does not name the limit", e.Message)
	}
	if left := temporaries(t, s); len(left) > 0 {
		t.Errorf("left: %q", left)
	}
	if blobs := must(filepath.Glob(filepath.Join(s.dir, blobsName, "*", "*")))(t); len(blobs) > 0 {
		t.Errorf("stored: %q", blobs)
	}
	if source.given > survey.MaxPhotoBytes+1<<20 {
		t.Errorf("%d bytes were read before it was refused", source.given)
	}
	for _, n := range []int{9, 10} {
		if _, err := s.ReceiveBlob(t.Context(), bytes.NewReader(content(3, n)), 10); err != nil {
			t.Errorf("%d bytes of at most 10: %v", n, err)
		}
	}
	_, err = s.ReceiveBlob(t.Context(), bytes.NewReader(content(3, 11)), 10)
	wantKind(t, err, survey.TooLarge)
}

func TestReceiveBlobInterrupted(t *testing.T) {
	s := newStore(t)
	broken := errors.New("the line went dead")
	data := content(4, 400_000)
	cancelled, cancel := context.WithCancel(t.Context())
	for name, c := range map[string]struct {
		ctx context.Context
		r   io.Reader
		err error
	}{
		"error midway":       {t.Context(), io.MultiReader(bytes.NewReader(data), iotest.ErrReader(broken)), broken},
		"error at the end":   {t.Context(), iotest.DataErrReader(io.MultiReader(bytes.NewReader(data), iotest.ErrReader(broken))), broken},
		"error at the limit": {t.Context(), io.MultiReader(bytes.NewReader(content(4, 500_000)), iotest.ErrReader(broken)), broken},
		"request ends":       {cancelled, io.MultiReader(bytes.NewReader(data), readerFunc(func([]byte) (int, error) { cancel(); return 0, nil }), bytes.NewReader(data)), context.Canceled},
	} {
		_, err := s.ReceiveBlob(c.ctx, c.r, 500_000)
		if !errors.Is(err, c.err) {
			t.Errorf("%s: got error %v, want %v", name, err, c.err)
		}
		if left := temporaries(t, s); len(left) > 0 {
			t.Errorf("%s: left: %q", name, left)
		}
	}
	func() {
		defer func() { _ = recover() }()
		s.ReceiveBlob(t.Context(), readerFunc(func([]byte) (int, error) { panic("reader") }), 10)
	}()
	if left := temporaries(t, s); len(left) > 0 {
		t.Errorf("after a panic: left: %q", left)
	}
	if blobs := must(filepath.Glob(filepath.Join(s.dir, blobsName, "*", "*")))(t); len(blobs) > 0 {
		t.Errorf("stored: %q", blobs)
	}
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

func TestReceiveBlobMendsDamage(t *testing.T) {
	s := newStore(t)
	data := content(5, 5000)
	b := putBlob(t, s, data)
	path := must(s.BlobPath(b.SHA256))(t)
	if err := os.Chmod(path, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(path, 100); err != nil {
		t.Fatal(err)
	}
	if b := putBlob(t, s, data); !b.New {
		t.Error("a cut file passed for the blob")
	}
	if got := readBlob(t, s, b.SHA256); !bytes.Equal(got, data) {
		t.Error("the damage was not mended")
	}
}

func TestAdoptBlob(t *testing.T) {
	s := newStore(t)
	dir, remove, err := s.TempDir()
	if err != nil {
		t.Fatal(err)
	}
	data := content(6, 70_000)
	path := filepath.Join(dir, "thumb.jpg")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	b := must(s.AdoptBlob(t.Context(), path))(t)
	if b.SHA256 != sumOf(data) || b.Bytes != 70_000 || !b.New {
		t.Errorf("got %+v", b)
	}
	if got := must(os.ReadFile(path))(t); !bytes.Equal(got, data) {
		t.Error("the file was changed")
	}
	remove()
	if got := readBlob(t, s, b.SHA256); !bytes.Equal(got, data) {
		t.Error("the blob went with the file")
	}
	if left := temporaries(t, s); len(left) > 0 {
		t.Errorf("left: %q", left)
	}
	for name, path := range map[string]string{"folder": t.TempDir(), "nothing": filepath.Join(t.TempDir(), "no"), "device": "/dev/zero"} {
		if _, err := s.AdoptBlob(t.Context(), path); err == nil {
			t.Errorf("a %s was adopted", name)
		}
	}
}

func TestOpenBlobNames(t *testing.T) {
	s := newStore(t)
	sum := putBlob(t, s, []byte("abc")).SHA256
	if err := os.WriteFile(filepath.Join(s.dir, "secret"), []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	link := strings.Repeat("b", 64)
	if err := os.Symlink("/etc/hostname", filepath.Join(s.dir, blobsName, "bb", link)); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"none": strings.Repeat("a", 64), "upper case": strings.ToUpper(sum), "short": sum[:63], "long": sum + "a", "empty": "",
		"way out": "../" + sum[3:], "way far out": "../../secret" + strings.Repeat("/", 52), "NUL": sum[:63] + "\x00",
	} {
		t.Run(name, func(t *testing.T) {
			_, err := s.OpenBlob(text)
			wantKind(t, err, survey.NotFound)
			_, err = s.BlobPath(text)
			wantKind(t, err, survey.NotFound)
		})
	}
	if f, err := s.OpenBlob(link); err == nil {
		f.Close()
		t.Error("a link out of the folder was followed")
	}
}
