package main

import (
	"fmt"
	"io"
	"net"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"undercroft/survey"
)

// slowGroup are clients that send a piece at 1 KB a second.
type slowGroup struct {
	stop    chan struct{}
	working sync.WaitGroup
	sent    atomic.Int64 // bytes of bodies
	cut     atomic.Int64 // clients that the server has answered or cut off
	begun   atomic.Int64
	clients int
}

// slowClients begin and go on until end, each with one piece that would take it over four minutes. It returns when all have begun.
func slowClients(t *testing.T, address string, n int, as *phone) *slowGroup {
	t.Helper()
	g := &slowGroup{stop: make(chan struct{}), clients: n}
	for range n {
		c := dial(t, address)
		head := fmt.Sprintf("PATCH /api/surveys/%s/photos/%s/upload HTTP/1.1\r\nHost: localhost\r\nCookie: %s\r\nSec-Fetch-Site: same-origin\r\nContent-Type: application/offset+octet-stream\r\n"+
			"Upload-Offset: 0\r\nUpload-Length: %d\r\nUpload-Checksum: sha256 %s\r\nContent-Length: %d\r\n\r\n", as.survey, survey.NewID(), as.cookie, phonePiece, strings.Repeat("A", 43)+"=", phonePiece)
		if _, err := io.WriteString(c, head); err != nil {
			t.Fatal(err)
		}
		g.working.Go(func() { g.drip(c) })
	}
	for g.begun.Load() < int64(n) {
		time.Sleep(10 * time.Millisecond)
	}
	return g
}

// drip sends until end or until the server has had enough.
func (g *slowGroup) drip(c net.Conn) {
	defer c.Close()
	answered := make(chan struct{})
	go func() {
		_, _ = c.Read(make([]byte, 1)) // an answer, a cut or our own close
		close(answered)
	}()
	part, every := make([]byte, 1000), time.NewTicker(time.Second)
	defer every.Stop()
	for first := true; ; first = false {
		n, err := c.Write(part)
		g.sent.Add(int64(n))
		if first {
			g.begun.Add(1)
		}
		if err != nil {
			g.cut.Add(1)
			return
		}
		select {
		case <-answered:
			g.cut.Add(1)
			return
		case <-g.stop:
			return
		case <-every.C:
		}
	}
}

func (g *slowGroup) end(t *testing.T) {
	t.Helper()
	close(g.stop)
	g.working.Wait()
	if g.sent.Load() < 1000*int64(g.clients) {
		t.Errorf("%d slow clients had sent only %d bytes: they held nothing up", g.clients, g.sent.Load())
	}
}

// hangingGroup are connections whose headers never end.
type hangingGroup []net.Conn

// hangingClients open connections, send the beginning of a request and then a line now and then.
func hangingClients(t *testing.T, address string, n int) hangingGroup {
	t.Helper()
	var g hangingGroup
	for range n {
		c := dial(t, address)
		g = append(g, c)
		if _, err := io.WriteString(c, "GET /surveys HTTP/1.1\r\nHost: localhost\r\n"); err != nil {
			t.Fatal(err)
		}
		go func() {
			for i := 0; ; i++ {
				time.Sleep(500 * time.Millisecond)
				if _, err := fmt.Fprintf(c, "X-%d: y\r\n", i); err != nil {
					return // closed, here or there
				}
			}
		}()
	}
	return g
}

// wantClosed waits until the server has closed them all: it must do so although something always comes.
func (g hangingGroup) wantClosed(t *testing.T) {
	t.Helper()
	for _, c := range g {
		if err := c.SetReadDeadline(time.Now().Add(5 * time.Minute)); err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(io.Discard, c); isTimeout(err) {
			t.Error("a connection whose headers never end is still open")
		}
		_ = c.Close() // the other side has
	}
}

func isTimeout(err error) bool {
	e, ok := err.(net.Error)
	return ok && e.Timeout()
}

func dial(t *testing.T, address string) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", strings.TrimPrefix(address, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	return c
}
