package report

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// ruleNames are the rules of the calculator's findings, as its document names them.
func ruleNames() []string {
	return strings.Fields(`low-wall carrier-blocked fixture-on-carrier panel-blocked piece-too-long surface-unknown
		plane-residual zone-short zone-narrow end-rule-relaxed carrier-may-be-blocked long-notch row-blocked no-strip sliver furring-screw
		dropped-framing ponding row-unsupported notch-on-row engagement water-depth screw-overload headroom opening-covered
		obstruction-outside gutter-headroom`)
}

func TestEveryRuleHasItsText(t *testing.T) {
	for _, rule := range append(ruleNames(), rulesInCode(t)...) {
		text, ok := textOf(rule)
		if !ok {
			t.Errorf("rule %s has no text", rule)
			continue
		}
		if !strings.HasSuffix(text.Head, ".") || !strings.HasSuffix(text.Do, ".") {
			t.Errorf("rule %s: %q and %q are not whole sentences", rule, text.Head, text.Do)
		}
	}
}

func TestUnknownRuleHasNoText(t *testing.T) {
	if text, ok := textOf("no-such-rule"); ok || text != (ruleText{}) {
		t.Errorf("got %v, %v for a rule that is none", text, ok)
	}
}

// rulesInCode reads the calculator's source: the first argument of its calls of warn and block, and every Issue's Rule.
func rulesInCode(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("../../calc/*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no source of the calculator: %v", err)
	}
	var rules []string
	add := func(e ast.Expr) {
		if lit, ok := e.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			if text, err := strconv.Unquote(lit.Value); err == nil {
				rules = append(rules, text)
			}
		}
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				if sel, ok := n.Fun.(*ast.SelectorExpr); ok && (sel.Sel.Name == "warn" || sel.Sel.Name == "block") && len(n.Args) > 0 {
					add(n.Args[0])
				}
			case *ast.CompositeLit:
				if id, ok := n.Type.(*ast.Ident); ok && id.Name == "Issue" {
					for _, el := range n.Elts {
						if kv, ok := el.(*ast.KeyValueExpr); ok && kv.Key.(*ast.Ident).Name == "Rule" {
							add(kv.Value)
						}
					}
				}
			}
			return true
		})
	}
	if len(rules) < 20 {
		t.Fatalf("found only %d rules in the calculator's source: %v", len(rules), rules)
	}
	return rules
}
