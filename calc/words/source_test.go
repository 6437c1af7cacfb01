package words_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// root is the module from here.
const root = "../.."

// table is a function whose literals are texts of the program: which elements of its composite literals, by place or by name, are said on paper.
type table struct {
	pkg, function string
	places        []int
	names         []string
}

// advice is the function whose returned literals are said as well: what to do about the geometry of a photo.
const advice = "Advice"

// tables are the program's own tables that are said in a language without standing in a call of words.Say themselves.
func tables() []table {
	return []table{
		{"calc", "fixtureSorts", []int{1, 2, 3}, nil},
		{"calc", "framedFixings", nil, []string{"Bit", "Fastener", "IntoWall", "UpIntoWood", "Protection", "Silica", "Sealing", "Lead", "Source"}},
		{"calc", "masonryFixings", nil, []string{"Bit", "Fastener", "IntoWall", "UpIntoWood", "Protection", "Silica", "Sealing", "Lead", "Source"}},
		{"calc", "coatedFixings", nil, []string{"Bit", "Fastener", "IntoWall", "UpIntoWood", "Protection", "Silica", "Sealing", "Lead", "Source"}},
		{"calc", "accessRules", []int{1}, nil}, {"calc", "dustRules", []int{1}, nil}, {"calc", "serviceRules", []int{1}, nil},
		{"calc", "heatRules", []int{1}, nil}, {"calc", "frameRules", []int{1}, nil}, {"calc", "waterRules", []int{1}, nil},
		{"survey", "leftQuestions", []int{1}, nil}, {"survey/report", "blockingTexts", []int{0, 1}, nil}, {"survey/report", "frameTexts", []int{0, 1}, nil}, {"survey/report", "layoutTexts", []int{0, 1}, nil},
	}
}

// sourceTexts reads every text that the program says from its source: the literals of words.Say and words.In, of the report's voice (say, in,
// count), and the tables. Each text with the places where it stands.
func sourceTexts(t *testing.T) map[string][]string {
	t.Helper()
	texts := map[string][]string{}
	for dir, files := range packages(t) {
		consts := constants(files)
		add := func(fset *token.FileSet, e ast.Expr) {
			if text, ok := folded(e, consts); ok && text != "" {
				at := fset.Position(e.Pos())
				texts[text] = append(texts[text], filepath.Join(dir, filepath.Base(at.Filename))+":"+strconv.Itoa(at.Line))
			}
		}
		for _, f := range files {
			ast.Inspect(f.tree, func(n ast.Node) bool {
				if call, ok := n.(*ast.CallExpr); ok {
					for _, i := range said(dir, call) {
						if i < len(call.Args) {
							add(f.set, call.Args[i])
						}
					}
				}
				return true
			})
			for _, d := range f.tree.Decls {
				fn, ok := d.(*ast.FuncDecl)
				if !ok {
					continue
				}
				if fn.Name.Name == advice && dir == "annotate/plane" {
					ast.Inspect(fn, func(n ast.Node) bool {
						if back, ok := n.(*ast.ReturnStmt); ok {
							add(f.set, back.Results[0])
						}
						return true
					})
				}
				for _, tab := range tables() {
					if tab.pkg == dir && tab.function == fn.Name.Name {
						tab.read(fn, func(e ast.Expr) { add(f.set, e) })
					}
				}
			}
		}
	}
	return texts
}

// said are the places of a call's arguments that are texts of the catalogue.
func said(dir string, call *ast.CallExpr) []int {
	sel, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		if id, ok := call.Fun.(*ast.Ident); ok && dir == "calc" && (id.Name == "always" || id.Name == "onCondition") {
			return []int{1}
		}
		return nil
	}
	if id, ok := sel.X.(*ast.Ident); ok && (id.Name == "words" || id.Name == "catalogue") {
		switch sel.Sel.Name {
		case "Say":
			return []int{0}
		case "In":
			return []int{1}
		}
	}
	if dir != "survey/report" {
		return nil
	}
	switch sel.Sel.Name {
	case "say", "in":
		return []int{0}
	case "count":
		return []int{1, 2}
	}
	return nil
}

// read calls a function for every element of a table that is said.
func (tab table) read(fn *ast.FuncDecl, add func(ast.Expr)) {
	ast.Inspect(fn, func(n ast.Node) bool {
		lit, ok := n.(*ast.CompositeLit)
		if !ok {
			return true
		}
		for i, e := range lit.Elts {
			if kv, keyed := e.(*ast.KeyValueExpr); keyed {
				if name, ok := kv.Key.(*ast.Ident); ok && slices.Contains(tab.names, name.Name) {
					add(kv.Value)
				}
				continue
			}
			if slices.Contains(tab.places, i) {
				add(e)
			}
		}
		return true
	})
}

type sourceFile struct {
	set  *token.FileSet
	tree *ast.File
}

// packages parses every file of the module that is not a test, by folder.
func packages(t *testing.T) map[string][]sourceFile {
	t.Helper()
	out := map[string][]sourceFile{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "testdata" || len(d.Name()) > 2 && strings.HasPrefix(d.Name(), ".")):
			return filepath.SkipDir
		case d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		set := token.NewFileSet()
		tree, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		dir, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		out[filepath.ToSlash(dir)] = append(out[filepath.ToSlash(dir)], sourceFile{set, tree})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// constants are the string constants of a package, wherever they are declared in it.
func constants(files []sourceFile) map[string]string {
	out := map[string]string{}
	for again := true; again; {
		before := len(out)
		for _, f := range files {
			ast.Inspect(f.tree, func(n ast.Node) bool {
				decl, ok := n.(*ast.GenDecl)
				if !ok || decl.Tok != token.CONST {
					return true
				}
				for _, spec := range decl.Specs {
					v := spec.(*ast.ValueSpec)
					for i := range min(len(v.Names), len(v.Values)) {
						if text, ok := folded(v.Values[i], out); ok {
							out[v.Names[i].Name] = text
						}
					}
				}
				return true
			})
		}
		again = len(out) > before
	}
	return out
}

// folded is the value of a constant string expression.
func folded(e ast.Expr, consts map[string]string) (string, bool) {
	switch x := e.(type) {
	case *ast.BasicLit:
		if x.Kind == token.STRING {
			text, err := strconv.Unquote(x.Value)
			return text, err == nil
		}
	case *ast.Ident:
		text, ok := consts[x.Name]
		return text, ok
	case *ast.ParenExpr:
		return folded(x.X, consts)
	case *ast.BinaryExpr:
		a, okA := folded(x.X, consts)
		b, okB := folded(x.Y, consts)
		return a + b, okA && okB && x.Op == token.ADD
	}
	return "", false
}

// sorted are the keys of a map in order.
func sorted[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
