package web

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"

	"undercroft/survey"
)

// listen serves the site on a loopback address with the limits of the real server.
func (w *site) listen() string {
	w.t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		w.t.Fatal(err)
	}
	server := HTTPServer(w.handler)
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	w.t.Cleanup(func() {
		if err := server.Close(); err != nil {
			w.t.Error(err)
		}
		<-ended
	})
	return listener.Addr().String()
}

// answers sends bytes over one connection, ends the sending side, and gives the statuses of all that comes back before the server closes.
func answers(t *testing.T, address, request string) []int {
	t.Helper()
	conn, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if _, err := io.WriteString(conn, request); err != nil {
		t.Fatal(err)
	}
	if err := conn.(*net.TCPConn).CloseWrite(); err != nil {
		t.Fatal(err)
	}
	var statuses []int
	for from := bufio.NewReader(conn); ; {
		resp, err := http.ReadResponse(from, nil)
		if err != nil {
			return statuses
		}
		if _, err := io.Copy(io.Discard, resp.Body); err != nil {
			return statuses
		}
		statuses = append(statuses, resp.StatusCode)
	}
}

// TestRequestSmuggling: requests whose end two readers could see in different places are refused, or end the connection, so that nothing behind them is taken for a request of its own
// (RFC 9112, sections 5.1, 5.2, 6.1 and 6.3; the cases are those of James Kettle, "HTTP Desync Attacks", 2019, from memory).
func TestRequestSmuggling(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	address := w.listen()
	const smuggled = "GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n"
	post := func(headers, body string) string {
		return "POST " + surveyPath(v.ID) + "/site HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-www-form-urlencoded\r\n" + headers + "\r\n" + body
	}
	for name, c := range map[string]struct {
		request string
		status  int // of the one answer that there may be
	}{
		"length and chunks":         {post("Content-Length: 4\r\nTransfer-Encoding: chunked\r\n", "0\r\n\r\n"+smuggled), 0},
		"chunks, then length":       {post("Transfer-Encoding: chunked\r\nContent-Length: 999\r\n", "0\r\n\r\n"+smuggled), 0},
		"two lengths":               {post("Content-Length: 0\r\nContent-Length: 44\r\n", smuggled), 400},
		"a list of lengths":         {post("Content-Length: 0, 44\r\n", smuggled), 400},
		"a signed length":           {post("Content-Length: +0\r\n", smuggled), 400},
		"a negative length":         {post("Content-Length: -1\r\n", smuggled), 400},
		"chunks twice":              {post("Transfer-Encoding: chunked\r\nTransfer-Encoding: chunked\r\n", "0\r\n\r\n"+smuggled), 501},
		"an unknown coding":         {post("Transfer-Encoding: xchunked\r\nContent-Length: 0\r\n", smuggled), 501},
		"chunks and identity":       {post("Transfer-Encoding: identity, chunked\r\n", "0\r\n\r\n"+smuggled), 501},
		"a tab in the coding":       {post("Transfer-Encoding:\x0bchunked\r\nContent-Length: 0\r\n", smuggled), 400},
		"a space before the colon":  {post("Content-Length : 0\r\n", smuggled), 400},
		"a folded line":             {post("X: a\r\n b\r\nContent-Length : 0\r\n", smuggled), 400},
		"NUL in a value":            {post("X: a\x00b\r\nContent-Length: 0\r\n", smuggled), 400},
		"a line end in a name":      {post("X\ry: a\r\nContent-Length: 0\r\n", smuggled), 400},
		"no host":                   {"GET /surveys HTTP/1.1\r\n\r\n" + smuggled, 400},
		"two hosts":                 {"GET /surveys HTTP/1.1\r\nHost: localhost\r\nHost: evil.example\r\n\r\n" + smuggled, 400},
		"another host in the line":  {"GET http://evil.example/surveys HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n" + smuggled, 421},
		"a proxy's request":         {"CONNECT evil.example:443 HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n" + smuggled, 0},
		"another version":           {"GET /surveys HTTP/3.9\r\nHost: localhost\r\n\r\n" + smuggled, 505},
		"a chunk of no size":        {post("Transfer-Encoding: chunked\r\n", "zz\r\n\r\n"+smuggled), 0},
		"a chunk beyond all bounds": {post("Transfer-Encoding: chunked\r\n", "fffffffffffffffff\r\nx\r\n"+smuggled), 0},
		"headers beyond all bounds": {"GET /surveys HTTP/1.1\r\nHost: localhost\r\n" + strings.Repeat("X: "+strings.Repeat("a", 1000)+"\r\n", 60) + "\r\n" + smuggled, 431},
	} {
		got := answers(t, address, c.request)
		if len(got) > 1 {
			t.Errorf("%s: what was behind the request was answered, too: %v", name, got)
		}
		if c.status != 0 && (len(got) != 1 || got[0] != c.status) {
			t.Errorf("%s: got %v, want %d", name, got, c.status)
		}
		for _, status := range got {
			if status < 300 || status >= 500 && status != http.StatusNotImplemented && status != http.StatusHTTPVersionNotSupported {
				t.Errorf("%s: got status %d", name, status)
			}
		}
	}
	if got := answers(t, address, smuggled+smuggled); len(got) != 2 || got[0] != 200 || got[1] != 200 {
		t.Errorf("two plain requests on one connection: got %v: this test sees no second answer", got)
	}
}

// TestMethodOverride: a method that a header, a field or the query asks for instead of the request's own is not taken.
func TestMethodOverride(t *testing.T) {
	w := newSite(t)
	photo := w.photo(w.survey("Larkmoor house").ID)
	p := w.pin(newPin(photo))
	path := fmt.Sprintf("/api/surveys/%s/pins/%s?version=%d&_method=DELETE", photo.Survey, p.ID, p.Version)
	for _, name := range []string{"X-HTTP-Method-Override", "X-HTTP-Method", "X-Method-Override"} {
		for _, method := range []string{http.MethodGet, http.MethodPost} {
			w.do(newRequest(method, path, "_method=DELETE", name, http.MethodDelete, "Content-Type", "application/x-www-form-urlencoded", "Sec-Fetch-Site", "same-origin")).wants(http.StatusMethodNotAllowed)
		}
		w.do(newRequest(http.MethodGet, photoPath(photo)+"/remove?_method=POST", "", name, http.MethodPost)).wants(http.StatusOK)
	}
	if _, ok := w.record(photo.Survey).Pin(p.ID); !ok || len(w.record(photo.Survey).Photos) != 1 {
		t.Error("something was removed")
	}
	w.do(newRequest(http.MethodDelete, path, "")).wants(http.StatusNoContent)
	if _, ok := w.record(photo.Survey).Pin(survey.PinID(p.ID)); ok {
		t.Error("the method itself does nothing: this test proves nothing")
	}
}
