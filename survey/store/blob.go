package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"undercroft/survey"
)

// Blob is one stored file: SHA256 is 64 lower-case hexadecimal digits, New is false when the same bytes were there before.
type Blob struct {
	SHA256 string
	Bytes  int64
	New    bool
}

// ReceiveBlob stores what r gives, at most max bytes, and answers once it is on the disk. TooLarge when there is more, NoSpace when the
// disk is full; an error of r is wrapped. After an error nothing is left. When ctx ends before the bytes are all there, nothing is
// stored.
func (s *Store) ReceiveBlob(ctx context.Context, r io.Reader, max int64) (Blob, error) {
	if err := s.whole(); err != nil {
		return Blob{}, err
	}
	b, err := s.receive(ctx, r, max)
	if err != nil {
		return Blob{}, s.explain("receive blob", err)
	}
	return b, nil
}

// AdoptBlob stores a copy of a file, which stays where it is. It must be a plain file and not grow meanwhile.
func (s *Store) AdoptBlob(ctx context.Context, path string) (Blob, error) {
	info, err := os.Lstat(path)
	if err != nil {
		return Blob{}, fmt.Errorf("adopt blob: %w", err)
	}
	if !info.Mode().IsRegular() {
		return Blob{}, errors.New("adopt blob: not a plain file")
	}
	f, err := os.Open(path) // #nosec G304 -- a folder of the store
	if err != nil {
		return Blob{}, fmt.Errorf("adopt blob: %w", err)
	}
	defer f.Close()
	return s.ReceiveBlob(ctx, f, info.Size())
}

// OpenBlob opens a stored file for reading; the caller closes it. NotFound when there is none, or when the name is not one that a blob
// can have.
func (s *Store) OpenBlob(sha256 string) (*os.File, error) {
	if err := s.enter(); err != nil {
		return nil, err
	}
	defer s.use.RUnlock()
	if !isSum(sha256) {
		return nil, missingBlob()
	}
	f, err := s.root.Open(blobName(sha256))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, missingBlob()
	}
	if err != nil {
		return nil, s.explain("open blob", err)
	}
	return f, nil
}

// BlobPath is the absolute path of a stored file, for another process to read. NotFound as OpenBlob.
func (s *Store) BlobPath(sha256 string) (string, error) {
	if _, err := s.blobSize(sha256); err != nil {
		return "", s.explain("find blob", err)
	}
	return filepath.Join(s.dir, filepath.FromSlash(blobName(sha256))), nil
}

// blobSize is the size of a stored file in bytes, NotFound when there is none.
func (s *Store) blobSize(sum string) (int64, error) {
	if err := s.enter(); err != nil {
		return 0, err
	}
	defer s.use.RUnlock()
	if !isSum(sum) {
		return 0, missingBlob()
	}
	info, err := s.root.Lstat(blobName(sum))
	switch {
	case errors.Is(err, fs.ErrNotExist) || err == nil && !info.Mode().IsRegular():
		return 0, missingBlob()
	case err != nil:
		return 0, err
	}
	return info.Size(), nil
}

func missingBlob() error { return survey.Errorf(survey.NotFound, "There is no such file.") }

// isSum tells whether a text is a SHA-256 as blobs are named by it.
func isSum(text string) bool {
	if len(text) != 2*sha256.Size {
		return false
	}
	for _, c := range []byte(text) {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}

// blobName is where a blob lies in the data folder, with slashes.
func blobName(sum string) string { return path.Join(blobsName, sum[:2], sum) }

// receive writes a temporary file, syncs it and gives it its name.
func (s *Store) receive(ctx context.Context, r io.Reader, max int64) (Blob, error) {
	f, temp, err := s.createTemp("blob-")
	if err != nil {
		return Blob{}, err
	}
	named := false
	defer func() {
		if named {
			return
		}
		if left := errors.Join(ignoreClosed(f.Close()), s.root.Remove(temp)); left != nil {
			s.log.Warn("could not remove a temporary file", "error", left)
		}
	}()
	b, err := fill(f, reading{ctx, r}, max)
	if err != nil {
		return Blob{}, err
	}
	if err := f.Sync(); err != nil {
		return Blob{}, fmt.Errorf("sync blob: %w", err)
	}
	if err := f.Close(); err != nil {
		return Blob{}, err
	}
	if err := ctx.Err(); err != nil {
		return Blob{}, err
	}
	if err := s.enter(); err != nil {
		return Blob{}, err
	}
	defer s.use.RUnlock()
	if named, err = s.name(temp, b); err != nil {
		return Blob{}, err
	}
	// Also when the bytes were there: who put them there may have died, or be about to, before syncing the folder.
	if err := s.syncFolder(path.Dir(blobName(b.SHA256))); err != nil {
		s.fail(err)
		return Blob{}, fmt.Errorf("sync folder: %w", err)
	}
	b.New = named
	return b, nil
}

// fill copies r into f, at most max bytes, and sums it up on the way.
func fill(f *os.File, r io.Reader, max int64) (Blob, error) {
	sum := sha256.New()
	buffer := make([]byte, 128<<10)
	n, err := io.CopyBuffer(io.MultiWriter(f, sum), io.LimitReader(r, max), buffer)
	if err != nil {
		return Blob{}, err
	}
	if n == max {
		switch _, err := io.ReadFull(r, buffer[:1]); {
		case err == nil:
			return Blob{}, survey.Errorf(survey.TooLarge, "The file is too large: at most %s are taken.", sizeText(max))
		case !errors.Is(err, io.EOF):
			return Blob{}, err
		}
	}
	return Blob{SHA256: hex.EncodeToString(sum.Sum(nil)), Bytes: n}, nil
}

// name gives a synced temporary file its name; false when a blob of that name was there, which then stays. A blob of the wrong size
// is damage, and is replaced by the good bytes.
func (s *Store) name(temp string, b Blob) (bool, error) {
	s.publishing.Lock()
	defer s.publishing.Unlock()
	info, err := s.root.Lstat(blobName(b.SHA256))
	switch {
	case err == nil && info.Mode().IsRegular() && info.Size() == b.Bytes:
		return false, nil
	case err == nil:
		s.log.Error("a stored file was damaged and is replaced", "sha256", b.SHA256, "bytes", info.Size(), "want", b.Bytes)
	case !errors.Is(err, fs.ErrNotExist):
		return false, err
	}
	if err := s.root.Rename(temp, blobName(b.SHA256)); err != nil {
		return false, err
	}
	return true, nil
}

// reading is a reader that ends with its request.
type reading struct {
	ctx context.Context
	io.Reader
}

// Read reads unless the request has ended.
func (r reading) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.Reader.Read(p)
}

func ignoreClosed(err error) error {
	if errors.Is(err, fs.ErrClosed) {
		return nil
	}
	return err
}

// sizeText says a number of bytes for a person.
func sizeText(bytes int64) string {
	if bytes >= 1<<20 && bytes%(1<<20) == 0 {
		return fmt.Sprintf("%d MB", bytes>>20)
	}
	return fmt.Sprintf("%d bytes", bytes)
}
