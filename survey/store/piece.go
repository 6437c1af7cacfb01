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
// Current, as is one of a photo of another length; Invalid when it does not lie within its photo, TooLarge when that is larger than a photo may be.
func (s *Store) AddPiece(ctx context.Context, id survey.PhotoID, at Pieces, sum [sha256.Size]byte, r io.Reader) (Pieces, error) {
	if at.Length <= 0 || at.Offset < 0 || at.Offset >= at.Length {
		return Pieces{}, survey.Errorf(survey.Invalid, "A piece must lie within the photo.")
	}
	if at.Length > survey.MaxPhotoBytes {
		return Pieces{}, survey.Errorf(survey.TooLarge, "The photo is too large: at most %s are taken.", sizeText(survey.MaxPhotoBytes))
	}
	body, err := readPiece(reading{ctx, r}, min(PieceBytes, at.Length-at.Offset))
	if err != nil {
		return Pieces{}, err
	}
	if sha256.Sum256(body) != sum {
		return Pieces{}, ErrPieceSum
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
		return Pieces{}, &survey.Error{Kind: survey.Conflict, Message: "Another file was begun under this photo's id.", Current: now}
	case now.Offset != at.Offset:
		return Pieces{}, &survey.Error{Kind: survey.Conflict, Message: "The piece is not the next one.", Current: now}
	}
	if err := s.savePiece(id, at, body); err != nil {
		return Pieces{}, s.explain("store piece", err)
	}
	return Pieces{Offset: at.Offset + int64(len(body)), Length: at.Length}, nil
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
	joined := &pieceReader{}
	var readers []io.Reader
	for _, p := range list {
		f, err := s.root.Open(path.Join(pieceFolder(id), pieceName(p)))
		if err != nil {
			return nil, errors.Join(s.explain("open piece", err), joined.Close())
		}
		joined.files = append(joined.files, f)
		readers = append(readers, f)
	}
	joined.Reader = io.MultiReader(readers...)
	return joined, nil
}

// pieceReader reads pieces one after another.
type pieceReader struct {
	io.Reader
	files []*os.File
}

// Close closes all pieces.
func (r *pieceReader) Close() error {
	var all []error
	for _, f := range r.files {
		all = append(all, f.Close())
	}
	return errors.Join(all...)
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

// sweepPieces removes photos that have not gone on arriving for pieceLife. The age is by the file system's clock, as is the time of a piece.
func (s *Store) sweepPieces(now time.Time) error {
	entries, err := fs.ReadDir(s.root.FS(), piecesName)
	if err != nil {
		return err
	}
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
