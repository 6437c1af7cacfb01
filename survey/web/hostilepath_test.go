package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"undercroft/survey"
)

// traversals are 200 ways to write a path out of a folder: dots plain, encoded once and twice, as overlong UTF-8 and full-width letters, with slashes and backslashes of each kind,
// before names that are there (after the OWASP testing guide, WSTG-ATHZ-01, from memory).
func traversals() []string {
	var list []string
	for _, up := range []string{"..", "%2e%2e", "%2E.", ".%2e", "%252e%252e", "%c0%ae%c0%ae", "%e0%80%ae.", "..%00", "....", "%uff0e%uff0e", "%EF%BC%8E%EF%BC%8E", "..%3b", ".."} {
		for _, slash := range []string{"/", "%2f", "%5c", "%252f"} {
			for _, name := range []string{"undercroft.db", "etc%2fpasswd", "blobs", "lock"} {
				list = append(list, up+slash+up+slash+name)
			}
		}
	}
	return list[:200]
}

// readLike is what an answer would hold that had read a file or listed a folder.
var readLike = regexp.MustCompile(`SQLite format|root:[^:]*:0:0|undercroft\.db|<pre>|Index of`)

// TestTraversalOnEveryRoute puts each string into each parameter of each route: nothing is found, nothing is read, nothing is written, and nothing goes wrong inside.
func TestTraversalOnEveryRoute(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	known := map[string]string{":survey": string(v.ID), ":photo": string(w.photo(v.ID).ID), ":number": "1", ":list": "takeoff.csv"}
	parameter := regexp.MustCompile(`[:*][a-z0-9]+`)
	before, files := w.dump(), folderOf(t, w.dir)
	tried := 0
	for _, route := range w.server.engine.Routes() {
		if route.Method == http.MethodHead && !strings.HasSuffix(route.Path, "/upload") {
			continue // the same handlers as GET
		}
		for _, name := range parameter.FindAllString(route.Path, -1) {
			for _, dots := range traversals() {
				path := parameter.ReplaceAllStringFunc(route.Path, func(p string) string {
					if p == name {
						return dots
					}
					if known[p] == "" {
						return survey.NewID()
					}
					return known[p]
				})
				r := httptest.NewRequest(route.Method, "/", strings.NewReader("x=1"))
				target, err := url.ParseRequestURI(path)
				if err != nil {
					continue // not even an address: the server answers 400 without us
				}
				r.URL, r.RequestURI = target, path
				r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
				w.now = w.now.Add(sharedEvery)
				a := w.do(r)
				tried++
				if a.Code != http.StatusNotFound && a.Code != http.StatusBadRequest && a.Code != http.StatusMethodNotAllowed {
					t.Errorf("%s %s: got status %d", route.Method, path, a.Code)
				}
				if found := readLike.FindString(a.Body.String()); found != "" {
					t.Errorf("%s %s: the answer holds %q", route.Method, path, found)
				}
			}
		}
	}
	if tried < 100*150 {
		t.Errorf("only %d requests", tried)
	}
	if after := differing(before, w.dump()); len(after) > 0 {
		t.Errorf("the tables %q have changed", after)
	}
	if after := folderOf(t, w.dir); after != files {
		t.Errorf("the folder holds\n%s\nand held\n%s", after, files)
	}
}

// folderOf lists the files under a folder and beside it.
func folderOf(t *testing.T, dir string) string {
	t.Helper()
	var names []string
	err := filepath.WalkDir(filepath.Dir(dir), func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			names = append(names, path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(names, "\n")
}
