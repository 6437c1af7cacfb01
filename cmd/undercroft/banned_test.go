package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// selectors calls a function for every qualified name in a file, "time.Now".
func selectors(t *testing.T, file string, each func(name string)) {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(parsed, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok {
				each(x.Name + "." + s.Sel.Name)
			}
		}
		return true
	})
}

// TestBannedCalls: what must not be used at all, and what only commands may use, with the reason.
func TestBannedCalls(t *testing.T) {
	everywhere := map[string]string{
		"template.HTML": "text is escaped", "template.JS": "text is escaped", "template.URL": "addresses are judged", "template.CSS": "text is escaped", "template.HTMLAttr": "text is escaped",
		"c.FormFile": "photos are never held in memory", "c.SaveUploadedFile": "names are ours and files are synced", "c.MultipartForm": "photos are never held in memory", "c.ShouldBind": "input is read field by field",
		"gin.Default": "its logger and recovery print what is secret", "gin.Logger": "it prints addresses with secrets", "gin.Recovery": "it prints cookies",
		"http.ListenAndServe": "it has no limits", "http.ListenAndServeTLS": "it has no limits", "http.DefaultServeMux": "anything may register there", "image.Decode": "the bytes choose the decoder",
		"imaging.Open": "it decodes", "imaging.Decode": "it decodes", "ioutil.ReadAll": "it is old", "log.Print": "the log is structured", "log.Printf": "the log is structured", "log.Println": "the log is structured",
	}
	commands := map[string]string{"time.Now": "the clock is given", "rand.Int": "chance is given", "rand.IntN": "chance is given", "os.Getenv": "the environment is read once"}
	read := 0
	for file, pkg := range sources(t) {
		selectors(t, file, func(name string) {
			read++
			if reason := everywhere[name]; reason != "" {
				t.Errorf("%s uses %s: %s", file, name, reason)
			}
			if reason := commands[name]; reason != "" && pkg != "cmd/undercroft" && !strings.Contains(pkg, "test") && pkg != "survey/web/internal/browser" {
				t.Errorf("%s uses %s: %s", file, name, reason)
			}
		})
	}
	if read < 10000 {
		t.Errorf("only %d names were read", read)
	}
}

// TestNothingIsAskedElsewhere: no code of ours opens a connection; the server only listens (OWASP ASVS 5.0.0, 1.3.6).
func TestNothingIsAskedElsewhere(t *testing.T) {
	client := []string{"http.Get", "http.Post", "http.PostForm", "http.Head", "http.DefaultClient", "http.Client", "http.NewRequest", "http.NewRequestWithContext", "http.Transport", "http.DefaultTransport",
		"net.Dial", "net.DialTimeout", "net.Dialer", "net.DialTCP", "net.DialUDP", "net.LookupHost", "net.LookupIP", "net.LookupAddr", "net.LookupTXT", "net.Resolver", "net.DefaultResolver", "tls.Dial", "tls.Dialer", "smtp.SendMail", "smtp.Dial"}
	listens := false
	for file, pkg := range sources(t) {
		if strings.HasSuffix(pkg, "/internal/browser") {
			continue // it drives a browser in tests
		}
		selectors(t, file, func(name string) {
			listens = listens || name == "net.Listen" || name == "net.ListenConfig"
			if slices.Contains(client, name) {
				t.Errorf("%s uses %s", file, name)
			}
		})
	}
	if !listens {
		t.Error("nothing listens either: this test reads the wrong names")
	}
}

// leastVersions are the versions from which on a module is without the faults that are known of it, by the identifiers of the Go vulnerability database or by the project's own list of changes.
var leastVersions = map[string]string{
	"go":                         "v1.26.6", // GO-2026-6089, GO-2026-5039
	"github.com/gin-gonic/gin":   "v1.12.0", // GO-2020-0001, GO-2021-0052, GO-2023-1737
	"github.com/quic-go/quic-go": "v0.59.1", // GO-2026-5676
	"golang.org/x/net":           "v0.56.0", // GO-2026-4918, GO-2026-5026, GO-2026-5942
	"golang.org/x/text":          "v0.39.0", // GO-2026-5970
	"golang.org/x/crypto":        "v0.52.0", // entries of its ssh
	"golang.org/x/sys":           "v0.44.0", // GO-2026-5024
	"golang.org/x/image":         "v0.48.0", // GO-2026-5061, GO-2026-6222
	"modernc.org/sqlite":         "v1.62.0", // SQLite 3.54.1, beyond the write-ahead log's fault of 3.7.0 to 3.51.2
	"modernc.org/libc":           "v1.80.1", // the one that this sqlite was made with
}

// TestLeastVersions holds go.mod to them.
func TestLeastVersions(t *testing.T) {
	data, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	for module, least := range leastVersions {
		found := regexp.MustCompile(`(?m)^\s*` + regexp.QuoteMeta(module) + ` (v?\d\S*)`).FindSubmatch(data)
		if found == nil {
			t.Errorf("go.mod does not name %s", module)
			continue
		}
		if slices.Compare(versionParts(t, string(found[1])), versionParts(t, least)) < 0 {
			t.Errorf("%s is at %s, below %s", module, found[1], least)
		}
	}
}

// versionParts are the numbers of a release's version.
func versionParts(t *testing.T, version string) []int {
	t.Helper()
	var parts []int
	for part := range strings.SplitSeq(strings.TrimPrefix(version, "v"), ".") {
		n, err := strconv.Atoi(part)
		if err != nil {
			t.Fatalf("%s is no release: %v", version, err)
		}
		parts = append(parts, n)
	}
	return parts
}
