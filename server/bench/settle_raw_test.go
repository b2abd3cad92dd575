package bench

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"tracewright/models/store/storetest"
)

// What the comparison wrote is gone before a steady pace is measured, whether or not
// the role may order a checkpoint.
func TestTheRawTablesAreCleared(t *testing.T) {
	const during = 100 * time.Millisecond
	d := Database{DSN: storetest.NeedPostgres(t)}
	if err := d.MakeRaw(t.Context()); err != nil {
		t.Fatal(err)
	}
	conn, err := pgx.Connect(context.Background(), d.DSN)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	do := func(statement string) {
		t.Helper()
		if _, err := conn.Exec(context.Background(), statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
	do("CREATE ROLE bench_plain")
	defer do("DROP OWNED BY bench_plain; DROP ROLE bench_plain")
	do("GRANT USAGE ON SCHEMA public TO bench_plain; GRANT TRUNCATE ON bench_inspections, bench_readings TO bench_plain")
	for _, role := range []string{"", " options='-c role=bench_plain'"} {
		if _, err := d.RawPostgres(t.Context(), "", during); err != nil {
			t.Fatal(err)
		}
		left := func() (n int) {
			if err := conn.QueryRow(t.Context(), "SELECT (SELECT count(*) FROM bench_inspections) + (SELECT count(*) FROM bench_readings)").Scan(&n); err != nil {
				t.Fatal(err)
			}
			return n
		}
		if left() == 0 {
			t.Fatal("the comparison wrote nothing")
		}
		if err := (Database{DSN: d.DSN + role}).settleRaw(t.Context()); err != nil || left() != 0 {
			t.Errorf("with the role %q: %v, %d rows left", role, err, left())
		}
	}
	do("REVOKE TRUNCATE ON bench_readings FROM bench_plain")
	if err := (Database{DSN: d.DSN + " options='-c role=bench_plain'"}).settleRaw(t.Context()); err == nil {
		t.Error("tables that could not be emptied are told to be cleared")
	}
}

func TestTheRawFileIsRemoved(t *testing.T) {
	d, err := NewSQLite(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := RawSQLite(t.Context(), d.Folder, 50*time.Millisecond); err != nil {
		t.Fatal(err)
	}
	files := func() []string {
		found, err := filepath.Glob(filepath.Join(d.Folder, rawFile+"*"))
		if err != nil {
			t.Fatal(err)
		}
		return found
	}
	if len(files()) == 0 {
		t.Fatal("the comparison wrote nothing")
	}
	for range 2 { // nothing to remove is no error
		if err := d.settleRaw(t.Context()); err != nil || len(files()) != 0 {
			t.Errorf("%v, left are %q", err, files())
		}
	}
	if err := os.Mkdir(filepath.Join(d.Folder, rawFile), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(d.Folder, rawFile, "in the way"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := d.settleRaw(t.Context()); err == nil {
		t.Error("what could not be removed is told to be cleared")
	}
}
