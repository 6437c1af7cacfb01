package words_test

import (
	"go/ast"
	"slices"
	"testing"

	"undercroft/survey"
)

// ruleNames are the names of all rules that a caution or an issue may name, as the report says them: those of the calculator's tables and of the report's,
// those of fixtures and of what is looked at before it is covered.
func ruleNames(t *testing.T) []string {
	t.Helper()
	var names []string
	all := packages(t)
	for dir, functions := range map[string][]string{"calc": {"accessRules", "dustRules", "serviceRules", "heatRules", "frameRules", "waterRules"}, "survey/report": {"blockingTexts", "frameTexts", "layoutTexts"}} {
		add := func(e ast.Expr) {
			if text, ok := folded(e, constants(all[dir])); ok {
				names = append(names, "rule "+text)
			}
		}
		for _, f := range all[dir] {
			for _, d := range f.tree.Decls {
				fn, ok := d.(*ast.FuncDecl)
				if !ok || !slices.Contains(functions, fn.Name.Name) {
					continue
				}
				ast.Inspect(fn, func(n ast.Node) bool {
					switch x := n.(type) {
					case *ast.CallExpr:
						if id, ok := x.Fun.(*ast.Ident); ok && (id.Name == "always" || id.Name == "onCondition") {
							add(x.Args[0])
						}
					case *ast.CompositeLit:
						for i, e := range x.Elts {
							kv, keyed := e.(*ast.KeyValueExpr)
							if keyed {
								add(kv.Key)
							} else if i == 0 && dir == "calc" {
								add(e)
							}
						}
					}
					return true
				})
			}
		}
	}
	for _, q := range survey.CoverQuestions() {
		names = append(names, "rule "+q.Caution.Rule)
	}
	for _, f := range survey.PinFields(survey.Record{}, survey.PinFixture) {
		if f.Key == "sort" {
			for _, o := range f.Options {
				names = append(names, "rule fixture-"+o.Value)
			}
		}
	}
	return names
}
