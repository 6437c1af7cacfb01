package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"

	"undercroft/survey"
)

// A photo that arrives in pieces is a folder, named by its id, of one file for each piece, named by length, offset and size, and of an empty file that names its survey. A
// piece gets its name when its bytes are on the disk, so it is there whole or not at all, and how much has arrived is read off the names: no row and no file has to
// agree with another after a power cut.

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
