package main

import (
	"crypto/sha256"
	"encoding/hex"
	"maps"
)

// ledger is what one client knows of one survey by the answers it got: the server must never know less.
type ledger struct {
	ID           string
	Title, Notes string
	Version      int // 0 while the survey is not there
	Photos       map[string]photoSeen
	Pins         map[string]pinSeen
	Facts        map[string]factSeen
	Uploads      map[string]int64 // bytes that have arrived of a photo in pieces, by its id, until it is made
	Revisions    int
	Reports      map[int]string // SHA-256 of the crew's report of a revision, by its number, once it was seen

	photosGiven, pinsGiven int               // the last number of each
	whole                  map[string][]byte // what is sent in pieces
}

type photoSeen struct {
	Number, Version int
	SHA256          string
	Bytes           int64
}

type pinSeen struct {
	Number, Version int
	Photo, Note     string
	X, Y            float64
}

type factSeen struct {
	Text    string
	Version int
}

func newLedger(id string) *ledger {
	return &ledger{ID: id, Photos: map[string]photoSeen{}, Pins: map[string]pinSeen{}, Facts: map[string]factSeen{}, Uploads: map[string]int64{}, Reports: map[int]string{}, whole: map[string][]byte{}}
}

// after is the ledger as it would be after a change.
func (l *ledger) after(change func(*ledger)) *ledger {
	next := *l
	next.Photos, next.Pins, next.Facts = maps.Clone(l.Photos), maps.Clone(l.Pins), maps.Clone(l.Facts)
	next.Uploads, next.Reports, next.whole = maps.Clone(l.Uploads), maps.Clone(l.Reports), maps.Clone(l.whole)
	change(&next)
	return &next
}

// addPhoto notes a photo that was made.
func (l *ledger) addPhoto(id string, whole []byte) {
	l.photosGiven++
	l.Photos[id] = photoSeen{Number: l.photosGiven, Version: 1, SHA256: sumOf(whole), Bytes: int64(len(whole))}
	delete(l.Uploads, id)
	delete(l.whole, id)
}

// seen is the part of a ledger that the server tells.
func (l *ledger) seen() ledger {
	return ledger{ID: l.ID, Title: l.Title, Notes: l.Notes, Version: l.Version, Photos: l.Photos, Pins: l.Pins, Facts: l.Facts, Uploads: l.Uploads, Revisions: l.Revisions, Reports: l.Reports}
}

func sumOf(body []byte) string {
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:])
}
