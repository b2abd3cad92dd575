package main

import (
	"bytes"
	"database/sql"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// withDatabase lists every command that opens a database, with what else it needs.
// A new one that takes --database has to be told of here.
var withDatabase = map[string][]string{
	"serve":               {"--listen", "127.0.0.1:0"},
	"import":              {"lots", "-"},
	"export certificates": {"--folder", "out"},
	"export list":         {"lots"},
	"export trail":        nil,
	"verify database":     nil,
	"migrate up":          nil,
	"migrate status":      nil,
	"rebuild":             nil,
	"backup":              nil,
	"restore":             nil, // It wants an empty place, and says so itself.
	"user add":            {"--name", "A", "--role", "desk"},
	"user list":           nil,
	"user password":       {"A"},
	"user pin":            {"A"},
	"user deactivate":     {"A"},
	"user second-factor":  {"A"},
	"keys list":           nil,
	"keys rotate":         nil,
	"keys enrol":          {"--alone"},
	"keys retire":         {"abc"},
	"doctor":              nil,
}

// beginsShops are the commands that may make a database.
var beginsShops = []string{"serve", "migrate up", "restore"}

func TestEveryCommandWithADatabaseIsListed(t *testing.T) {
	var line commands
	parser, err := kong.New(&line, kong.DefaultEnvars("TRACEWRIGHT"), kong.Writers(io.Discard, io.Discard))
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	for _, leaf := range parser.Model.Leaves(false) {
		for _, flags := range leaf.AllFlags(false) {
			for _, f := range flags {
				if f.Name == "database" {
					found = append(found, leaf.Path())
				}
			}
		}
	}
	for i, name := range found {
		name, _, _ = strings.Cut(strings.TrimPrefix(name, "tracewright "), " <")
		found[i] = strings.TrimSpace(name)
	}
	// It makes databases of its own, beside that one or where there is none.
	found = slices.DeleteFunc(found, func(name string) bool { return name == "bench" })
	for _, name := range found {
		if _, listed := withDatabase[name]; !listed {
			t.Errorf("%q opens a database, and no test says what it does with one that is not ours", name)
		}
	}
	if len(found) < len(withDatabase) {
		t.Errorf("%d commands open a database, %d are listed: %q", len(found), len(withDatabase), found)
	}
}

// What is not a shop's database is refused by every command, in words, and not a
// byte of it is changed; a slip in its name makes none.
func TestDatabasesThatAreNotOurs(t *testing.T) {
	place := t.TempDir()
	at := func(name string) string { return filepath.Join(place, name) }
	other, err := sql.Open("sqlite", at("other.db"))
	if err != nil {
		t.Fatal(err)
	}
	for _, statement := range []string{"CREATE TABLE albums (id INTEGER PRIMARY KEY, title TEXT)", "INSERT INTO albums (title) VALUES ('Rain')"} {
		if _, err := other.Exec(statement); err != nil {
			t.Fatal(err)
		}
	}
	if err := other.Close(); err != nil {
		t.Fatal(err)
	}
	for name, raw := range map[string]string{"letter.txt": "Dear customer,\nyour wheel is ready.\n", "cut.db": "SQLite form", "nothing.db": ""} {
		if err := os.WriteFile(at(name), []byte(raw), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(at("folder"), 0o700); err != nil {
		t.Fatal(err)
	}
	newer, _ := strings.CutPrefix(storetest.SQLite(t), "sqlite:")
	do(t, "sqlite:"+newer, "INSERT INTO goose_db_version (version_id, is_applied) VALUES (999999, true)")
	for _, c := range []struct {
		name, path, says string
		everybody        bool // also who may begin a shop refuses it
	}{
		{"another program's", at("other.db"), "holds tables of another program", true},
		{"a letter", at("letter.txt"), "does not begin like one", true},
		{"a file cut short", at("cut.db"), "does not begin like one", true},
		{"a folder", at("folder"), "leads to a folder", true},
		{"a newer one", newer, store.ErrNewerDatabase.Error(), true},
		{"nothing there", at("shpo.db"), "There is no database at", false},
		{"an empty file", at("nothing.db"), "is empty", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			before, _ := os.ReadFile(c.path)
			around := left(t, filepath.Dir(c.path))
			for name, more := range withDatabase {
				if name == "restore" || !c.everybody && slices.Contains(beginsShops, name) {
					continue
				}
				got := command(t, "", slices.Concat(strings.Fields(name), more, []string{"--database", "sqlite:" + c.path})...)
				says := c.says
				if name == "doctor" && c.path == newer {
					says = "of a newer version of this program"
				}
				if got.status == 0 || !strings.Contains(got.out+got.err, says) || strings.Contains(got.err, "panic") {
					t.Errorf("%s: %+v, want %q", name, got, says)
				}
			}
			if after, _ := os.ReadFile(c.path); !bytes.Equal(before, after) && c.path != newer {
				t.Errorf("it was changed: %d bytes were %d", len(after), len(before))
			}
			if now := left(t, filepath.Dir(c.path)); !slices.Equal(now, around) {
				t.Errorf("beside it lie now %v, before it were %v", now, around)
			}
		})
	}
}

// On PostgreSQL another program's tables are refused too; those of an extension
// are nobody's.
func TestPostgresThatIsNotOurs(t *testing.T) {
	dsn := storetest.EmptyPostgres(t)
	do(t, dsn, "CREATE TABLE albums (id integer)")
	for name, more := range withDatabase {
		if name == "restore" {
			continue
		}
		args := slices.Concat(strings.Fields(name), more, []string{"--database", dsn})
		if slices.Contains([]string{"serve", "backup", "doctor", "keys list", "keys rotate", "keys enrol", "keys retire", "migrate up"}, name) {
			args = append(args, "--keys", t.TempDir())
		}
		if name == "verify database" {
			args = append(args, "--keys", t.TempDir())
		}
		if got := command(t, "", args...); got.status == 0 || !strings.Contains(got.out+got.err, "holds tables of another program") {
			t.Errorf("%s: %+v", name, got)
		}
	}
	do(t, dsn, "DROP TABLE albums")
	says(t, "looking at an empty one", command(t, "", "migrate", "status", "--database", dsn), 2, "", "is empty")
	if empty, err := storetest.Open(t, dsn).Empty(t.Context()); err != nil || !empty {
		t.Errorf("looking left it empty: %t, %v", empty, err)
	}
	says(t, "emptied, it takes a shop", command(t, "", "migrate", "up", "--database", dsn, "--keys", t.TempDir()), 0, "applied", "")
}
