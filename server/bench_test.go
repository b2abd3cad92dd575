package main

import (
	"database/sql"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver by which a trail is thrown away
	_ "modernc.org/sqlite"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/server/bench"
	"tracewright/server/keyring"
)

// BenchmarkPostWheel posts 36-spoke wheels with 108 readings over HTTP: parsed,
// judged, stored durably, trail written and sealed. Beside it the same without a
// sealer, and without any trail: a trigger throws its rows away. Compare it with BenchmarkPgbench and
// BenchmarkRawSQLite of the same run:
//
//	go test -run '^$' -bench 'PostWheel|Pgbench|RawSQLite' -benchtime 5s ./server
func BenchmarkPostWheel(b *testing.B) {
	for _, c := range []struct {
		name  string
		trail trailOf
	}{{"", sealedTrail}, {"_unsealed", unsealedTrail}, {"_without_trail", noTrail}} {
		b.Run("sqlite"+c.name, func(b *testing.B) { postWheels(b, storetest.SQLite(b), c.trail) })
		b.Run("postgres"+c.name, func(b *testing.B) { postWheels(b, storetest.DurablePostgres(b), c.trail) })
	}
}

// trailOf is what becomes of the log of changes while wheels are posted.
type trailOf int

const (
	sealedTrail trailOf = iota
	unsealedTrail
	noTrail
)

// throwTrailAway lets a database keep no entries.
func throwTrailAway(b *testing.B, dsn string) {
	driver, statements := "pgx", []string{"CREATE FUNCTION keep_none() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NULL; END'",
		"CREATE TRIGGER keep_none BEFORE INSERT ON trail_entries FOR EACH ROW EXECUTE FUNCTION keep_none()"}
	if path, isFile := strings.CutPrefix(dsn, "sqlite:"); isFile {
		driver, dsn, statements = "sqlite", path, []string{"CREATE TRIGGER keep_none BEFORE INSERT ON trail_entries BEGIN SELECT RAISE(IGNORE); END"}
	}
	db, err := sql.Open(driver, dsn)
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	for _, s := range statements {
		if _, err := db.Exec(s); err != nil {
			b.Fatal(err)
		}
	}
}

func postWheels(b *testing.B, dsn string, log trailOf) {
	s, err := store.Open(b.Context(), dsn, store.Options{})
	if err == nil {
		_, err = s.Migrate(b.Context())
	}
	if err != nil {
		b.Fatal(err)
	}
	if log == noTrail {
		throwTrailAway(b, dsn)
	}
	shop, err := bench.NewShop(b.Context(), s, time.Now().AddDate(0, -1, 0))
	if err != nil {
		b.Fatal(err)
	}
	var beside bench.Beside
	if log == sealedTrail {
		if beside.Keys, err = keyring.Open(filepath.Join(b.TempDir(), "keys")); err != nil {
			b.Fatal(err)
		}
	}
	server, err := bench.Serve(b.Context(), shop, beside)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { server.Close() })
	serials, err := shop.Wheels(b.Context(), min(b.N, mostWheels))
	if err == nil && log == sealedTrail {
		err = bench.Settled(b.Context(), s)
	}
	if err != nil {
		b.Fatal(err)
	}
	var next atomic.Int64
	b.SetParallelism(bench.Clients / 2) // times the two processors of a small computer
	b.ResetTimer()
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			if err := server.Post(b.Context(), serials[int(next.Add(1))%len(serials)]); err != nil {
				b.Error(err)
				return
			}
		}
	})
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "wheels/s")
}

// mostWheels bounds how many wheels are laced before any is measured; a longer
// run measures them again in turn, as a recheck would.
const mostWheels = 20_000

// rawFor is how long what the databases do by themselves is measured.
const rawFor = 5 * time.Second

// BenchmarkPgbench is what the database's own client reaches with the same
// number of rows, 8 clients, fsync on.
func BenchmarkPgbench(b *testing.B) {
	program := bench.Pgbench()
	if program == "" {
		b.Skip("left out: pgbench is not installed")
	}
	place := bench.On(storetest.DurablePostgres(b))
	if err := place.MakeRaw(b.Context()); err != nil {
		b.Fatal(err)
	}
	reportRaw(b, func() (float64, error) { return place.RawPostgres(b.Context(), program, rawFor) })
}

// BenchmarkRawSQLite writes the same number of rows into one file through the
// driver alone, 8 goroutines taking turns on one writing connection.
func BenchmarkRawSQLite(b *testing.B) {
	reportRaw(b, func() (float64, error) { return bench.RawSQLite(b.Context(), b.TempDir(), rawFor) })
}

func reportRaw(b *testing.B, raw func() (float64, error)) {
	rate, err := raw()
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(rate, "wheels/s")
	b.ReportMetric(0, "ns/op")
}
