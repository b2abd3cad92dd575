package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// A SQLite file may have any name that a file may have, also one whose signs
// mean something in an address: every command opens that file, and what lies
// beside it has its name.
func TestAFileOfAnyName(t *testing.T) {
	for _, name := range []string{"shop.db", "sh op.db", "what?.db", "a?mode=ro&x=1.db", "nr#2.db", "100%.db", "100%41.db", "plus+minus.db", "no ending?", "über.db"} {
		for how, at := range map[string]func(folder, name string) string{
			"whole":    func(folder, name string) string { return filepath.Join(folder, name) },
			"relative": func(_, name string) string { return ".." + string(filepath.Separator) + name },
		} {
			t.Run(how+" "+name, func(t *testing.T) {
				folder := filepath.Join(t.TempDir(), "50% of #1?")
				if err := os.MkdirAll(filepath.Join(folder, "below"), 0o700); err != nil {
					t.Fatal(err)
				}
				t.Chdir(filepath.Join(folder, "below"))
				database := "sqlite:" + at(folder, name)
				says(t, "status before there is one", command(t, "", "migrate", "status", "--database", database), 2, "", "There is no database at")
				says(t, "migrate", command(t, "", "migrate", "up", "--database", database), 0, "applied", "")
				says(t, "status", command(t, "", "migrate", "status", "--database", database), 0, "applied", "")
				says(t, "user add", command(t, "", "user", "add", "--database", database, "--name", "Ilse Grauer", "--role", "operator"), 0, "Ilse Grauer", "")
				_, stop := startServe(t, serveCommand{databaseFlag: databaseFlag{Database: database}}, "Tracewright answers at http://")
				if err := stop(); err != nil {
					t.Fatal(err)
				}
				says(t, "user list", command(t, "", "user", "list", "--database", database), 0, "Ilse Grauer", "")
				says(t, "keys", command(t, "", "keys", "list", "--database", database), 0, "here", "")
				says(t, "verify", command(t, "", "verify", "database", "--database", database), 0, "Sound.", "")
				says(t, "export", command(t, "", "export", "trail", "--database", database), 0, `{"trail":1}`, "")

				var there []string
				entries, err := os.ReadDir(folder)
				if err != nil {
					t.Fatal(err)
				}
				for _, e := range entries {
					there = append(there, e.Name())
				}
				want := []string{"below", name, strings.TrimSuffix(name, filepath.Ext(name)) + ".keys"}
				slices.Sort(want)
				if below, err := os.ReadDir("."); !slices.Equal(there, want) || err != nil || len(below) != 0 {
					t.Errorf("the folder holds %q, want %q; below it %d, %v", there, want, len(below), err)
				}
			})
		}
	}
}

// So may the folder of an invented shop.
func TestADemoInAFolderOfAnyName(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "50% of #1? and more")
	for _, fresh := range []bool{true, false} {
		run := startDemo(t, demoCommand{Folder: folder, Fresh: fresh})
		if err := run.stop(); err != nil {
			t.Fatal(err)
		}
	}
	says(t, "users", command(t, "", "user", "list", "--database", "sqlite:"+filepath.Join(folder, demoDatabase)), 0, "owner", "")
}
