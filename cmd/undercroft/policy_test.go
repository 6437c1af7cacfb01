package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const module = "undercroft"

// importRule is what one package may import.
type importRule struct {
	pkg       string
	internal  []string
	libraries []string // prefixes; the standard library is always allowed
	reason    string
}

// allowed says, for each package of the module, which other packages of the module it may import, and which kinds of library.
// Data flows one way: annotate → survey → calc → report. A package that is not listed fails the test: its place must be thought of.
var allowed = []importRule{
	{"calc/length", nil, nil, "text and numbers need no library"},
	{"calc/cutting", nil, nil, "the calculator is pure functions over plain data"},
	{"calc/words", nil, nil, "a text knows no deck"},
	{"calc", []string{"calc/length", "calc/cutting", "calc/words"}, []string{"github.com/peterstace/simplefeatures"}, "the calculator knows nothing of surveys, pages or storage"},
	{"annotate/plane", nil, []string{"gonum.org/v1/gonum"}, "geometry is pure functions too"},
	{"annotate", nil, []string{"github.com/disintegration/imaging", "github.com/rwcarlsen/goexif", "golang.org/x/image", "golang.org/x/text"}, "photos are read without knowing what they are for"},
	{"survey", []string{"annotate", "annotate/plane", "calc", "calc/length", "calc/words"}, []string{"github.com/google/uuid", "github.com/gowebpki/jcs"}, "the domain knows no SQL, no HTTP and no pages; an approval's hash is of canonical JSON"},
	{"survey/store", []string{"survey", "annotate"}, []string{"modernc.org/sqlite", "golang.org/x/sys"}, "the store knows the domain only"},
	{"survey/store/disktest", nil, []string{"golang.org/x/sys"}, "disks that fail know no store"},
	{"survey/store/backup", []string{"survey/store"}, []string{"golang.org/x/sys"}, "a backup is files and sums; what they mean is the store's"},
	{"survey/password", nil, []string{"golang.org/x/crypto/argon2"}, "a password is a text; who has it is not known here"},
	{"survey/bundle", []string{"annotate", "survey", "survey/store"}, nil, "a bundle is a store's survey on its way to another store"},
	{"survey/report/draw", nil, []string{"codeberg.org/go-fonts/dejavu", "golang.org/x/image", "golang.org/x/text"}, "a drawing knows lines and letters, not decks"},
	{"survey/report/document", []string{"survey/report/draw"}, nil, "a document is plain data"},
	{"survey/report/pdf", []string{"survey/report/draw", "survey/report/document"}, []string{"codeberg.org/go-fonts/dejavu", "github.com/carlos7ags/folio"}, "paper knows documents and drawings, not decks"},
	{"survey/report", []string{"survey", "calc", "calc/length", "calc/words", "survey/report/draw", "survey/report/document", "templates"}, []string{"github.com/gowebpki/jcs"}, "the report reads the domain and the plan"},
	{"survey/web", []string{"survey", "annotate", "calc", "calc/length", "calc/words", "survey/password", "survey/store", "survey/bundle", "survey/report", "survey/report/document", "survey/report/pdf", "templates"}, []string{"github.com/gin-gonic/gin", "github.com/google/uuid", "github.com/klauspost/compress/gzhttp", "github.com/prometheus/client_golang/prometheus", "golang.org/x/time/rate"}, "pages are the outermost layer but one"},
	{"survey/web/internal/browser", nil, []string{"github.com/chromedp"}, "browser tests share one helper"},
	{"templates", nil, []string{"github.com/evanw/esbuild/pkg/api"}, "pages print what they are given and know nothing else"},
	{"cmd/undercroft", []string{"annotate", "annotate/plane", "calc", "calc/words", "survey", "survey/bundle", "survey/password", "survey/store", "survey/store/backup", "survey/report", "survey/report/document", "survey/report/pdf", "survey/web"}, []string{"golang.org/x/net", "golang.org/x/sys"}, "commands put the parts together"},
}

// TestImportsFlowOneWay holds every non-test file to the table above, and the table to the files: a permission that nobody uses is
// taken out, so that the next who wants it has to think of it.
func TestImportsFlowOneWay(t *testing.T) {
	comments, used := map[string]int{}, map[string]bool{}
	for file, pkg := range sources(t) {
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly|parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		comments[pkg] += 0
		if parsed.Doc != nil {
			comments[pkg]++
		}
		rule := slices.IndexFunc(allowed, func(r importRule) bool { return r.pkg == pkg })
		if rule < 0 {
			t.Errorf("package %s has no import rule: give it one in this test", pkg)
			continue
		}
		for _, spec := range parsed.Imports {
			name := strings.Trim(spec.Path.Value, `"`)
			if inside, ok := strings.CutPrefix(name, module+"/"); ok {
				used[pkg+" "+inside] = true
				if !slices.Contains(allowed[rule].internal, inside) {
					t.Errorf("%s imports %s: %s", file, inside, allowed[rule].reason)
				}
				continue
			}
			first, _, _ := strings.Cut(name, "/")
			if !strings.Contains(first, ".") {
				continue // the standard library
			}
			library := slices.IndexFunc(allowed[rule].libraries, func(prefix string) bool { return name == prefix || strings.HasPrefix(name, prefix+"/") })
			if library < 0 {
				t.Errorf("%s imports %s: %s", file, name, allowed[rule].reason)
				continue
			}
			used[pkg+" "+allowed[rule].libraries[library]] = true
		}
	}
	for _, rule := range allowed {
		for _, name := range slices.Concat(rule.internal, rule.libraries) {
			if !used[rule.pkg+" "+name] {
				t.Errorf("package %s may import %s and does not: take that out of the table", rule.pkg, name)
			}
		}
	}
	for pkg, n := range comments {
		if n != 1 {
			t.Errorf("package %s has %d package comments, want exactly one", pkg, n)
		}
	}
}

// TestTheModuleReplacesNothing: a replace in go.mod would build something else than what the requirement says.
func TestTheModuleReplacesNothing(t *testing.T) {
	data, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(data), "\n") {
		if strings.HasPrefix(strings.TrimSpace(line), "replace") {
			t.Errorf("go.mod has %q", line)
		}
	}
}

// sources lists the non-test Go files of the module with the package folder each stands in.
func sources(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir("../..", func(file string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && (entry.Name() == "testdata" || strings.HasPrefix(entry.Name(), ".") && len(entry.Name()) > 2) {
			return filepath.SkipDir
		}
		if strings.HasSuffix(file, ".go") && !strings.HasSuffix(file, "_test.go") {
			files[file] = path.Clean(strings.TrimPrefix(filepath.ToSlash(filepath.Dir(file)), "../../"))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 20 {
		t.Fatalf("found only %d source files", len(files))
	}
	return files
}
