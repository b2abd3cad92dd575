package main

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	_ "github.com/jackc/pgx/v5/stdlib" // the driver by which a trail is thrown away
	_ "modernc.org/sqlite"             // the driver that the raw comparison writes through

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/ident"
	"tracewright/models/work/access"
	"tracewright/models/work/worktest"
	"tracewright/server/app"
	"tracewright/server/httpx"
	"tracewright/server/keyring"
)

// clients is how many stands post at once.
const clients = 8

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
	b.Cleanup(func() { s.Close() })
	if log == noTrail {
		throwTrailAway(b, dsn)
	}
	shop := worktest.On(b, s)
	shop.Now = time.Now()
	key, _, err := access.New(s, time.Now, access.Cost{}).Enrol(b.Context(), shop.Owner, "stand 1", "stand 1")
	if err != nil {
		b.Fatal(err)
	}
	config := app.Config{Log: slog.New(slog.DiscardHandler)}
	if log == sealedTrail {
		if config.Keys, err = keyring.Open(filepath.Join(b.TempDir(), "keys")); err != nil {
			b.Fatal(err)
		}
	}
	a, err := app.New(s, config)
	if err != nil {
		b.Fatal(err)
	}
	if log == sealedTrail {
		if err := a.Services.Sealing.Begin(b.Context()); err != nil {
			b.Fatal(err)
		}
		ctx, stop := context.WithCancel(context.Background())
		var ended sync.WaitGroup
		ended.Go(func() { a.Seal(ctx) })
		b.Cleanup(func() { stop(); ended.Wait() })
	}
	app.Tune()
	server := httptest.NewServer(a.Handler)
	b.Cleanup(server.Close)
	template := shop.EveryHole()
	template.StartedAt, template.FinishedAt = time.Now().Add(-5*time.Minute), time.Now().Add(-time.Minute)
	template.ID, template.Serial = "ID", "SERIAL"
	text, err := json.Marshal(template)
	if err != nil {
		b.Fatal(err)
	}
	// The tablets are not what is measured: a body costs them no encoding.
	beforeID, rest, found := strings.Cut(string(text), `"ID"`)
	beforeSerial, afterSerial, both := strings.Cut(rest, `"SERIAL"`)
	if !found || !both {
		b.Fatalf("no id before the serial in %s", text)
	}
	serials := manyWheels(b, shop, min(b.N, mostWheels))
	for log == sealedTrail { // What lacing left to be sealed is not what is measured.
		n, err := s.UnsealedCount(b.Context())
		if err != nil {
			b.Fatal(err)
		}
		if n == 0 {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: clients}}
	var next atomic.Int64
	b.SetParallelism(clients / 2) // times the two processors of a small computer
	b.ResetTimer()
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			serial := serials[int(next.Add(1))%len(serials)]
			body := beforeID + `"` + models.NewID() + `"` + beforeSerial + `"` + serial + `"` + afterSerial
			r, err := http.NewRequest(http.MethodPost, server.URL+"/api/v1/inspections", strings.NewReader(body))
			if err != nil {
				b.Error(err)
				return
			}
			r.Header.Set("Authorization", "Bearer "+key)
			r.Header.Set(httpx.PersonHeader, shop.Operator.PersonID)
			r.Header.Set("Content-Type", "application/json")
			answer, err := client.Do(r)
			if err != nil {
				b.Error(err)
				return
			}
			if answer.StatusCode != http.StatusCreated {
				raw, _ := io.ReadAll(answer.Body)
				b.Errorf("answered %d: %s", answer.StatusCode, raw)
				return
			}
			io.Copy(io.Discard, answer.Body)
			answer.Body.Close()
		}
	})
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "wheels/s")
}

// mostWheels bounds how many wheels are laced before any is measured; a longer
// run measures them again in turn, as a recheck would.
const mostWheels = 20_000

// manyWheels makes wheels of the shop's product and gives their serials.
func manyWheels(b *testing.B, shop *worktest.Shop, n int) []string {
	b.Helper()
	serials, items := make([]string, n), make([]models.Item, n)
	counter := 0
	for i := range items {
		serial, used, err := ident.Next('W', 20, counter)
		shop.Must(err)
		tail := ident.Tail(serial)
		counter = used
		item := shop.Item[models.KindWheel]
		item.ID, item.Serial, item.SerialTail, item.State, item.CreatedAt = models.NewID(), &serial, &tail, models.StateInProcess, time.Time{}
		serials[i], items[i] = serial, item
	}
	shop.Must(shop.Store.AddItems(b.Context(), models.NewStamp(shop.Owner, time.Now().Add(-time.Hour)), items))
	return serials
}

// BenchmarkPgbench is what the database's own client reaches with the same
// number of rows: testdata/bench/raw.pgbench, 8 clients, fsync on.
func BenchmarkPgbench(b *testing.B) {
	dsn := storetest.DurablePostgres(b)
	schema, err := os.ReadFile("../testdata/bench/raw_schema.sql")
	if err != nil {
		b.Fatal(err)
	}
	conn, err := pgx.Connect(b.Context(), dsn)
	if err == nil {
		_, err = conn.Exec(b.Context(), string(schema))
		conn.Close(context.Background())
	}
	if err != nil {
		b.Fatal(err)
	}
	config, err := pgx.ParseConfig(dsn)
	if err != nil {
		b.Fatal(err)
	}
	script, err := filepath.Abs("../testdata/bench/raw.pgbench")
	if err != nil {
		b.Fatal(err)
	}
	const seconds = 5
	b.ResetTimer()
	out, err := exec.Command(program(b, "pgbench"), "-n", "-h", config.Host, "-U", config.User, "-c", fmt.Sprint(clients), "-j", "2", "-T", fmt.Sprint(seconds), "-M", "prepared", "-f", script, config.Database).CombinedOutput()
	if err != nil {
		b.Fatalf("pgbench: %v\n%s", err, out)
	}
	tps := regexp.MustCompile(`tps = ([0-9.]+)`).FindSubmatch(out)
	if tps == nil {
		b.Fatalf("pgbench printed no rate:\n%s", out)
	}
	var rate float64
	fmt.Sscan(string(tps[1]), &rate)
	b.ReportMetric(rate, "wheels/s")
	b.ReportMetric(0, "ns/op")
}

// program finds a program of the PostgreSQL server's folder, or of the path.
func program(b *testing.B, name string) string {
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/" + name)
	if len(found) > 0 {
		return found[len(found)-1]
	}
	path, err := exec.LookPath(name)
	if err != nil {
		b.Skipf("left out: %v", err)
	}
	return path
}

// BenchmarkRawSQLite writes the same number of rows into one file through the
// driver alone, 8 goroutines taking turns on one writing connection.
func BenchmarkRawSQLite(b *testing.B) {
	path := filepath.Join(b.TempDir(), "raw.db")
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)&_txlock=immediate")
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	for _, q := range []string{
		"CREATE TABLE bench_inspections (id TEXT PRIMARY KEY, serial TEXT NOT NULL, stage TEXT NOT NULL, person TEXT NOT NULL, verdict TEXT NOT NULL, at TEXT NOT NULL)",
		"CREATE TABLE bench_readings (inspection_id TEXT NOT NULL REFERENCES bench_inspections (id), code TEXT NOT NULL, spoke INTEGER NOT NULL, typed TEXT NOT NULL, value REAL NOT NULL, PRIMARY KEY (inspection_id, code, spoke)) WITHOUT ROWID",
	} {
		if _, err := db.Exec(q); err != nil {
			b.Fatal(err)
		}
	}
	many := "INSERT INTO bench_readings VALUES " + strings.TrimSuffix(strings.Repeat("(?,?,?,?,?),", 108), ",")
	b.SetParallelism(clients / 2)
	b.ResetTimer()
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			if err := writeRaw(db, many); err != nil {
				b.Error(err)
				return
			}
		}
	})
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "wheels/s")
}

func writeRaw(db *sql.DB, many string) error {
	tx, err := db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback()
	id := models.NewID()
	if _, err := tx.Exec("INSERT INTO bench_inspections VALUES (?,?,?,?,?,?)", id, "W26000051", "after_relief", "p", "pass", "2026-01-01"); err != nil {
		return err
	}
	args := make([]any, 0, 5*108)
	for _, code := range []string{"lateral_runout", "radial_runout", "tension"} {
		for spoke := range 36 {
			args = append(args, id, code, spoke, "0.12", 0.12)
		}
	}
	if _, err := tx.Exec(many, args...); err != nil {
		return err
	}
	return tx.Commit()
}
