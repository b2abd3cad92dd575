package app

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"tracewright/models/store"
	"tracewright/models/trade/kinds"
	"tracewright/models/trail"
	"tracewright/models/words"
)

// codeAt says which argument of a call is a code that needs words.
var codeAt = map[string]int{"Add": 1, "Invalid": 1, "NewRemark": 0, "unusable": 1, "block": 0, "count": -1, "wrong": 2}

// Every code that a service gives a problem, a remark or a refusal has words:
// the codes are read from the source, so that a new one cannot be forgotten.
func TestEveryCodeHasWords(t *testing.T) {
	english := words.In("en")
	seen := 0
	for _, folder := range []string{"../../models/work", "../../models/trade/kinds", "../../server/httpx", "../../server/api", "../../server/web"} {
		err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
			if err != nil {
				return err
			}
			ast.Inspect(file, func(n ast.Node) bool {
				call, ok := n.(*ast.CallExpr)
				if !ok {
					return true
				}
				code, ok := codeOf(call)
				if !ok {
					return true
				}
				seen++
				if !english.Has(code) {
					t.Errorf("%s: the code %q has no words", path, code)
				}
				return true
			})
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if seen < 100 {
		t.Errorf("only %d codes were found in the source; the reading of it is broken", seen)
	}
}

// codeOf is the literal code of a call such as invalid.Add(field, "code", ...).
func codeOf(call *ast.CallExpr) (string, bool) {
	name := ""
	switch f := call.Fun.(type) {
	case *ast.Ident:
		name = f.Name
	case *ast.SelectorExpr:
		name = f.Sel.Name
		if x, ok := f.X.(*ast.Ident); ok && name == "Add" && !strings.Contains(strings.ToLower(x.Name), "invalid") && !strings.Contains(strings.ToLower(x.Name), "problem") {
			return "", false
		}
	}
	at, known := codeAt[name]
	if !known || at < 0 || at >= len(call.Args) {
		return "", false
	}
	literal, ok := call.Args[at].(*ast.BasicLit)
	if !ok || literal.Kind != token.STRING {
		return "", false
	}
	code, err := strconv.Unquote(literal.Value)
	return code, err == nil && code != ""
}

// Every characteristic and result of every kind has a name.
func TestEveryCharacteristicAndResultHasAName(t *testing.T) {
	english := words.In("en")
	for _, k := range kinds.Catalogue() {
		list, err := k.Example()
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range list {
			if !english.Has("characteristic." + c.Code) {
				t.Errorf("%s: characteristic %s has no name", k.Name, c.Code)
			}
			for _, l := range c.Results {
				if !english.Has("result." + l.Result) {
					t.Errorf("%s: result %s has no name", k.Name, l.Result)
				}
			}
		}
	}
}

// Every kind of record that leaves entries in the log of changes has words.
func TestEveryChangeHasWords(t *testing.T) {
	english := words.In("en")
	list := append((&store.Store{}).ChangeKinds(), trail.KindGenesis, trail.KindKeyEnrolled, trail.KindKeyRetired)
	for _, kind := range list {
		if text := english.Change(kind); strings.HasPrefix(text, "[") {
			t.Errorf("%s has no words in models/words/en_changes.go", kind)
		}
	}
	if len(list) < 60 {
		t.Errorf("%d kinds, want them all", len(list))
	}
}
