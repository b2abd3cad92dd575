package app

import (
	"go/ast"
	"testing"
)

// A file is written to the disk by a handle that may write: Windows refuses it by one
// that was opened to read, and no other system says so. A folder is asked by
// SyncFolder, which minds no refusal.
func TestWhatIsSyncedMayBeWritten(t *testing.T) {
	for _, s := range sources(t) {
		if s.test {
			continue
		}
		for _, d := range s.parsed.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || f.Name.Name == "SyncFolder" {
				continue
			}
			reads := map[string]bool{}
			ast.Inspect(f, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.AssignStmt:
					if to, ok := n.Lhs[0].(*ast.Ident); ok {
						reads[to.Name] = called(n.Rhs[0]) == "os.Open"
					}
				case *ast.CallExpr:
					if of, ok := n.Fun.(*ast.SelectorExpr); ok && of.Sel.Name == "Sync" {
						if x, ok := of.X.(*ast.Ident); ok && reads[x.Name] {
							t.Errorf("%s/%s: %s syncs a file that was opened to be read", s.pkg, s.name, f.Name.Name)
						}
					}
				}
				return true
			})
		}
	}
}

// What is written beside its name, synced and then named is kept only when the folder
// is: a power cut would take back the name of a key that the log tells of already.
func TestWhatIsNamedIsKept(t *testing.T) {
	seen := 0
	for _, s := range sources(t) {
		if s.test {
			continue
		}
		for _, d := range s.parsed.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok {
				continue
			}
			calls := map[string]bool{}
			ast.Inspect(f, func(n ast.Node) bool {
				if call, ok := n.(*ast.CallExpr); ok {
					calls[called(call)] = true
					switch of := call.Fun.(type) {
					case *ast.SelectorExpr:
						calls[of.Sel.Name] = true
					case *ast.Ident:
						calls[of.Name] = true
					}
				}
				return true
			})
			if !calls["Sync"] || !calls["os.Rename"] && !calls["named"] {
				continue
			}
			if seen++; !calls["SyncFolder"] {
				t.Errorf("%s/%s: %s syncs a file, names it, and leaves its folder", s.pkg, s.name, f.Name.Name)
			}
		}
	}
	if seen < 2 {
		t.Errorf("only %d functions sync a file and name it; files.Write and backups.Place do", seen)
	}
}

// called is what a call is of: "os.Open".
func called(e ast.Expr) string {
	call, ok := e.(*ast.CallExpr)
	if !ok {
		return ""
	}
	of, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		return ""
	}
	if x, ok := of.X.(*ast.Ident); ok {
		return x.Name + "." + of.Sel.Name
	}
	return ""
}
