package store

import (
	"context"
	"crypto/sha256"
	"time"

	"undercroft/survey"
)

// TokenSum is the SHA-256 of the token of a session or a link, all that is kept of it. The token has 256 or 128 random bits, so that a plain hash is enough (OWASP
// ASVS 5.0.0, 6.5.2).
type TokenSum [sha256.Size]byte

// seenEvery is how exactly the time of the last request is kept: writing it at every request would cost a disk's sync each. A session may
// so end this much before SessionIdle, never after it.
const seenEvery = 5 * time.Minute

// clockSlack is how far ahead of the clock a session's times may lie. Clocks are corrected by moments all the time; one that was set back further would have sessions of before live
// longer than they may, so these are over.
const clockSlack = 5 * time.Minute

// sessionOver tells whether a session is over that has begun and was last seen at these times.
func sessionOver(now, begun, seen time.Time) bool {
	ahead := now.Add(clockSlack)
	return now.Sub(seen) > survey.SessionIdle || now.Sub(begun) > survey.SessionLongest || seen.After(ahead) || begun.After(ahead)
}

// BeginSession keeps a new session of a person and ends the one that the browser had before, if any. Sessions that are over are removed on the
// occasion. NotFound when there is no such person or it is disabled.
func (s *Store) BeginSession(ctx context.Context, id survey.PersonID, token, before TokenSum) error {
	_, err := writeAlways(ctx, s, "begin a session", func(ctx context.Context, t *tx) (struct{}, error) {
		var known survey.PersonID
		if err := t.QueryRowContext(ctx, `SELECT id FROM person WHERE id = ? AND disabled_at IS NULL`, id).Scan(&known); err != nil {
			return struct{}{}, missing("person", err)
		}
		idle, longest, ahead := t.now.Add(-survey.SessionIdle).UnixMilli(), t.now.Add(-survey.SessionLongest).UnixMilli(), t.now.Add(clockSlack).UnixMilli()
		_, err := t.ExecContext(ctx, `DELETE FROM session WHERE token_sha256 = ? OR seen_at < ? OR begun_at < ? OR max(seen_at, begun_at) > ?`, before[:], idle, longest, ahead)
		if err != nil {
			return struct{}{}, err
		}
		_, err = t.ExecContext(ctx, `INSERT INTO session (token_sha256, person, begun_at, seen_at) VALUES (?, ?, ?, ?)`, token[:], id, t.now.UnixMilli(), t.now.UnixMilli())
		return struct{}{}, err
	})
	return err
}

// Session finds who has signed in with a token, and notes that the session is in use. NotFound when there is no such session, it is over by the
// server's clock, or its person is disabled.
func (s *Store) Session(ctx context.Context, token TokenSum) (survey.Person, error) {
	now := milliseconds(s.now())
	var seen time.Time
	p, err := read(ctx, s, "read a session", func(ctx context.Context, q query) (survey.Person, error) {
		var id survey.PersonID
		var begunAt, seenAt int64
		err := q.QueryRowContext(ctx, `SELECT person, begun_at, seen_at FROM session WHERE token_sha256 = ?`, token[:]).Scan(&id, &begunAt, &seenAt)
		if err != nil {
			return survey.Person{}, missing("session", err)
		}
		seen = storedTime(seenAt)
		p, err := scanPerson(q.QueryRowContext(ctx, `SELECT `+personColumns+` FROM person WHERE id = ?`, id))
		if err == nil && (p.Disabled || sessionOver(now, storedTime(begunAt), seen)) {
			return survey.Person{}, survey.Errorf(survey.NotFound, "There is no such session.")
		}
		return p, err
	})
	if err != nil || now.Sub(seen) < seenEvery {
		return p, err
	}
	if err := s.touchSession(ctx, token); err != nil { // a disk that is full keeps nobody from reading
		s.log.Warn("the use of a session was not noted", "error", err)
	}
	return p, nil
}

func (s *Store) touchSession(ctx context.Context, token TokenSum) error {
	_, err := writeAlways(ctx, s, "note a session", func(ctx context.Context, t *tx) (struct{}, error) {
		_, err := t.ExecContext(ctx, `UPDATE session SET seen_at = ? WHERE token_sha256 = ?`, t.now.UnixMilli(), token[:])
		return struct{}{}, err
	})
	return err
}

// EndSession ends one session; one that is not there is over already.
func (s *Store) EndSession(ctx context.Context, token TokenSum) error {
	_, err := writeAlways(ctx, s, "end a session", func(ctx context.Context, t *tx) (struct{}, error) {
		_, err := t.ExecContext(ctx, `DELETE FROM session WHERE token_sha256 = ?`, token[:])
		return struct{}{}, err
	})
	return err
}

// EndSessions ends all sessions of a person.
func (s *Store) EndSessions(ctx context.Context, id survey.PersonID) error {
	_, err := writeAlways(ctx, s, "end all sessions", func(ctx context.Context, t *tx) (struct{}, error) {
		return struct{}{}, endSessions(ctx, t, id)
	})
	return err
}

func endSessions(ctx context.Context, t *tx, id survey.PersonID) error {
	_, err := t.ExecContext(ctx, `DELETE FROM session WHERE person = ?`, id)
	return err
}
