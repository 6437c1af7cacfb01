package store

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"undercroft/survey"
)

// TestEditors has eight editors add one to the same pin and the same fact again and again, each from what it last saw. Nothing that was accepted is
// lost: the sum is the number of acceptances.
func TestEditors(t *testing.T) {
	const editors, increments = 8, 200
	s := newStore(t)
	v := addSurvey(t, s)
	pin := samplePin(addTestPhoto(t, s, v.ID, 1))
	pin.Values = map[string]string{"count": "0"}
	pin = must(s.PutPin(t.Context(), pin))(t)
	var accepted, conflicts atomic.Int64
	var group sync.WaitGroup
	for editor := range editors {
		group.Go(func() {
			seen := pin
			for range increments {
				next := seen
				count, _ := strconv.Atoi(seen.Values["count"])
				next.Values = map[string]string{"count": strconv.Itoa(count + 1)}
				next.Note = fmt.Sprint("editor ", editor) // so that no two editors send the same
				saved, err := s.PutPin(t.Context(), next)
				if e, ok := errors.AsType[*survey.Error](err); ok && e.Kind == survey.Conflict {
					conflicts.Add(1)
					seen = e.Current.(survey.Pin)
					continue
				}
				if err != nil {
					t.Error(err)
					return
				}
				accepted.Add(1)
				seen = saved
			}
		})
	}
	group.Wait()
	got, _ := must(s.Record(t.Context(), v.ID))(t).Pin(pin.ID)
	if want := strconv.FormatInt(accepted.Load(), 10); got.Values["count"] != want || got.Version != int(accepted.Load())+1 {
		t.Errorf("count %s and version %d after %s acceptances", got.Values["count"], got.Version, want)
	}
	if n := accepted.Load() + conflicts.Load(); n != editors*increments || accepted.Load() == 0 || conflicts.Load() == 0 {
		t.Errorf("%d accepted, %d conflicts: this proves nothing", accepted.Load(), conflicts.Load())
	}
	t.Logf("%d accepted, %d conflicts", accepted.Load(), conflicts.Load())
	checkDatabase(t, s)
}

// TestRequestEndsMidway ends the request while its transaction runs: the transaction is done whole.
func TestRequestEndsMidway(t *testing.T) {
	s := newStore(t)
	a, b := sampleSurvey(), sampleSurvey()
	ctx, cancel := context.WithCancel(t.Context())
	_, err := write(ctx, s, "two surveys", func(ctx context.Context, tx *tx) (survey.Survey, error) {
		if _, err := createSurvey(ctx, tx, a); err != nil {
			return survey.Survey{}, err
		}
		cancel()
		time.Sleep(20 * time.Millisecond)
		return createSurvey(ctx, tx, b)
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []survey.SurveyID{a.ID, b.ID} {
		if _, err := s.Survey(t.Context(), id); err != nil {
			t.Error(err)
		}
	}
	// One that had ended before does nothing.
	if _, err := s.CreateSurvey(ctx, sampleSurvey()); !errors.Is(err, context.Canceled) {
		t.Errorf("got error %v", err)
	}
	if got := len(must(s.Surveys(t.Context()))(t)); got != 2 {
		t.Errorf("%d surveys, want 2", got)
	}
}

// TestRequestEndsWaiting ends a request while another one has the database: it does nothing, and does not wait.
func TestRequestEndsWaiting(t *testing.T) {
	s := newStore(t)
	began, goOn := make(chan struct{}), make(chan struct{})
	done := make(chan error)
	go func() {
		_, err := write(context.Background(), s, "slow", func(context.Context, *tx) (struct{}, error) {
			close(began)
			<-goOn
			return struct{}{}, nil
		})
		done <- err
	}()
	<-began
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	start := time.Now()
	if _, err := s.CreateSurvey(ctx, sampleSurvey()); !errors.Is(err, context.DeadlineExceeded) || time.Since(start) > 2*time.Second {
		t.Errorf("got error %v after %v", err, time.Since(start))
	}
	if _, err := s.Surveys(t.Context()); err != nil { // reading goes on
		t.Error(err)
	}
	close(goOn)
	if err := <-done; err != nil {
		t.Error(err)
	}
	if got := len(must(s.Surveys(t.Context()))(t)); got != 0 {
		t.Errorf("%d surveys, want none", got)
	}
}

// TestErrorUndoes makes a transaction fail, and another panic, after they have written.
func TestErrorUndoes(t *testing.T) {
	s := newStore(t)
	stop := errors.New("stop")
	try := func(end func() error) error {
		_, err := write(t.Context(), s, "half", func(ctx context.Context, tx *tx) (survey.Survey, error) {
			if _, err := createSurvey(ctx, tx, sampleSurvey()); err != nil {
				t.Error(err)
			}
			return survey.Survey{}, end()
		})
		return err
	}
	if err := try(func() error { return stop }); !errors.Is(err, stop) {
		t.Errorf("got error %v", err)
	}
	func() {
		defer func() { _ = recover() }()
		_ = try(func() error { panic("stop") })
	}()
	if got := len(must(s.Surveys(t.Context()))(t)); got != 0 {
		t.Errorf("%d surveys, want none", got)
	}
	addSurvey(t, s) // the only writing connection is free again
}

// TestFailedSync marks the store as broken: reading goes on, every change is refused.
func TestFailedSync(t *testing.T) {
	s := newStore(t)
	v := addSurvey(t, s)
	s.fail(errors.New("EIO"))
	select {
	case <-s.Failed():
	default:
		t.Error("Failed is not closed")
	}
	if got := must(s.Survey(t.Context(), v.ID))(t); got != v {
		t.Errorf("got %+v", got)
	}
	v.Title = "x"
	if _, err := s.UpdateSurvey(t.Context(), v); !errors.Is(err, errBroken) {
		t.Errorf("got error %v", err)
	}
	if _, err := s.ReceiveBlob(t.Context(), &zeros{}, 1); !errors.Is(err, errBroken) {
		t.Errorf("got error %v", err)
	}
	if reasons, err := s.Ready(t.Context()); len(reasons) != 1 || reasons[0] != ReasonDisk || !errors.Is(err, errBroken) {
		t.Errorf("got error %v", err)
	}
}

// TestWhoWaitsTooLongToWriteIsToldToComeAgain: nothing was saved and nothing failed, so that is not an error of the server's. Once there is a turn, the same is saved.
func TestWhoWaitsTooLongToWriteIsToldToComeAgain(t *testing.T) {
	s := newStore(t)
	s.turnLimit = 10 * time.Millisecond
	photo := addTestPhoto(t, s, addSurvey(t, s).ID, 1)
	held := must(s.writer.Conn(t.Context()))(t)
	_, err := s.PutPin(t.Context(), samplePin(photo))
	if e := wantKind(t, err, survey.Busy); e.Retry <= 0 || e.Message == "" {
		t.Errorf("got %+v", e)
	}
	if err := held.Close(); err != nil {
		t.Fatal(err)
	}
	s.turnLimit = writeLimit
	must(s.PutPin(t.Context(), samplePin(photo)))(t)
}
