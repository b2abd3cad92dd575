package store_test

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	_ "github.com/jackc/pgx/v5/stdlib"
	_ "modernc.org/sqlite" // to look at the tables as another program would

	"tracewright/migrations"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

func TestMigrationsHaveTheSameNumbersAndNames(t *testing.T) {
	names := func(folder string) []string {
		entries, err := fs.ReadDir(migrations.Files, folder)
		if err != nil {
			t.Fatal(err)
		}
		var list []string
		for _, e := range entries {
			list = append(list, e.Name())
		}
		return list
	}
	lite, pg := names("sqlite"), names("postgres")
	if len(lite) == 0 || !slices.Equal(lite, pg) {
		t.Errorf("sqlite has %v, postgres has %v", lite, pg)
	}
}

// columns lists "table.column", goose's own table left out, by whether a value
// must be there.
func columns(t *testing.T, dsn string) map[string]bool {
	t.Helper()
	if path, ok := strings.CutPrefix(dsn, "sqlite:"); ok {
		return sqliteColumns(t, path)
	}
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	rows, err := conn.Query(t.Context(), "SELECT table_name || '.' || column_name, is_nullable = 'NO' FROM information_schema.columns WHERE table_schema = 'public'")
	if err != nil {
		t.Fatal(err)
	}
	list := map[string]bool{}
	for rows.Next() {
		var name string
		var needed bool
		if err := rows.Scan(&name, &needed); err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(name, "goose_") {
			list[name] = needed
		}
	}
	return list
}

func sqliteColumns(t *testing.T, path string) map[string]bool {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	rows, err := db.Query(`SELECT m.name || '.' || c.name, c."notnull" OR c.pk > 0 FROM sqlite_master AS m, pragma_table_info(m.name) AS c WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite_%' AND m.name NOT LIKE 'goose_%'`)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	list := map[string]bool{}
	for rows.Next() {
		var name string
		var needed bool
		if err := rows.Scan(&name, &needed); err != nil {
			t.Fatal(err)
		}
		list[name] = needed
	}
	return list
}

func TestBothDatabasesHaveTheSameTables(t *testing.T) {
	seen := map[string]map[string]bool{}
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		kind, _, _ := strings.Cut(dsn, ":")
		seen[kind] = columns(t, dsn)
	})
	if len(seen) < 2 {
		t.Skip("left out: PostgreSQL is not there to compare with")
	}
	var lists []map[string]bool
	for _, list := range seen {
		if len(list) < 100 {
			t.Fatalf("only %d columns were found", len(list))
		}
		lists = append(lists, list)
	}
	for i, list := range lists {
		for name, needed := range list {
			other, there := lists[1-i][name]
			if !there {
				t.Errorf("%s is in one database only", name)
			} else if other != needed {
				t.Errorf("%s may be empty in one database only", name)
			}
		}
	}
}

// indexes lists the indexes that the migrations name, without those that a constraint
// makes.
func indexes(t *testing.T, dsn string) []string {
	t.Helper()
	driver, source, ask := "pgx", dsn, "SELECT indexname FROM pg_indexes WHERE schemaname = 'public' AND indexname NOT IN (SELECT conname FROM pg_constraint) AND tablename NOT LIKE 'goose%' ORDER BY 1"
	if path, ok := strings.CutPrefix(dsn, "sqlite:"); ok {
		driver, source, ask = "sqlite", path, "SELECT name FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL AND tbl_name NOT LIKE 'goose%' ORDER BY 1"
	}
	db, err := sql.Open(driver, source)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	rows, err := db.Query(ask)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var list []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		list = append(list, name)
	}
	return list
}

// A table that is made anew loses its indexes, and nothing but time tells of it.
func TestBothDatabasesHaveTheSameIndexes(t *testing.T) {
	var lists [][]string
	storetest.EachDSN(t, func(t *testing.T, dsn string) { lists = append(lists, indexes(t, dsn)) })
	if len(lists) < 2 {
		t.Skip("left out: PostgreSQL is not there to compare with")
	}
	if len(lists[0]) < 50 {
		t.Fatalf("only %d indexes were found", len(lists[0]))
	}
	for i, list := range lists {
		for _, name := range list {
			if !slices.Contains(lists[1-i], name) {
				t.Errorf("index %s is in %s only", name, []string{"SQLite", "PostgreSQL"}[i])
			}
		}
	}
}

func TestMigratingTwiceAppliesNothing(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		applied, err := s.Migrate(t.Context())
		if err != nil || len(applied) != 0 {
			t.Errorf("applied %v, %v", applied, err)
		}
		steps, err := s.MigrationStatus(t.Context())
		if err != nil || len(steps) == 0 {
			t.Fatalf("%d steps, %v", len(steps), err)
		}
		for _, step := range steps {
			if !step.Applied {
				t.Errorf("%s is not applied", step.Name)
			}
		}
	})
}

// exec runs a statement as another program would, past our own checks.
func exec(t *testing.T, dsn, statement string) error {
	t.Helper()
	if path, ok := strings.CutPrefix(dsn, "sqlite:"); ok {
		db, err := sql.Open("sqlite", "file:"+path+"?_pragma=foreign_keys(1)")
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		_, err = db.Exec(statement)
		return err
	}
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	_, err = conn.Exec(t.Context(), statement)
	return err
}

func TestAnOlderProgramRefusesANewerDatabase(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		if err := exec(t, dsn, "INSERT INTO goose_db_version (version_id, is_applied) VALUES (999999, true)"); err != nil {
			t.Fatal(err)
		}
		s := storetest.Open(t, dsn)
		if _, err := s.Migrate(t.Context()); !errors.Is(err, store.ErrNewerDatabase) {
			t.Errorf("got %v, want %v", err, store.ErrNewerDatabase)
		}
	})
}

// The database is the last line: what Go checks first, it checks again.
func TestTheDatabaseRefuses(t *testing.T) {
	const id = "'01900000-0000-7000-8000-000000000001'"
	cases := []struct{ name, statement string }{
		{"a role nobody has", "INSERT INTO people (id, name, role, password_hash, pin_hash, active, created_at) VALUES (" + id + ", 'x', 'king', '', '', true, '2031-01-01 00:00:00+00:00')"},
		{"a person without a name", "INSERT INTO people (id, name, role, password_hash, pin_hash, active, created_at) VALUES (" + id + ", '', 'owner', '', '', true, '2031-01-01 00:00:00+00:00')"},
		{"a product of no family", "INSERT INTO products (id, family_id, name, revision, created_at, created_by) VALUES (" + id + ", " + id + ", 'x', 1, '2031-01-01 00:00:00+00:00', 'x')"},
		{"a kind of item that is none", "INSERT INTO families (id, kind, name, created_at, created_by) VALUES (" + id + ", 'boat', 'x', '2031-01-01 00:00:00+00:00', 'x')"},
		{"a hold on nothing", "INSERT INTO holds (id, code, reason, state_before, raised_by, raised_at) VALUES (" + id + ", 'W01', 'x', '', " + id + ", '2031-01-01 00:00:00+00:00')"},
		{"an item without a name", "INSERT INTO items (id, kind, supplier, model, state, origin, created_at, created_by) VALUES (" + id + ", 'wheel', '', '', 'in_process', 'made', '2031-01-01 00:00:00+00:00', 'x')"},
		{"a result of no inspection", "INSERT INTO results (inspection_id, code, position, value, unit, low, high, accept_low, accept_high, u, verdict, reason, method, readings) VALUES (" + id + ", 'x', '', '1', '', '', '', '', '', '', 'pass', '', '', 1)"},
		{"half a seal", "INSERT INTO trail_entries (id, at, actor, kind, subject, encoding, digest, note, seq) VALUES (" + id + ", '2031-01-01 00:00:00+00:00', 'x', 'x', 'x', 1, '" + strings.Repeat("0", 64) + "', '', 1)"},
	}
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		for _, c := range cases {
			t.Run(c.name, func(t *testing.T) {
				err := exec(t, dsn, c.statement)
				if err == nil {
					t.Fatal("it was taken")
				}
				if text := strings.ToLower(err.Error()); !strings.Contains(text, "constraint") {
					t.Errorf("refused for another reason: %v", err)
				}
			})
		}
	})
}
