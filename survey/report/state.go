package report

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"

	"github.com/gowebpki/jcs"

	"undercroft/calc/words"
	"undercroft/survey"
)

// StateOf is what is known of a survey and what was computed of it, as it stands: a revision's content without its reports and without what only the revision says.
func StateOf(r survey.Record, c survey.Ceiling) Content {
	s := r.Survey
	state := Content{Format: frozenFormat, Survey: s.ID, Plan: c.Plan, Facts: map[string]string{}, Pins: append([]survey.Pin{}, r.Pins...), Photos: []frozenPhoto{},
		Site: frozenSite{s.Title, s.Address, s.Client, s.Contact, s.Surveyor, s.VisitDate, s.Access, s.Notes}}
	for key, f := range r.Facts {
		if f.Text != "" && !survey.Bookkeeping(key) {
			state.Facts[key] = f.Text
		}
	}
	for _, p := range r.Photos {
		state.Photos = append(state.Photos, frozenPhoto{p.ID, p.Number, p.Caption, p.SHA256, p.Screen, p.Thumb})
	}
	return state
}

// maxState is the most bytes of a state that are read.
const maxState = 64 << 20

// WriteState writes a state for keeping, packed, and gives it with the SHA-256 of what was written. The same state makes the same bytes.
func WriteState(state Content) (packed []byte, sum string, err error) {
	plain, err := json.Marshal(state)
	if err != nil {
		return nil, "", fmt.Errorf("write a state: %w", err)
	}
	if plain, err = jcs.Transform(plain); err != nil {
		return nil, "", fmt.Errorf("write a state: %w", err)
	}
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	if _, err := w.Write(plain); err != nil {
		return nil, "", fmt.Errorf("pack a state: %w", err)
	}
	if err := w.Close(); err != nil {
		return nil, "", fmt.Errorf("pack a state: %w", err)
	}
	digest := sha256.Sum256(out.Bytes())
	return out.Bytes(), hex.EncodeToString(digest[:]), nil
}

// ReadState reads a state that WriteState wrote. It fails on one that is damaged, too large, or of a format that this program does not know.
func ReadState(packed io.Reader) (Content, error) {
	r, err := gzip.NewReader(packed)
	if err != nil {
		return Content{}, fmt.Errorf("unpack a state: %w", err)
	}
	plain, err := io.ReadAll(io.LimitReader(r, maxState+1))
	if err != nil {
		return Content{}, fmt.Errorf("unpack a state: %w", err)
	}
	if len(plain) > maxState {
		return Content{}, fmt.Errorf("unpack a state: it has more than %d MB", maxState>>20)
	}
	return Thaw(plain)
}

// ChangesToBuild lists what differs between a state and the survey as it stands now, as ChangesSince does, without what does not concern those who build: price and the
// contractor's texts.
func ChangesToBuild(old Content, r survey.Record, c survey.Ceiling, lang words.Lang) []Difference {
	d := &differ{voice: voice{lang}, old: old, record: r}
	d.deck(c)
	d.texts()
	return d.list
}

// PlanChanges lists what differs between the ceiling of a state and the one that would be built now, as ChangesSince does, and nothing of what both are computed from.
func PlanChanges(old Content, r survey.Record, c survey.Ceiling, lang words.Lang) []Difference {
	d := &differ{voice: voice{lang}, old: old, record: r}
	d.ceiling(c)
	return d.list
}
