package web

import (
	"io"
	"net/http"
	"time"
)

// How fast a body must arrive: each stretch of bytes within its time, about 2 KiB a second, which the slowest phone keeps up and a
// client that only holds the connection does not.
const (
	bodyStretch     = 64 << 10
	bodyStretchTime = 30 * time.Second
	longAgo         = 1 // a deadline, in seconds of Unix time, that has passed on every clock
)

// timedBody bounds a request's body in bytes and in time. The time runs from the first read, over each stretch anew, and stands still
// while paused. Its end cuts off the read under way.
type timedBody struct {
	inner   io.ReadCloser
	control *http.ResponseController
	timer   *time.Timer
	running bool
	left    int // bytes of this stretch yet to come
}

// newBody wraps a body; more than limit bytes make reading fail with *http.MaxBytesError and close the connection.
func newBody(w http.ResponseWriter, body io.ReadCloser, limit int64) *timedBody {
	b := &timedBody{inner: http.MaxBytesReader(w, body, limit), control: http.NewResponseController(w)}
	b.timer = time.AfterFunc(bodyStretchTime, func() {
		// An error means that the connection knows no deadlines (a test's recorder): there is nobody to be cut off then.
		_ = b.control.SetReadDeadline(time.Unix(longAgo, 0))
	})
	b.timer.Stop()
	return b
}

// Read reads on and keeps the time.
func (b *timedBody) Read(p []byte) (int, error) {
	if !b.running {
		b.running, b.left = true, bodyStretch
		b.timer.Reset(bodyStretchTime)
	}
	n, err := b.inner.Read(p)
	if b.left -= n; b.left <= 0 {
		b.left = bodyStretch
		b.timer.Reset(bodyStretchTime)
	}
	if err != nil {
		b.pause()
	}
	return n, err
}

// pause stops the time until the next read.
func (b *timedBody) pause() {
	b.running = false
	b.timer.Stop()
}

// Close closes the body.
func (b *timedBody) Close() error {
	b.pause()
	return b.inner.Close()
}

// slowWriter lets an answer of any length take its time as long as the client keeps taking it: each write has its own limit.
type slowWriter struct {
	http.ResponseWriter
	timer *time.Timer
}

// newSlowWriter lifts the server's limit on the whole answer; the caller defers done.
func newSlowWriter(w http.ResponseWriter) *slowWriter {
	control := http.NewResponseController(w)
	_ = control.SetWriteDeadline(time.Time{}) // no deadlines on this connection: nothing to lift
	timer := time.AfterFunc(bodyStretchTime, func() { _ = control.SetWriteDeadline(time.Unix(longAgo, 0)) })
	return &slowWriter{w, timer}
}

// Write writes and starts the time anew.
func (w *slowWriter) Write(p []byte) (int, error) {
	w.timer.Reset(bodyStretchTime)
	return w.ResponseWriter.Write(p)
}

func (w *slowWriter) done() { w.timer.Stop() }
