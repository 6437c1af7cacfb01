package main

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"undercroft/survey"
)

const (
	mostPhotos = 8      // of a survey, before a caller begins the next
	pieceBytes = 16_384 // of a piece
)

// choose is the next thing that a caller does, as a phone on a visit does it in no particular order.
func (c *caller) choose() step {
	if c.now.Version == 0 {
		return c.saveSurvey()
	}
	for id, offset := range c.now.Uploads {
		if c.random.IntN(3) > 0 {
			return c.sendPiece(id, c.now.whole[id], offset)
		}
	}
	can := []func() step{c.saveSurvey, c.saveFacts, c.saveFacts, c.sendPhoto, c.sendPhoto, c.beginPieces, c.beginPieces}
	if len(c.now.Photos) > 0 {
		can = append(can, c.addPin, c.addPin, c.addPin)
	}
	if len(c.now.Pins) > 0 {
		can = append(can, c.movePin, c.movePin, c.dropPin, c.movePinLate)
	}
	if c.now.Revisions < 3 {
		can = append(can, c.issue)
	}
	if c.now.Revisions > len(c.now.Reports) {
		can = append(can, c.readReport, c.readReport)
	}
	return can[c.random.IntN(len(can))]()
}

func (c *caller) saveSurvey() step {
	id, title, notes, version := c.now.ID, fmt.Sprint("house ", c.random.IntN(1000)), fmt.Sprint("note ", c.random.Uint64()), c.now.Version
	return step{name: "the survey", send: func(c *caller) error {
		var saved struct{ Version int }
		err := c.put("/api/surveys/"+id, map[string]any{"title": title, "notes": notes, "version": version}, &saved)
		return c.wants(err, saved.Version == version+1, "version %d after %d", saved.Version, version)
	}, outcomes: []func(*ledger){func(l *ledger) { l.Title, l.Notes, l.Version = title, notes, version+1 }}}
}

// saveFacts saves two facts that must come together or not at all.
func (c *caller) saveFacts() step {
	id, change := c.now.ID, map[string]factSeen{}
	text := fmt.Sprint("item ", c.random.Uint64())
	type sent struct {
		Key     string `json:"key"`
		Text    string `json:"text"`
		Version int    `json:"version"`
	}
	var list []sent
	for _, key := range []string{survey.ScopeIncluded, survey.ScopeExcluded} {
		was := c.now.Facts[key].Version
		list, change[key] = append(list, sent{key, text, was}), factSeen{text, was + 1}
	}
	return step{name: "facts", send: func(c *caller) error {
		var saved struct{ Facts []sent }
		err := c.put("/api/surveys/"+id+"/facts", map[string]any{"facts": list}, &saved)
		ok := len(saved.Facts) == len(list)
		for _, f := range saved.Facts {
			ok = ok && change[f.Key] == factSeen{f.Text, f.Version}
		}
		return c.wants(err, ok, "facts %+v, want %+v", saved, change)
	}, outcomes: []func(*ledger){func(l *ledger) { maps.Copy(l.Facts, change) }}}
}

// newPhoto makes bytes that no other photo has: a picture with something behind its end, as phones write it, or no picture at all.
func (c *caller) newPhoto() []byte {
	noise := make([]byte, 1+c.random.IntN(60_000))
	rand.NewChaCha8([32]byte{byte(c.random.Uint32()), byte(c.random.Uint32()), byte(c.random.Uint32()), byte(c.random.Uint32()), byte(c.random.Uint32())}).Read(noise)
	if c.random.IntN(4) == 0 {
		return noise
	}
	return slices.Concat(c.picture, noise)
}

func (c *caller) sendPhoto() step {
	in, id, whole := c.now.ID, survey.NewID(), c.newPhoto()
	return step{name: "a photo", send: func(c *caller) error {
		var saved struct {
			SHA256 string
			Number int
		}
		want := c.now.photosGiven + 1
		_, _, answer, err := c.call(http.MethodPut, "/api/surveys/"+in+"/photos/"+id, whole, nil, http.StatusCreated)
		err = readAnswer(answer, &saved, err)
		return c.wants(err, saved.SHA256 == sumOf(whole) && saved.Number == want, "photo %+v, want number %d and the sum %s", saved, want, sumOf(whole))
	}, outcomes: []func(*ledger){func(l *ledger) { l.addPhoto(id, whole) }}}
}

func (c *caller) beginPieces() step { return c.sendPiece(survey.NewID(), c.newPhoto(), 0) }

// sendPiece sends the next piece of a photo; the last one makes it. When the answer to that is lost, the pieces may all be there and the photo not made of them.
func (c *caller) sendPiece(id string, whole []byte, offset int64) step {
	in := c.now.ID
	piece := whole[offset:min(offset+pieceBytes, int64(len(whole)))]
	if len(piece) == 0 { // all of them are there already: the last is sent again
		offset = int64(len(whole)-1) / pieceBytes * pieceBytes
		piece = whole[offset:]
	}
	end := offset + int64(len(piece))
	sum := sha256.Sum256(piece)
	header := map[string]string{"Content-Type": "application/offset+octet-stream", "Upload-Offset": strconv.FormatInt(offset, 10), "Upload-Length": strconv.Itoa(len(whole)),
		"Upload-Checksum": "sha256 " + base64.StdEncoding.EncodeToString(sum[:])}
	arrives := func(l *ledger) { l.Uploads[id], l.whole[id] = end, whole }
	outcomes := []func(*ledger){arrives}
	if end == int64(len(whole)) {
		outcomes = append(outcomes, func(l *ledger) { l.addPhoto(id, whole) })
	}
	return step{name: "a piece", send: func(c *caller) error {
		last := len(outcomes) == 2
		status, got, answer, err := c.call(http.MethodPatch, "/api/surveys/"+in+"/photos/"+id+"/upload", piece, header, http.StatusNoContent, http.StatusCreated)
		if err != nil {
			return err
		}
		var saved struct{ SHA256 string }
		if last {
			err = readAnswer(answer, &saved, nil)
			return c.wants(err, status == http.StatusCreated && saved.SHA256 == sumOf(whole), "the last piece: status %d, %+v", status, saved)
		}
		return c.wants(nil, status == http.StatusNoContent && got.Get("Upload-Offset") == strconv.FormatInt(end, 10), "a piece: status %d, offset %s, want %d", status, got.Get("Upload-Offset"), end)
	}, outcomes: outcomes}
}

func (c *caller) addPin() step {
	photos := slices.Sorted(maps.Keys(c.now.Photos))
	p := pinSeen{Number: c.now.pinsGiven + 1, Photo: photos[c.random.IntN(len(photos))], Note: fmt.Sprint("joist ", c.random.Uint64()), X: c.random.Float64(), Y: c.random.Float64()}
	return c.putPin("a pin", survey.NewID(), p, func(l *ledger) { l.pinsGiven++ })
}

func (c *caller) movePin() step {
	id := c.anyPin()
	p := c.now.Pins[id]
	p.X, p.Y, p.Note = c.random.Float64(), c.random.Float64(), fmt.Sprint("moved ", c.random.Uint64())
	return c.putPin("a pin's change", id, p, func(*ledger) {})
}

// putPin saves a pin made of the version that p names.
func (c *caller) putPin(name, id string, p pinSeen, also func(*ledger)) step {
	in, was := c.now.ID, p.Version
	p.Version++
	sent := survey.Pin{Photo: survey.PhotoID(p.Photo), Kind: survey.PinNote, X: p.X, Y: p.Y, Note: p.Note, Version: was}
	return step{name: name, send: func(c *caller) error {
		var saved survey.Pin
		err := c.put("/api/surveys/"+in+"/pins/"+id, sent, &saved)
		got := pinSeen{saved.Number, saved.Version, string(saved.Photo), saved.Note, saved.X, saved.Y}
		return c.wants(err, got == p, "pin %+v, want %+v", got, p)
	}, outcomes: []func(*ledger){func(l *ledger) { l.Pins[id] = p; also(l) }}}
}

// movePinLate changes a pin as somebody does who has not seen its last change: refused, and nothing changes.
func (c *caller) movePinLate() step {
	in, id := c.now.ID, c.anyPin()
	p := c.now.Pins[id]
	body := fmt.Appendf(nil, `{"photo": %q, "kind": "note", "x": 0.5, "y": 0.5, "note": "late", "version": %d}`, p.Photo, p.Version+1)
	return step{name: "a late change", send: func(c *caller) error {
		_, _, _, err := c.call(http.MethodPut, "/api/surveys/"+in+"/pins/"+id, body, nil, http.StatusConflict)
		return err
	}}
}

func (c *caller) dropPin() step {
	in, id := c.now.ID, c.anyPin()
	version := c.now.Pins[id].Version
	return step{name: "a pin's deletion", send: func(c *caller) error {
		_, _, _, err := c.call(http.MethodDelete, fmt.Sprintf("/api/surveys/%s/pins/%s?version=%d", in, id, version), nil, nil, http.StatusNoContent)
		return err
	}, outcomes: []func(*ledger){func(l *ledger) { delete(l.Pins, id) }}}
}

func (c *caller) anyPin() string {
	ids := slices.Sorted(maps.Keys(c.now.Pins))
	return ids[c.random.IntN(len(ids))]
}

// issue issues the next revision, as the page's form does.
func (c *caller) issue() step {
	in, next := c.now.ID, c.now.Revisions+1
	form := url.Values{"number": {strconv.Itoa(next)}, "f.by": {"R. Vance"}, "f.although": {"the rest is looked at later"}}
	return step{name: "a revision", send: func(c *caller) error {
		header := map[string]string{"Content-Type": "application/x-www-form-urlencoded"}
		_, _, _, err := c.call(http.MethodPost, "/surveys/"+in+"/revisions", []byte(form.Encode()), header, http.StatusSeeOther)
		return err
	}, outcomes: []func(*ledger){func(l *ledger) { l.Revisions = next }}}
}

// readReport reads the crew's report of a revision, which is painted at its first reading and must be the same for ever after.
func (c *caller) readReport() step {
	in, number := c.now.ID, 1
	for c.now.Reports[number] != "" {
		number++
	}
	var sum string
	return step{name: "a report", send: func(c *caller) error {
		_, _, page, err := c.call(http.MethodGet, reportPath(in, number), nil, nil, http.StatusOK)
		sum = sumOf(page)
		return err
	}, learnt: func(l *ledger) { l.Reports[number] = sum }}
}

func reportPath(in string, number int) string {
	return fmt.Sprintf("/surveys/%s/revisions/%d/report.html?for=crew", in, number)
}
