package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"undercroft/survey"
)

// PieceBytes is the most that one piece of a photo may have.
const PieceBytes = 1 << 20

// pieceLife is how long a photo that has not arrived whole is kept after its last piece.
const pieceLife = 7 * 24 * time.Hour

// Pieces says how much of a photo has arrived in pieces: the first Offset bytes of Length. Both are 0 when nothing has.
type Pieces struct {
	Offset, Length int64
}

// Whole tells whether everything has arrived.
func (p Pieces) Whole() bool { return p.Length > 0 && p.Offset == p.Length }

// ErrPieceSum is the error of a piece whose bytes are not those that were summed up.
var ErrPieceSum = errors.New("the piece does not have the sum that was sent with it")

// A photo that arrives in pieces is a folder, named by its id, of one file for each piece, named by length, offset and size. A piece gets its name when its bytes
// are on the disk, so it is there whole or not at all, and how much has arrived is read off the names: no row and no file has to agree with another after a power
// cut.

// Pieces tells how much of a photo has arrived.
func (s *Store) Pieces(id survey.PhotoID) (Pieces, error) {
	if err := s.enter(); err != nil {
		return Pieces{}, err
	}
	defer s.use.RUnlock()
	list, err := s.listPieces(id)
	if err != nil {
		return Pieces{}, s.explain("list pieces", err)
	}
	return sumUp(list), nil
}

// AddPiece stores the bytes of r, at most PieceBytes, as what follows the first at.Offset bytes of a photo at.Length bytes long, and answers once they are on the
// disk. sum is their SHA-256; ErrPieceSum, and nothing is kept, when they have another. A piece that is not the next one is a Conflict with the Pieces that are there as
// Current; a piece of another file, by its length or, once all of the photo is there, by its bytes, is a Conflict without. Invalid when it does not lie within
// its photo, TooLarge when that is larger than a photo may be.
func (s *Store) AddPiece(ctx context.Context, id survey.PhotoID, at Pieces, sum [sha256.Size]byte, r io.Reader) (Pieces, error) {
	body, err := receivePiece(ctx, at, sum, r)
	if err != nil {
		return Pieces{}, err
	}
	if err := s.whole(); err != nil {
		return Pieces{}, err
	}
	if err := s.enter(); err != nil {
		return Pieces{}, err
	}
	defer s.use.RUnlock()
	s.pieces.Lock()
	defer s.pieces.Unlock()
	there, err := s.listPieces(id)
	if err != nil {
		return Pieces{}, s.explain("list pieces", err)
	}
	now := sumUp(there)
	switch {
	case now.Length != 0 && now.Length != at.Length:
		return Pieces{}, conflict(nil, otherFile)
	case now.Whole():
		return Pieces{}, s.conflictWithWhole(id, there, at, body)
	case now.Offset != at.Offset:
		return Pieces{}, conflict(now, "The piece is not the next one.")
	}
	if err := s.savePiece(id, at, body); err != nil {
		return Pieces{}, s.explain("store piece", err)
	}
	return Pieces{Offset: at.Offset + int64(len(body)), Length: at.Length}, nil
}

// otherFile refuses a piece that cannot be of the file that came before under the same id.
const otherFile = "Another file was begun under this photo's id."

// conflictWithWhole answers for a piece of a photo that has all its pieces: with them as Current when it is one of them, sent again.
func (s *Store) conflictWithWhole(id survey.PhotoID, there []piece, at Pieces, body []byte) error {
	whole := &pieceReader{store: s, id: id, next: there}
	defer whole.Close()
	_, err := io.CopyN(io.Discard, whole, at.Offset)
	stored := make([]byte, len(body))
	if err == nil {
		_, err = io.ReadFull(whole, stored)
	}
	switch {
	case err != nil:
		return s.explain("read pieces", err)
	case !bytes.Equal(stored, body):
		return conflict(nil, otherFile)
	}
	return conflict(sumUp(there), "The photo has arrived whole.")
}

// HasPiece tells whether a stored file, named by its SHA-256, has the piece that r gives, where at says. Errors are those of AddPiece for a piece that is none, and NotFound when there
// is no such file.
func (s *Store) HasPiece(ctx context.Context, file string, at Pieces, sum [sha256.Size]byte, r io.Reader) (bool, error) {
	body, err := receivePiece(ctx, at, sum, r)
	if err != nil {
		return false, err
	}
	f, err := s.OpenBlob(file)
	if err != nil {
		return false, err
	}
	defer f.Close()
	stored := make([]byte, len(body))
	n, err := f.ReadAt(stored, at.Offset)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, s.explain("read blob", err)
	}
	return bytes.Equal(stored[:n], body), nil
}

// receivePiece reads a piece and holds it against its place and its sum.
func receivePiece(ctx context.Context, at Pieces, sum [sha256.Size]byte, r io.Reader) ([]byte, error) {
	if at.Length <= 0 || at.Offset < 0 || at.Offset >= at.Length {
		return nil, survey.Errorf(survey.Invalid, "A piece must lie within the photo.")
	}
	if at.Length > survey.MaxPhotoBytes {
		return nil, survey.Errorf(survey.TooLarge, "The photo is too large: at most %s are taken.", sizeText(survey.MaxPhotoBytes))
	}
	body, err := readPiece(reading{ctx, r}, min(PieceBytes, at.Length-at.Offset))
	if err != nil {
		return nil, err
	}
	if sha256.Sum256(body) != sum {
		return nil, ErrPieceSum
	}
	return body, nil
}

// readPiece reads one piece whole, from 1 to max bytes.
func readPiece(r io.Reader, max int64) ([]byte, error) {
	body, err := io.ReadAll(io.LimitReader(r, max+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("receive piece: %w", err)
	case len(body) == 0:
		return nil, survey.Errorf(survey.Invalid, "The piece is empty.")
	case int64(len(body)) > max:
		return nil, survey.Errorf(survey.TooLarge, "The piece is too large: at most %s are left for it.", sizeText(max))
	}
	return body, nil
}

// savePiece puts a piece's bytes on the disk, then names them.
func (s *Store) savePiece(id survey.PhotoID, at Pieces, body []byte) error {
	f, temp, err := s.createTemp("piece-")
	if err != nil {
		return err
	}
	_, err = io.Copy(f, bytes.NewReader(body))
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return errors.Join(err, s.root.Remove(temp))
	}
	folder := pieceFolder(id)
	if err := s.root.Mkdir(folder, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return errors.Join(err, s.root.Remove(temp))
	}
	if err := s.root.Rename(temp, path.Join(folder, pieceName(piece{at, int64(len(body))}))); err != nil {
		return errors.Join(err, s.root.Remove(temp))
	}
	now := s.now()
	if err := s.root.Chtimes(folder, now, now); err != nil { // the age that sweepPieces goes by, on the store's own clock
		return err
	}
	if err := errors.Join(s.syncFolder(folder), s.syncFolder(piecesName)); err != nil {
		s.fail(err)
		return fmt.Errorf("sync folder: %w", err)
	}
	return nil
}

// OpenPieces reads a photo that has arrived whole, from its first byte to its last; the caller closes it. NotFound when something is missing.
func (s *Store) OpenPieces(id survey.PhotoID) (io.ReadCloser, error) {
	if err := s.enter(); err != nil {
		return nil, err
	}
	defer s.use.RUnlock()
	list, err := s.listPieces(id)
	if err != nil {
		return nil, s.explain("list pieces", err)
	}
	if !sumUp(list).Whole() {
		return nil, survey.Errorf(survey.NotFound, "The photo has not arrived whole.")
	}
	return &pieceReader{store: s, id: id, next: list}, nil
}

// pieceReader reads pieces one after another. One file is open at a time, since a photo may have hundreds.
type pieceReader struct {
	store *Store
	id    survey.PhotoID
	open  *os.File // nil between two pieces
	next  []piece
}

// Read reads on, in the next piece at the end of one.
func (r *pieceReader) Read(p []byte) (int, error) {
	for {
		if r.open == nil && len(r.next) == 0 {
			return 0, io.EOF
		}
		if r.open == nil {
			f, err := r.store.root.Open(path.Join(pieceFolder(r.id), pieceName(r.next[0])))
			if err != nil {
				return 0, err
			}
			r.open, r.next = f, r.next[1:]
		}
		n, err := r.open.Read(p)
		if !errors.Is(err, io.EOF) {
			return n, err
		}
		if err := r.Close(); err != nil {
			return n, err
		}
	}
}

// Close closes the piece that is open.
func (r *pieceReader) Close() error {
	if r.open == nil {
		return nil
	}
	f := r.open
	r.open = nil
	return f.Close()
}

// DropPieces removes what has arrived of a photo; nothing when there is nothing.
func (s *Store) DropPieces(id survey.PhotoID) error {
	if err := s.enter(); err != nil {
		return err
	}
	defer s.use.RUnlock()
	s.pieces.Lock()
	defer s.pieces.Unlock()
	if err := s.root.RemoveAll(pieceFolder(id)); err != nil {
		return s.explain("remove pieces", err)
	}
	return nil
}

// sweepPieces removes photos that have not gone on arriving for pieceLife.
func (s *Store) sweepPieces() error {
	s.pieces.Lock() // a piece that comes just now makes its photo young again
	defer s.pieces.Unlock()
	entries, err := fs.ReadDir(s.root.FS(), piecesName)
	if err != nil || len(entries) == 0 {
		return err
	}
	now := s.now()
	for _, e := range entries {
		info, err := e.Info()
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		if now.Sub(info.ModTime()) < pieceLife {
			continue
		}
		if err := s.root.RemoveAll(path.Join(piecesName, e.Name())); err != nil {
			return err
		}
		s.log.Info("removed a photo that never arrived whole", "last_piece", info.ModTime())
	}
	return nil
}

// piece is one piece of a photo: where it begins, of how much, and its own size in bytes.
type piece struct {
	Pieces
	bytes int64
}

func pieceFolder(id survey.PhotoID) string { return path.Join(piecesName, string(id)) }

func pieceName(p piece) string { return fmt.Sprintf("%d-%d-%d", p.Length, p.Offset, p.bytes) }

// parsePiece reads a name that pieceName gave; false for any other.
func parsePiece(name string) (piece, bool) {
	var numbers [3]int64
	parts := strings.Split(name, "-")
	if len(parts) != len(numbers) {
		return piece{}, false
	}
	for i, part := range parts {
		n, err := strconv.ParseInt(part, 10, 64)
		if err != nil {
			return piece{}, false
		}
		numbers[i] = n
	}
	p := piece{Pieces{Length: numbers[0], Offset: numbers[1]}, numbers[2]}
	return p, pieceName(p) == name
}

// listPieces lists the pieces that follow each other from the first byte on.
func (s *Store) listPieces(id survey.PhotoID) ([]piece, error) {
	if _, err := survey.ParseID(string(id)); err != nil {
		return nil, survey.Errorf(survey.NotFound, "There is no such photo.")
	}
	entries, err := fs.ReadDir(s.root.FS(), pieceFolder(id))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var list []piece
	for _, e := range entries {
		if p, ok := parsePiece(e.Name()); ok {
			list = append(list, p)
		}
	}
	slices.SortFunc(list, func(a, b piece) int { return int(a.Offset - b.Offset) })
	for i, p := range list {
		if p.Offset != sumUp(list[:i]).Offset {
			return list[:i], nil
		}
	}
	return list, nil
}

// sumUp tells how far pieces that follow each other reach.
func sumUp(list []piece) Pieces {
	if len(list) == 0 {
		return Pieces{}
	}
	last := list[len(list)-1]
	return Pieces{Offset: last.Offset + last.bytes, Length: last.Length}
}
