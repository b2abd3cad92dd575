package store_test

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	command "os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tracewright/models/store"
)

// againstClient holds the median time of a look-up against the time of the same
// statements in the database's own client: psql, and for SQLite,
// which is part of the program, its driver alone. SQLite's shell is another version
// and compiled C; its time is told beside.
func againstClient(t *testing.T, s sized, l lookUp) {
	t.Helper()
	statements := must(s.StatementsOf(func(s *store.Store) error { return second(l.ask(t.Context(), s)) }))
	ours := func() { must(l.ask(t.Context(), s.Store)) }
	var here, own time.Duration
	told := ""
	if path, is := strings.CutPrefix(s.dsn, "sqlite:"); is {
		db := must(sql.Open("sqlite", path+"?_pragma=query_only(1)"))
		defer db.Close()
		here, own = mediansOf(ours, func() {
			for _, x := range statements {
				if err := readAll(t.Context(), db, x); err != nil {
					t.Fatal(err)
				}
			}
		})
		told = fmt.Sprintf(", shell %v", inClient(t, s.dsn, statements))
	} else {
		here, _ = mediansOf(ours, func() {})
		own = inClient(t, s.dsn, statements)
	}
	ratio := float64(here) / float64(own)
	t.Logf("%-32s %10v, client %10v, ratio %.2f%s", l.name, here, own, ratio, told)
	if ratio > 2 {
		t.Errorf("%s: %.2f times the client's own %v, at most 2", l.name, ratio, own)
	}
	for _, x := range statements {
		t.Logf("%.400s\n%s", x, planOf(t, s.dsn, x))
	}
}

// readAll runs a statement and takes every value of every row.
func readAll(ctx context.Context, db *sql.DB, statement string) error {
	rows, err := db.QueryContext(ctx, statement)
	if err != nil {
		return err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	values := make([]any, len(columns))
	for i := range values {
		values[i] = new(any)
	}
	for rows.Next() {
		if err := rows.Scan(values...); err != nil {
			return err
		}
	}
	return rows.Err()
}

// inClient is the mean time of statements in a client program, without its start:
// repeated for about a second.
func inClient(t *testing.T, dsn string, statements []string) time.Duration {
	t.Helper()
	text := strings.Join(statements, ";\n") + ";\n"
	run := func(times int) time.Duration {
		began := time.Now()
		client(t, dsn, strings.Repeat(text, times), os.DevNull)
		return time.Since(began)
	}
	start := min(run(0), run(0), run(0))
	times := int(min(max(time.Second/max(run(10)-start, time.Millisecond)*10, 10), 3000))
	return (run(times) - start) / time.Duration(times)
}

// planOf is how the database goes about a statement, in its own words.
func planOf(t *testing.T, dsn, statement string) string {
	t.Helper()
	plan := filepath.Join(t.TempDir(), "plan.txt")
	explain := "EXPLAIN "
	if strings.HasPrefix(dsn, "sqlite:") {
		explain = "EXPLAIN QUERY PLAN "
	}
	client(t, dsn, explain+statement+";\n", plan)
	return string(must(os.ReadFile(plan)))
}

// client runs a script in the client program of a database.
func client(t *testing.T, dsn, script, output string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "script.sql")
	if err := os.WriteFile(file, []byte(script), 0o600); err != nil {
		t.Fatal(err)
	}
	program := command.Command("psql", "-X", "-q", "-o", output, "-v", "ON_ERROR_STOP=1", "-d", dsn, "-f", file)
	if path, is := strings.CutPrefix(dsn, "sqlite:"); is {
		program = command.Command("sqlite3", "-readonly", path, ".output "+output, ".read "+file)
	}
	if out, err := program.CombinedOutput(); err != nil {
		t.Fatalf("the client: %v\n%s", err, out)
	}
}
