package web

import (
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

func TestTextIsCompressedAndPhotosAreNot(t *testing.T) {
	w := newSite(t)
	r := httptest.NewRequest(http.MethodGet, "/surveys/new", nil)
	r.Header.Set("Accept-Encoding", "gzip")
	a := w.do(r).wants(http.StatusOK)
	if got := a.Header().Get("Content-Encoding"); got != "gzip" {
		t.Fatalf("got encoding %q, want gzip", got)
	}
	if !strings.Contains(strings.Join(a.Header().Values("Vary"), ","), "Accept-Encoding") {
		t.Errorf("Vary is %v: a cache would give it to those who cannot read it", a.Header().Values("Vary"))
	}
	packed := a.Body.Len()
	reader, err := gzip.NewReader(a.Body)
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(reader)
	if err != nil || !strings.Contains(string(body), "</html>") {
		t.Fatalf("%v in %.200s", err, body)
	}
	if packed*2 > len(body) {
		t.Errorf("%d bytes of %d were sent", packed, len(body))
	}
	if plain := w.get("/surveys/new").wants(http.StatusOK); plain.Header().Get("Content-Encoding") != "" {
		t.Error("who does not ask for it gets no compression")
	}
}
