package web

import (
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"
)

// Everything that the list of the shell names is there, and every empty page is about nothing but the stand-ins.
func TestShell(t *testing.T) {
	w := newSite(t)
	var list shellList
	w.get("/shell").wants(http.StatusOK).json(&list)
	if len(list.Files) < 10 || len(list.Pages) < 9 || list.Hash == "" {
		t.Fatalf("got %+v", list)
	}
	for _, address := range list.Files {
		if w.get(address).wants(http.StatusOK); !strings.HasPrefix(address, "/static/"+list.Hash+"/") {
			t.Errorf("%s is of another version", address)
		}
	}
	ids := regexp.MustCompile(`[0-9a-f]{8}-[0-9a-f-]{27}`)
	listed := map[string]bool{}
	for _, address := range list.Files {
		listed[address] = true
	}
	for _, address := range list.Pages {
		body := w.get(address).wants(http.StatusOK)
		for _, id := range ids.FindAllString(body.Body.String(), -1) {
			if id != string(shellSurvey) && id != string(shellPhoto) && !strings.Contains(body.Body.String(), `name="id" value="`+id) {
				t.Errorf("%s names %s", address, id)
			}
		}
		for _, name := range []string{"src", "href"} {
			for _, node := range body.page().Find("head [" + name + "], body script").Nodes {
				for _, a := range node.Attr {
					if a.Key == name && strings.HasPrefix(a.Val, "/static/") && !listed[a.Val] {
						t.Errorf("%s needs %s, which is not in the list", address, a.Val)
					}
				}
			}
		}
	}
	w.get("/shell/nothing").wants(http.StatusNotFound)
	if n := len(w.server.shells()); n != len(list.Pages) {
		t.Errorf("%d empty pages are listed of %d", len(list.Pages), n)
	}
}

// The service worker is asked for anew each time and runs the script of this version.
func TestWorkerScript(t *testing.T) {
	w := newSite(t)
	got := w.get("/sw.js").wants(http.StatusOK)
	found := regexp.MustCompile(`^import "(/static/[0-9a-f]+/offline/worker\.js)";\n$`).FindStringSubmatch(got.Body.String())
	if found == nil || got.Header().Get("Cache-Control") != "no-cache" || !strings.HasPrefix(got.Header().Get("Content-Type"), "text/javascript") {
		t.Fatalf("got %q, %v", got.Body.String(), got.Header())
	}
	w.get(found[1]).wants(http.StatusOK)
}

// The phone writes ids and names in place of the stand-ins that the server writes, so both must be the same.
func TestStandInsAgree(t *testing.T) {
	script, err := os.ReadFile("../../templates/offline/shells.js")
	if err != nil {
		t.Fatal(err)
	}
	worker, err := os.ReadFile("../../templates/offline/worker.js")
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"SURVEY = '" + string(shellSurvey) + "'", "PHOTO = '" + string(shellPhoto) + "'", "HOUSE = '" + shellHouse + "'"} {
		if !strings.Contains(string(script), text) {
			t.Errorf("templates/offline/shells.js lacks %s", text)
		}
	}
	if !strings.Contains(string(worker), "HERE = '"+shellSum+"'") {
		t.Error("templates/offline/worker.js lacks the version of pictures made on the phone")
	}
}
