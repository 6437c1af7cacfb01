package store

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"sync"
	"time"

	"undercroft/survey"
)

// The limits on photos that have begun to arrive in pieces and have not arrived whole: how many one survey may have and how many there may be in all, their bytes in
// all, and how long one is kept after its last piece.
const (
	MaxUnfinishedOfSurvey = survey.MaxPhotos
	MaxUnfinished         = 2000
	MaxUnfinishedBytes    = 16 << 30
	UnfinishedLife        = 7 * 24 * time.Hour
)

// unfinishedRetry is how long to wait when there are too many: some arrive whole in this time.
const unfinishedRetry = time.Minute

// arriving counts the photos that have begun to arrive. It follows the folders of pieces, from which it is made at the start; the limits are read off it, and never how much of a photo
// is there. The zero value counts none.
type arriving struct {
	mu      sync.Mutex
	byPhoto map[survey.PhotoID]arrivingPhoto
	ofOne   map[survey.SurveyID]int
	bytes   int64
}

// arrivingPhoto is one of them; survey is empty when it began before surveys were noted.
type arrivingPhoto struct {
	survey survey.SurveyID
	bytes  int64
}

// admit is nil when one more photo of a survey may begin.
func (u *arriving) admit(in survey.SurveyID) error {
	u.mu.Lock()
	defer u.mu.Unlock()
	refused := &survey.Error{Kind: survey.TooOften, Retry: unfinishedRetry}
	switch {
	case u.ofOne[in] >= MaxUnfinishedOfSurvey:
		refused.Message = fmt.Sprintf("%d photos of this survey have begun to arrive and are not whole yet. Send the rest of those first; what is left lying is removed after 7 days.", u.ofOne[in])
	case len(u.byPhoto) >= MaxUnfinished || u.bytes >= MaxUnfinishedBytes:
		refused.Message = "Too many photos have begun to arrive and are not whole yet. Keep this one and send it later."
	default:
		return nil
	}
	return refused
}

// elsewhere tells whether a photo has begun to arrive for another survey.
func (u *arriving) elsewhere(in survey.SurveyID, id survey.PhotoID) bool {
	u.mu.Lock()
	defer u.mu.Unlock()
	p, ok := u.byPhoto[id]
	return ok && p.survey != "" && p.survey != in
}

// knows tells whether a photo has begun to arrive.
func (u *arriving) knows(id survey.PhotoID) bool {
	u.mu.Lock()
	defer u.mu.Unlock()
	_, ok := u.byPhoto[id]
	return ok
}

// add counts a piece of n bytes.
func (u *arriving) add(in survey.SurveyID, id survey.PhotoID, n int64) {
	u.mu.Lock()
	defer u.mu.Unlock()
	if u.byPhoto == nil {
		u.byPhoto, u.ofOne = map[survey.PhotoID]arrivingPhoto{}, map[survey.SurveyID]int{}
	}
	p, ok := u.byPhoto[id]
	if !ok {
		p.survey = in
		u.ofOne[in]++
	}
	p.bytes += n
	u.bytes += n
	u.byPhoto[id] = p
}

// drop forgets a photo.
func (u *arriving) drop(id survey.PhotoID) {
	u.mu.Lock()
	defer u.mu.Unlock()
	p, ok := u.byPhoto[id]
	if !ok {
		return
	}
	delete(u.byPhoto, id)
	u.bytes -= p.bytes
	if u.ofOne[p.survey]--; u.ofOne[p.survey] == 0 {
		delete(u.ofOne, p.survey)
	}
}

// of lists those of one survey.
func (u *arriving) of(in survey.SurveyID) []survey.PhotoID {
	u.mu.Lock()
	defer u.mu.Unlock()
	var list []survey.PhotoID
	for id, p := range u.byPhoto {
		if p.survey == in {
			list = append(list, id)
		}
	}
	return list
}

// count is how many there are and how many bytes of them are here.
func (u *arriving) count() (photos int, bytes int64) {
	u.mu.Lock()
	defer u.mu.Unlock()
	return len(u.byPhoto), u.bytes
}

// admitPiece is nil when a piece may be taken in: a first one only while there are not too many photos that are not whole, and any only while there is space for it.
func (s *Store) admitPiece(in survey.SurveyID, id survey.PhotoID, at Pieces) error {
	if _, err := survey.ParseID(string(id)); err != nil {
		return survey.Errorf(survey.NotFound, "There is no such photo.")
	}
	if err := s.spaceForPhoto(at.Length - at.Offset); err != nil {
		return err
	}
	if s.arriving.knows(id) {
		return nil
	}
	return s.arriving.admit(in)
}

// surveyMark begins the name of the empty file that names the survey of a photo in pieces.
const surveyMark = "survey-"

// markPieces notes in the folder of a photo's pieces which survey it is for.
func (s *Store) markPieces(in survey.SurveyID, id survey.PhotoID) error {
	f, err := s.root.Create(path.Join(pieceFolder(id), surveyMark+string(in)))
	if err != nil {
		return err
	}
	return f.Close()
}

// countPieces counts the photos that have begun to arrive, at the start.
func (s *Store) countPieces() error {
	folders, err := fs.ReadDir(s.root.FS(), piecesName)
	if err != nil {
		return err
	}
	for _, folder := range folders {
		id := survey.PhotoID(folder.Name())
		list, err := s.listPieces(id)
		if survey.KindOf(err) == survey.NotFound {
			continue // not a photo's folder
		}
		if err != nil {
			return err
		}
		in, err := s.surveyOfPieces(id)
		if err != nil {
			return err
		}
		s.arriving.add(in, id, sumUp(list).Offset)
	}
	return nil
}

// surveyOfPieces reads the mark, empty when there is none.
func (s *Store) surveyOfPieces(id survey.PhotoID) (survey.SurveyID, error) {
	entries, err := fs.ReadDir(s.root.FS(), pieceFolder(id))
	if err != nil {
		return "", err
	}
	for _, e := range entries {
		if name, ok := strings.CutPrefix(e.Name(), surveyMark); ok {
			if parsed, err := survey.ParseID(name); err == nil {
				return survey.SurveyID(parsed), nil
			}
		}
	}
	return "", nil
}

// sweepPieces removes photos that have not gone on arriving for UnfinishedLife.
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
		if now.Sub(info.ModTime()) < UnfinishedLife {
			continue
		}
		if err := s.root.RemoveAll(path.Join(piecesName, e.Name())); err != nil {
			return err
		}
		s.arriving.drop(survey.PhotoID(e.Name()))
		s.log.Info("removed a photo that never arrived whole", "last_piece", info.ModTime())
	}
	return nil
}
