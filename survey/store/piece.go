package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"path"

	"undercroft/survey"
)

// PieceBytes is the most that one piece of a photo may have, and MaxPieces how many one photo may come in, so that nobody fills the disk's table of files with pieces of
// one byte: the largest photo has that many of 64 KiB.
const (
	PieceBytes = 1 << 20
	MaxPieces  = survey.MaxPhotoBytes / (64 << 10)
)

// Pieces says how much of a photo has arrived in pieces: the first Offset bytes of Length. Both are 0 when nothing has.
type Pieces struct {
	Offset, Length int64
}

// Whole tells whether everything has arrived.
func (p Pieces) Whole() bool { return p.Length > 0 && p.Offset == p.Length }

// ErrPieceSum is the error of a piece whose bytes are not those that were summed up.
var ErrPieceSum = errors.New("the piece does not have the sum that was sent with it")

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
// Current; a piece of another file, by its length, its survey or, once all of the photo is there, by its bytes, is a Conflict without. Invalid when it does not lie within
// its photo or is so small that the photo would need more than MaxPieces, TooLarge when that is larger than a photo may be. NoSpace and TooOften, before a byte is
// read, when the disk has too little space left or too many photos have begun to arrive.
func (s *Store) AddPiece(ctx context.Context, in survey.SurveyID, id survey.PhotoID, at Pieces, sum [sha256.Size]byte, r io.Reader) (Pieces, error) {
	if err := checkPlace(at); err != nil {
		return Pieces{}, err
	}
	if err := s.whole(); err != nil {
		return Pieces{}, err
	}
	if err := s.enter(); err != nil {
		return Pieces{}, err
	}
	defer s.use.RUnlock()
	if err := s.admitPiece(in, id, at); err != nil {
		return Pieces{}, s.explain("admit piece", err)
	}
	temp, n, err := s.receivePiece(ctx, at, sum, r)
	if err != nil {
		return Pieces{}, s.explain("receive piece", err)
	}
	now, err := s.placePiece(in, id, at, temp, n)
	if err != nil {
		if left := s.root.Remove(temp); left != nil && !errors.Is(left, fs.ErrNotExist) {
			s.log.Warn("could not remove a temporary file", "error", left)
		}
		return Pieces{}, s.explain("store piece", err)
	}
	return now, nil
}

// otherFile refuses a piece that cannot be of the file that came before under the same id.
const otherFile = "Another file was begun under this photo's id."

// placePiece gives a received piece its name when it is the next one of its photo.
func (s *Store) placePiece(in survey.SurveyID, id survey.PhotoID, at Pieces, temp string, n int64) (Pieces, error) {
	s.pieces.Lock()
	defer s.pieces.Unlock()
	there, err := s.listPieces(id)
	if err != nil {
		return Pieces{}, err
	}
	now := sumUp(there)
	switch {
	case now.Length != 0 && (now.Length != at.Length || s.arriving.elsewhere(in, id)):
		return Pieces{}, conflict(nil, otherFile)
	case now.Whole():
		return Pieces{}, s.conflictWithWhole(id, there, at, temp, n)
	case now.Offset != at.Offset:
		return Pieces{}, conflict(now, "The piece is not the next one.")
	case tooSmall(len(there), at, n):
		return Pieces{}, survey.Errorf(survey.Invalid, "The piece is too small: a photo may come in at most %d pieces.", MaxPieces)
	}
	if len(there) == 0 { // another photo may have begun since it was admitted
		if err := s.arriving.admit(in); err != nil {
			return Pieces{}, err
		}
	}
	if err := s.namePiece(in, id, at, temp, n); err != nil {
		return Pieces{}, err
	}
	s.arriving.add(in, id, n)
	return Pieces{Offset: at.Offset + n, Length: at.Length}, nil
}

// tooSmall tells whether a photo could not arrive in MaxPieces any more after this piece, even if all others were as large as can be.
func tooSmall(there int, at Pieces, n int64) bool {
	left := at.Length - at.Offset - n
	return there+1+int((left+PieceBytes-1)/PieceBytes) > MaxPieces
}

// conflictWithWhole answers for a piece of a photo that has all its pieces: with them as Current when it is one of them, sent again.
func (s *Store) conflictWithWhole(id survey.PhotoID, there []piece, at Pieces, temp string, n int64) error {
	whole := &pieceReader{store: s, id: id, next: there}
	defer whole.Close()
	if _, err := io.CopyN(io.Discard, whole, at.Offset); err != nil {
		return fmt.Errorf("read pieces: %w", err)
	}
	sent, err := s.root.Open(temp)
	if err != nil {
		return err
	}
	defer sent.Close()
	same, err := sameBytes(io.LimitReader(whole, n), sent)
	switch {
	case err != nil:
		return fmt.Errorf("read pieces: %w", err)
	case !same:
		return conflict(nil, otherFile)
	}
	return conflict(sumUp(there), "The photo has arrived whole.")
}

// sameBytes tells whether two readers give the same, by its sum.
func sameBytes(a, b io.Reader) (bool, error) {
	sums := [2]hash.Hash{sha256.New(), sha256.New()}
	for i, r := range []io.Reader{a, b} {
		if _, err := io.Copy(sums[i], r); err != nil {
			return false, err
		}
	}
	return bytes.Equal(sums[0].Sum(nil), sums[1].Sum(nil)), nil
}

// HasPiece tells whether a stored file, named by its SHA-256, has the piece that r gives, where at says. Errors are those of AddPiece for a piece that is none, and NotFound when there
// is no such file.
func (s *Store) HasPiece(ctx context.Context, file string, at Pieces, sum [sha256.Size]byte, r io.Reader) (bool, error) {
	if err := checkPlace(at); err != nil {
		return false, err
	}
	n, err := readPiece(ctx, at, sum, r, io.Discard)
	if err != nil {
		return false, err
	}
	f, err := s.OpenBlob(file)
	if err != nil {
		return false, err
	}
	defer f.Close()
	stored := sha256.New()
	if _, err := io.Copy(stored, io.NewSectionReader(f, at.Offset, n)); err != nil {
		return false, s.explain("read blob", err)
	}
	return bytes.Equal(stored.Sum(nil), sum[:]), nil
}

// checkPlace is nil when a piece can lie where at says.
func checkPlace(at Pieces) error {
	if at.Length <= 0 || at.Offset < 0 || at.Offset >= at.Length {
		return survey.Errorf(survey.Invalid, "A piece must lie within the photo.")
	}
	if at.Length > survey.MaxPhotoBytes {
		return survey.Errorf(survey.TooLarge, "The photo is too large: at most %s are taken.", sizeText(survey.MaxPhotoBytes))
	}
	return nil
}

// receivePiece writes a piece into a temporary file and syncs that. After an error nothing is left. Nothing of a piece is kept in memory, since hundreds may arrive at once.
func (s *Store) receivePiece(ctx context.Context, at Pieces, sum [sha256.Size]byte, r io.Reader) (temp string, n int64, err error) {
	f, temp, err := s.createTemp("piece-")
	if err != nil {
		return "", 0, err
	}
	n, err = readPiece(ctx, at, sum, r, f)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return "", 0, errors.Join(err, s.root.Remove(temp))
	}
	return temp, n, nil
}

// readPiece copies one piece whole, from 1 byte to what is left of its photo, and holds it against its sum.
func readPiece(ctx context.Context, at Pieces, sum [sha256.Size]byte, r io.Reader, to io.Writer) (int64, error) {
	most, got := min(PieceBytes, at.Length-at.Offset), sha256.New()
	n, err := io.CopyBuffer(io.MultiWriter(to, got), io.LimitReader(reading{ctx, r}, most+1), make([]byte, 32<<10))
	switch {
	case err != nil:
		return 0, fmt.Errorf("receive piece: %w", err)
	case n == 0:
		return 0, survey.Errorf(survey.Invalid, "The piece is empty.")
	case n > most:
		return 0, survey.Errorf(survey.TooLarge, "The piece is too large: at most %s are left for it.", sizeText(most))
	case !bytes.Equal(got.Sum(nil), sum[:]):
		return 0, ErrPieceSum
	}
	return n, nil
}

// namePiece gives a piece whose bytes are on the disk its name, and syncs that.
func (s *Store) namePiece(in survey.SurveyID, id survey.PhotoID, at Pieces, temp string, n int64) error {
	folder := pieceFolder(id)
	switch err := s.root.Mkdir(folder, 0o700); {
	case err == nil:
		if err := s.markPieces(in, id); err != nil {
			return err
		}
	case !errors.Is(err, fs.ErrExist):
		return err
	}
	if err := s.root.Rename(temp, path.Join(folder, pieceName(piece{at, n}))); err != nil {
		return err
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
	s.arriving.drop(id)
	return nil
}
