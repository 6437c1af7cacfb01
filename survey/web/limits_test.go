package web

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	"undercroft/survey"
)

// limitName is how constants are called that hold something down.
var limitName = regexp.MustCompile(`^(max|most|tries|every)[A-Z]|(AtOnce|Waiting|Burst|Every|Limit|Time|Stretch)$`)

// notToldLimits are those of them that are no limits on clients, with what they are.
var notToldLimits = map[string]string{
	"sweepEvery":      "the server's own upkeep",
	"mostThawed":      "what is kept read",
	"maxFinishText":   "a part of a form, which has its own limit",
	"maxFinishParts":  "the same",
	"maxFinishPhotos": "the same",
	"maxReplyText":    "the same",
	"maxPrefill":      "what a field begins with",
	"maxAgent":        "how much is kept of a browser's name",
	"maxOutcomes":     "notes for pages that are about to be opened",
	"mostOfWhy":       "how much is repeated of an error",
	"mostSegments":    "a choice of controls",
	"mostOffers":      "how many answers are offered",
	"probeEvery":      "how old an answer about readiness may be",
}

// TestEveryLimitIsTold: each constant of this package that is called like a limit stands in the table that serve --help prints, or is said above to be none.
func TestEveryLimitIsTold(t *testing.T) {
	told, found := map[string]bool{}, map[string]bool{}
	names, err := fs.Glob(os.DirFS("."), "*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, decl := range file.Decls {
			if group, ok := decl.(*ast.GenDecl); ok && group.Tok == token.CONST {
				for _, spec := range group.Specs {
					for _, ident := range spec.(*ast.ValueSpec).Names {
						found[ident.Name] = limitName.MatchString(ident.Name)
					}
				}
			}
		}
		if name == "limits.go" {
			ast.Inspect(file, func(n ast.Node) bool {
				if ident, ok := n.(*ast.Ident); ok {
					told[ident.Name] = true
				}
				return true
			})
		}
	}
	limits := 0
	for name, isLimit := range found {
		if !isLimit {
			continue
		}
		limits++
		if told[name] == (notToldLimits[name] != "") {
			t.Errorf("%s: in the table of limits.go %v, said to be none %q", name, told[name], notToldLimits[name])
		}
	}
	if limits < 25 {
		t.Errorf("only %d limits found", limits)
	}
	for name := range notToldLimits {
		if !found[name] {
			t.Errorf("there is no %s", name)
		}
	}
}

// TestTheTableIsTrue sends a little more than some of the lines say, and wants the refusal; the texts are written here by hand.
func TestTheTableIsTrue(t *testing.T) {
	table := map[string]string{}
	for _, l := range Limits() {
		if table[l.Name] != "" || l.Value == "" {
			t.Errorf("%q stands twice or says nothing", l.Name)
		}
		table[l.Name] = l.Value
	}
	for name, want := range map[string]string{
		"photo": "40 MiB", "photos of a survey": "300, together 5 GiB", "photo in pieces": "1 MiB a piece, 640 pieces", "form or document": "1 MiB", "name and password": "8 KiB",
		"photos not yet whole":  "300 a survey, 2000 in all, together 16 GiB, each for 7 days after its last piece",
		"photos opened at once": "2, and 64 waiting for at most 2m0s; then 503", "headers": "32 KiB, 10s to arrive", "speed of a body": "64 KiB in 30s, then 408",
		"calls by one person": "240 in a row, then one each 50ms; then 429", "new photos by one person": "300 in a row, then one each 6s; then 429",
	} {
		if table[name] != want {
			t.Errorf("%s: %q, want %q", name, table[name], want)
		}
	}
	w := newSite(t)
	v := w.survey("Larkmoor house")
	over := func(n int) string { return "f.notes=" + strings.Repeat("x", n) }
	for name, a := range map[string]answer{
		"form or document":  w.do(newRequest(http.MethodPost, surveyPath(v.ID)+"/site", over(1<<20), "Content-Type", "application/x-www-form-urlencoded", "Sec-Fetch-Site", "same-origin")),
		"name and password": w.do(newRequest(http.MethodPost, "/signin", over(8<<10), "Content-Type", "application/x-www-form-urlencoded", "Sec-Fetch-Site", "same-origin")),
		"photo in pieces":   w.sendPiece(v.ID, survey.NewID(), make([]byte, 3<<20), 0, 1<<20+1),
	} {
		if a.Code != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: got status %d, want 413", name, a.Code)
		}
	}
	if server := HTTPServer(w.handler); server.MaxHeaderBytes != 32<<10 || server.ReadHeaderTimeout.Seconds() != 10 || server.WriteTimeout.Seconds() != 60 || server.IdleTimeout.Seconds() != 60 {
		t.Errorf("the server is made with other limits: %+v", server)
	}
}
