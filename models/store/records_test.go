package store_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// entered reads from the source which kinds of records leave entries: the first
// thing that each TrailName returns.
func entered(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("../*.go")
	if err != nil {
		t.Fatal(err)
	}
	var kinds []string
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range parsed.Decls {
			f, isFunc := d.(*ast.FuncDecl)
			if !isFunc || f.Name.Name != "TrailName" {
				continue
			}
			ast.Inspect(f.Body, func(n ast.Node) bool {
				if r, ok := n.(*ast.ReturnStmt); ok {
					if kind, ok := r.Results[0].(*ast.BasicLit); ok {
						text, err := strconv.Unquote(kind.Value)
						if err != nil {
							t.Fatal(err)
						}
						kinds = append(kinds, text)
					}
				}
				return true
			})
		}
	}
	slices.Sort(kinds)
	return slices.Compact(kinds)
}

// Every kind of record that leaves entries stands in the table that a database is
// verified by, and its rows are found by what entries call them, on both
// databases: a kind that nobody looks for could be changed unseen.
func TestEveryKindOfRecordIsVerified(t *testing.T) {
	want := entered(t)
	if len(want) < 50 {
		t.Fatalf("only %d kinds were found in the source; the reading of it is broken", len(want))
	}
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		err := s.Freeze(t.Context(), func(frozen *store.Frozen) error {
			var got []string
			for _, k := range frozen.Kinds() {
				got = append(got, k.Name)
				if _, err := frozen.Records(k.Name, []string{"01953a6b-7c00-7000-8000-00000000abcd", "no key"}); err != nil {
					t.Errorf("%s: %v", k.Name, err)
				}
				if _, err := frozen.Unentered(k.Name, 1); err != nil {
					t.Errorf("%s: %v", k.Name, err)
				}
			}
			slices.Sort(got)
			if !slices.Equal(got, want) {
				t.Errorf("the table holds\n%q, records have\n%q", got, want)
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
	})
}
