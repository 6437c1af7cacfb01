package web

import (
	"bufio"
	"encoding/json"
	"mime"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"undercroft/survey"
)

// TestLogLinesCannotBeForged: line ends, escape sequences and whole false lines in every header, in addresses, forms, documents and file names: each event of the log stays one
// line of JSON, and none has what was sent (ASVS 5.0.0, 16.4.1).
func TestLogLinesCannotBeForged(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	w.person("R. Vance", survey.RoleOffice)
	const forged = "x\r\n{\"level\":\"INFO\",\"msg\":\"forged\"}\n\x1b[2J\x1b]0;forged\x07\u2028forged\u0085"
	headers := []string{"User-Agent", "Referer", "Origin", "Host", "Cookie", "Accept", "Accept-Language", "Accept-Encoding", "Authorization", "Content-Type", "X-Forwarded-For", "X-Forwarded-Proto",
		"X-Real-Ip", "X-Request-Id", "Traceparent", "X-Photo-Name", "If-None-Match", "Range", "Upload-Offset", "Upload-Length", "Upload-Checksum", "X-Http-Method-Override", "Sec-Fetch-Site", "Via"}
	method := newRequest(http.MethodGet, "/surveys", "")
	method.Method = "GET\r\nforged"
	requests := []*http.Request{
		method,
		httptest.NewRequest(http.MethodGet, "/surveys?q="+url.QueryEscape(forged), nil),
		httptest.NewRequest(http.MethodGet, "/"+url.PathEscape(forged), nil),
		httptest.NewRequest(http.MethodGet, "/surveys/"+url.PathEscape(forged)+"/photos/"+url.PathEscape(forged), nil),
		httptest.NewRequest(http.MethodPut, "/api/surveys/"+string(v.ID)+"/facts", strings.NewReader(`{"`+strings.ReplaceAll(forged, `"`, `'`)+`":1}`)),
		httptest.NewRequest(http.MethodPut, photoAPI(v.ID, survey.NewID())+"?caption="+url.QueryEscape(forged), strings.NewReader(forged)),
	}
	for _, name := range headers {
		for _, route := range [][2]string{{http.MethodGet, "/surveys"}, {http.MethodPut, photoAPI(v.ID, survey.NewID())}, {http.MethodPost, surveyPath(v.ID) + "/site"}} {
			r := newRequest(route[0], route[1], "x")
			r.Header[name] = []string{forged}
			if name == "Host" {
				r.Host = forged
			}
			requests = append(requests, r)
		}
	}
	w.log.Reset()
	for _, r := range requests {
		if a := w.do(r); a.Code >= 500 {
			t.Errorf("%s %q: got status %d", r.Method, r.URL, a.Code)
		}
	}
	w.post("/signin", url.Values{"name": {forged}, "password": {forged}, "to": {forged}, "carry": {forged}, "action": {forged}})
	events := 0
	for lines := bufio.NewScanner(w.log); lines.Scan(); {
		var event struct{ Msg string }
		if err := json.Unmarshal(lines.Bytes(), &event); err != nil {
			t.Errorf("a line that is no JSON: %q", lines.Text())
		}
		if event.Msg == "request" {
			events++
		}
		if strings.Contains(lines.Text(), "forged") || strings.ContainsAny(lines.Text(), "\x1b\x07\u2028\u0085") {
			t.Errorf("what was sent is in the log: %q", lines.Text())
		}
	}
	if want := len(requests) + 1; events != want {
		t.Errorf("%d requests gave %d lines", want, events)
	}
}

// TestHeadersCannotBeForged: names of photos and titles with line ends and quotes reach the answers' headers without them (RFC 6266, section 4.3; RFC 9110, section 5.5).
func TestHeadersCannotBeForged(t *testing.T) {
	w := newSite(t)
	const name = "a\r\nSet-Cookie: forged=1\r\n\r\n<script>\"; filename=\"b.exe\x00\x1b.jpg"
	v := w.survey("Larkmoor \"house\"; filename=\"evil.exe")
	id := survey.NewID()
	w.put(photoAPI(v.ID, id), strings.NewReader("no picture"), "X-Photo-Name", url.PathEscape(name)).wants(http.StatusCreated)
	server := httptest.NewServer(w.handler)
	defer server.Close()
	for _, path := range []string{surveyPath(v.ID) + "/photos/" + id + "/original", surveyPath(v.ID) + "/lists/takeoff.csv", surveyPath(v.ID) + "/bundle.zip", surveyPath(v.ID) + "/report.pdf"} {
		resp, err := server.Client().Get(server.URL + path)
		if err != nil {
			t.Fatal(err)
		}
		if err := resp.Body.Close(); err != nil {
			t.Error(err)
		}
		disposition := resp.Header.Get("Content-Disposition")
		media, parameters, err := mime.ParseMediaType(disposition)
		if err != nil || media != "attachment" || len(parameters) != 1 || strings.ContainsAny(disposition, "\r\n\x00\x1b") {
			t.Errorf("%s: Content-Disposition is %q, %v", path, disposition, err)
		}
		if resp.StatusCode != http.StatusOK || resp.Header.Get("Set-Cookie") != "" {
			t.Errorf("%s: status %d, %v", path, resp.StatusCode, resp.Header)
		}
	}
	for _, to := range []string{"/x\r\nSet-Cookie: forged=1", "/%0d%0aSet-Cookie:%20forged=1", "//evil.example", `/\evil.example`} {
		a := w.get("/signin?to=" + url.QueryEscape(to)).wants(http.StatusSeeOther)
		if got := a.Header().Get("Location"); !safeAddress(got) || strings.ContainsAny(got, "\r\n\\") {
			t.Errorf("to %q: leads to %q", to, got)
		}
	}
}
