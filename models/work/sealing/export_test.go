package sealing_test

import (
	"bytes"
	"database/sql"
	"strings"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // to change the tables as somebody with a database client would

	"tracewright/models/store/storetest"
	"tracewright/models/trail"
	"tracewright/models/work/sealing"
)

// tamper runs statements as somebody with a database client would.
func tamper(t *testing.T, dsn string, statements ...string) {
	t.Helper()
	driver, source := "pgx", dsn
	if path, isFile := strings.CutPrefix(dsn, "sqlite:"); isFile {
		driver, source = "sqlite", path
	}
	db, err := sql.Open(driver, source)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, statement := range statements {
		if _, err := db.ExecContext(t.Context(), statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
}

// A file of a log that was cut short says so by itself, as long as anything in
// the database still tells of what is gone: its own checkpoints, or the head that
// the sealer goes on from.
func TestExportOfAShortenedLog(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		ctx, c, own := t.Context(), &clock{at: moment}, newRing(1)
		s := storetest.Open(t, dsn)
		seals := service(s, own, c)
		if err := seals.Begin(ctx); err != nil {
			t.Fatal(err)
		}
		week := func(n int) {
			c.set(moment.AddDate(0, 0, 7*n))
			for i := range 5 {
				change(t, s, c.now(), strings.Repeat("x", i+1))
			}
			must[any](t)(seals.Seal(ctx))
		}
		for n := range 3 {
			week(n)
		}
		const all, kept = adopted + 1 + 15, adopted + 1 + 10
		read := func(from, to time.Time) trail.FileReport {
			t.Helper()
			var file bytes.Buffer
			if err := sealing.New(s, sealing.Options{}).Export(ctx, from, to, &file); err != nil {
				t.Fatal(err)
			}
			first := publicOf(own.keys[0])
			return must[trail.FileReport](t)(trail.VerifyFile(&file, trail.NewVerifier(trail.Keys{trail.KeyID(first): first})))
		}
		whole := func(name string, r trail.FileReport, entries, checkpoints int64) {
			t.Helper()
			if r.Problem != nil || r.Entries != entries || r.Checkpoints != checkpoints || r.End == nil || r.End.Entries != entries {
				t.Errorf("%s: %+v at its end %+v, want %d entries under %d checkpoints", name, r.Report, r.End, entries, checkpoints)
			}
		}
		cut := func(name string, r trail.FileReport) {
			t.Helper()
			if r.Problem == nil || r.Problem.Code != trail.CodeTruncated || *r.Problem.At != kept {
				t.Errorf("%s: %+v, want it cut short at %d", name, r.Problem, kept)
			}
		}
		whole("all", read(time.Time{}, time.Time{}), all, 3)
		whole("two weeks", read(time.Time{}, moment.AddDate(0, 0, 10)), kept, 2)
		if r := read(moment.AddDate(0, 0, 10), time.Time{}); r.End.Entries != 5 || r.Entries != 5 {
			t.Errorf("the last week alone: %d entries, and its end says %d; want 5", r.Entries, r.End.Entries)
		}

		tamper(t, dsn, "DELETE FROM trail_entries WHERE seq >= 16")
		cut("the last week gone", read(time.Time{}, time.Time{}))
		cut("and asked for by day", read(time.Time{}, moment.AddDate(0, 0, 20)))
		if r := read(moment.AddDate(0, 0, 10), time.Time{}); r.Entries != 0 || r.End.Entries != 5 {
			t.Errorf("the last week alone: %d entries, and its end says %d; want none of 5", r.Entries, r.End.Entries)
		}
		tamper(t, dsn, "DELETE FROM checkpoints WHERE size > 16")
		cut("its checkpoint too", read(time.Time{}, time.Time{}))
		tamper(t, dsn, "UPDATE trail_heads SET size = 16")
		whole("all that told of it: only a copy kept elsewhere tells", read(time.Time{}, time.Time{}), kept, 2)
	})
}
