package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"undercroft/survey"
)

// caller is one client of the server that books what was acknowledged. One goroutine uses it.
type caller struct {
	http    *http.Client
	address string
	random  *rand.Rand
	picture []byte // a JPEG that every photo begins with
	past    []*ledger
	now     *ledger
	pending *step        // sent and not answered
	cut     *atomic.Bool // set when the disk was about to be cut off: what is answered afterwards proves nothing
	mayFail bool         // the disk gives errors other than that it is full, so status 500 is a refusal too
	answers atomic.Int64 // acknowledged changes
	refused atomic.Int64 // answers of a server whose disk takes nothing
}

// step is one request. outcomes are the states that it may leave when its answer was lost, besides none; the last is that of its success. learnt, when there is one, books what
// the answer says and the request does not.
type step struct {
	name     string
	send     func(c *caller) error
	outcomes []func(*ledger)
	learnt   func(*ledger)
}

// wrongAnswer is an answer that the server must not give.
type wrongAnswer string

func (w wrongAnswer) Error() string { return string(w) }

// refusal is the answer of a server that takes nothing now, by its status: nothing has changed, except for what a step's outcomes allow.
type refusal int

func (r refusal) Error() string { return http.StatusText(int(r)) }

func newCaller(seed uint64, picture []byte) *caller {
	c := &caller{http: &http.Client{Transport: &http.Transport{}, Timeout: time.Minute}, random: rand.New(rand.NewPCG(seed, 1)), picture: picture, cut: &atomic.Bool{}}
	c.http.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	c.now = newLedger(survey.NewID())
	return c
}

// work sends one step after another until one is not answered, or stop is closed. The error is of an answer that the server must not give.
func (c *caller) work(stop <-chan struct{}) error {
	if c.pending != nil {
		if err := c.settle(); isLost(err) {
			return nil
		} else if err != nil {
			return err
		}
	}
	for {
		select {
		case <-stop:
			return nil
		default:
		}
		if len(c.now.Photos) >= mostPhotos && len(c.now.Uploads) == 0 {
			c.past, c.now = append(c.past, c.now), newLedger(survey.NewID())
		}
		s := c.choose()
		err := s.send(c)
		if c.cut.Load() {
			c.pending = &s
			return nil
		}
		_, wrong := errors.AsType[wrongAnswer](err)
		refusal, refused := errors.AsType[refusal](err)
		switch {
		case wrong:
			return fmt.Errorf("%s: %w", s.name, err)
		case refused:
			if refusal != http.StatusServiceUnavailable { // that only says that the server is busy
				c.refused.Add(1)
			}
			c.pending = &s
			if err := c.settle(); isLost(err) {
				return nil
			} else if err != nil {
				return fmt.Errorf("after a refusal: %w", err)
			}
		case err != nil:
			c.pending = &s
			return nil
		default:
			c.answers.Add(1)
			if n := len(s.outcomes); n > 0 {
				c.now = c.now.after(s.outcomes[n-1])
			}
			if s.learnt != nil {
				c.now = c.now.after(s.learnt)
			}
		}
	}
}

// isLost tells whether an error is that of a connection, and not of what was answered.
func isLost(err error) bool {
	_, lost := errors.AsType[*url.Error](err)
	return lost || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, syscall.ECONNRESET)
}

// call sends a request and gives the answer's body. The status must be one of those wanted; that the disk is full or the server busy is a refusal.
func (c *caller) call(method, path string, body []byte, header map[string]string, want ...int) (int, http.Header, []byte, error) {
	r, err := http.NewRequest(method, c.address+path, bytes.NewReader(body))
	if err != nil {
		return 0, nil, nil, wrongAnswer(err.Error())
	}
	for name, text := range header {
		r.Header.Set(name, text)
	}
	answer, err := c.http.Do(r)
	if err != nil {
		return 0, nil, nil, err
	}
	defer answer.Body.Close()
	got, err := io.ReadAll(answer.Body)
	if err != nil {
		return 0, nil, nil, err
	}
	for _, status := range want {
		if answer.StatusCode == status {
			return status, answer.Header, got, nil
		}
	}
	switch status := answer.StatusCode; {
	case status == http.StatusInsufficientStorage, status == http.StatusServiceUnavailable, status == http.StatusInternalServerError && c.mayFail:
		return status, answer.Header, got, refusal(status)
	}
	return answer.StatusCode, answer.Header, got, wrongAnswer(fmt.Sprintf("%s %s: status %d, want %v: %.300s", method, path, answer.StatusCode, want, got))
}

// put sends JSON and reads the answer's.
func (c *caller) put(path string, sent, answer any) error {
	body, err := json.Marshal(sent)
	if err != nil {
		return wrongAnswer(err.Error())
	}
	_, _, got, err := c.call(http.MethodPut, path, body, map[string]string{"Content-Type": "application/json"}, http.StatusOK, http.StatusCreated)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(got, answer); err != nil {
		return wrongAnswer(fmt.Sprintf("PUT %s: %v: %.300s", path, err, got))
	}
	return nil
}

// settle asks the server what it has of the survey and holds that against what was acknowledged: it must be exactly that, or with the one step that was
// not answered, whole.
func (c *caller) settle() error {
	allowed := []*ledger{c.now}
	if c.pending != nil {
		for _, outcome := range c.pending.outcomes {
			allowed = append(allowed, c.now.after(outcome))
		}
	}
	seen, err := c.observe(allowed[len(allowed)-1], c.now.Uploads)
	if err != nil {
		return err
	}
	for _, l := range allowed {
		if cmp.Equal(l.seen(), seen, sameLedger()...) {
			c.now, c.pending = l, nil
			return nil
		}
	}
	name := "nothing"
	if c.pending != nil {
		name = c.pending.name
	}
	return fmt.Errorf("survey %s is not what was acknowledged; %s was under way (-acknowledged +there):\n%s", c.now.ID, name, cmp.Diff(c.now.seen(), seen, sameLedger()...))
}

func sameLedger() []cmp.Option {
	return []cmp.Option{cmp.AllowUnexported(ledger{}), cmpopts.IgnoreFields(ledger{}, "photosGiven", "pinsGiven", "whole"), cmpopts.EquateEmpty()}
}

// settleAll checks the survey in hand and, when past is set, all that were finished before.
func (c *caller) settleAll(past bool) error {
	if err := c.settle(); err != nil {
		return err
	}
	if !past {
		return nil
	}
	for _, l := range c.past {
		old := &caller{http: c.http, address: c.address, now: l}
		if err := old.settle(); err != nil {
			return err
		}
	}
	return nil
}

// observe reads a survey from the server: its rows by the API, the bytes of each photo and of its picture, how much has come of each upload, the reports of its
// revisions. Anything that is there and does not fit together is an error.
func (c *caller) observe(most *ledger, uploads map[string]int64) (ledger, error) {
	seen := newLedger(most.ID)
	status, _, body, err := c.call(http.MethodGet, "/api/surveys/"+most.ID, nil, nil, http.StatusOK, http.StatusNotFound)
	if err != nil || status == http.StatusNotFound {
		return seen.seen(), err
	}
	if err := c.readRecord(seen, body); err != nil {
		return ledger{}, err
	}
	for id, p := range seen.Photos {
		_, _, original, err := c.call(http.MethodGet, "/surveys/"+most.ID+"/photos/"+id+"/original", nil, nil, http.StatusOK)
		if err != nil {
			return ledger{}, err
		}
		if sumOf(original) != p.SHA256 || int64(len(original)) != p.Bytes {
			return ledger{}, fmt.Errorf("photo %s has other bytes: %d with the sum %s, want %+v", id, len(original), sumOf(original), p)
		}
	}
	ids := maps.Clone(uploads)
	maps.Copy(ids, most.Uploads)
	for id := range ids {
		if _, made := seen.Photos[id]; made {
			continue
		}
		if seen.Uploads[id], err = c.arrived(most.ID, id); err != nil {
			return ledger{}, err
		}
		if seen.Uploads[id] == 0 {
			delete(seen.Uploads, id)
		}
	}
	err = c.readRevisions(seen, most)
	return seen.seen(), err
}

// readRecord takes the rows of a survey out of the API's answer, and looks at each picture.
func (c *caller) readRecord(seen *ledger, body []byte) error {
	var all struct {
		Survey struct {
			Title, Notes string
			Version      int
		}
		Photos []struct {
			ID, SHA256, Screen, Thumb string
			Bytes                     int64
			Number, Version           int
		}
		Pins  []survey.Pin
		Facts []struct {
			Key, Text string
			Version   int
		}
	}
	if err := json.Unmarshal(body, &all); err != nil {
		return fmt.Errorf("the record: %w: %.300s", err, body)
	}
	seen.Title, seen.Notes, seen.Version = all.Survey.Title, all.Survey.Notes, all.Survey.Version
	for _, p := range all.Photos {
		seen.Photos[p.ID] = photoSeen{p.Number, p.Version, p.SHA256, p.Bytes}
		for _, picture := range []string{p.Screen, p.Thumb} {
			if picture == "" {
				continue
			}
			_, _, jpeg, err := c.call(http.MethodGet, picture, nil, nil, http.StatusOK)
			if err != nil {
				return err
			}
			if _, sum, _ := strings.Cut(picture, "?v="); sumOf(jpeg) != sum {
				return fmt.Errorf("the picture %s has the sum %s", picture, sumOf(jpeg))
			}
		}
	}
	for _, p := range all.Pins {
		seen.Pins[string(p.ID)] = pinSeen{p.Number, p.Version, string(p.Photo), p.Note, p.X, p.Y}
	}
	for _, f := range all.Facts {
		seen.Facts[f.Key] = factSeen{f.Text, f.Version}
	}
	return nil
}
