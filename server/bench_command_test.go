package main

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/ident"
	"tracewright/models/work/trace"
	"tracewright/server/bench"
)

// A short run measures everything on both databases, and leaves neither a file
// nor a schema behind. What it measures counts only on a quiet machine, so no
// figure is held against its target here.
func TestBenchMeasures(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and measures for some seconds")
	}
	program := build(t)
	t.Chdir(t.TempDir())
	dsn, why := storetest.Postgres(t)
	if dsn == "" {
		t.Log("left out: PostgreSQL: " + why)
	}
	before := schemasIn(t, dsn)
	var out strings.Builder
	b := benchCommand{Seconds: 0.4, Minutes: 6, JSON: true, Database: dsn, program: []string{program}, queue: 50}
	if err := b.Run(t.Context(), streams{strings.NewReader(""), &out, os.Stderr}); err != nil {
		t.Fatal(err)
	}
	var report bench.Report
	if err := json.Unmarshal([]byte(out.String()), &report); err != nil {
		t.Fatalf("no JSON: %v\n%s", err, out.String())
	}
	databases := []string{bench.SQLite}
	if dsn != "" {
		databases = append(databases, bench.Postgres)
	}
	for _, database := range databases {
		for _, name := range []string{bench.Capture, bench.Steady, bench.Drafts, bench.Look, bench.Queue, bench.Start, bench.Idle} {
			f := figureOf(report, database, name)
			if name == bench.Idle && f.Value == 0 && noProc() {
				continue
			}
			if !(f.Value > 0) || math.IsInf(f.Value, 0) || f.Unit == "" {
				t.Errorf("%s %s: %v %s, want a figure", database, name, f.Value, f.Unit)
			}
			if (name == bench.Capture || name == bench.Look || name == bench.Steady) && math.Abs(f.Ratio-f.Value/f.Against) > 0.01*f.Ratio {
				t.Errorf("%s %s: ratio %v of %v against %v", database, name, f.Ratio, f.Value, f.Against)
			}
			if f.Met != nil && *f.Met != (f.Least == (bounded(f) >= f.Target)) && bounded(f) != f.Target {
				t.Errorf("%s %s: %v against a target of %v (at least: %t) is told as met: %t", database, name, bounded(f), f.Target, f.Least, *f.Met)
			}
		}
	}
	if f := figureOf(report, "", bench.Binary); f.Value < 1 || f.Value > 500 {
		t.Errorf("the program is %v MB", f.Value)
	}
	if len(report.Advice) != len(databases) || report.Advice[0].Stands < 1 {
		t.Errorf("advice %+v, want stands for each of %v", report.Advice, databases)
	}
	if left, _ := filepath.Glob("*"); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if after := schemasIn(t, dsn); after != before {
		t.Errorf("%d schemas before, %d after", before, after)
	}
	var table strings.Builder
	if err := printFigures(&table, report); err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"RATIO", "at least 0.6", "at most 5", "SQLite on this disk carries about"} {
		if !strings.Contains(table.String(), part) {
			t.Errorf("the table lacks %q:\n%s", part, table.String())
		}
	}
	t.Log("\n" + table.String())
}

func figureOf(r bench.Report, database, name string) bench.Figure {
	for _, f := range r.Figures {
		if f.Database == database && f.Name == name {
			return f
		}
	}
	return bench.Figure{}
}

func bounded(f bench.Figure) float64 {
	if f.Ratio != 0 {
		return f.Ratio
	}
	return f.Value
}

func noProc() bool {
	_, err := os.Stat("/proc/self/status")
	return err != nil
}

// schemasIn counts the schemas of a PostgreSQL database.
func schemasIn(t *testing.T, dsn string) (n int) {
	t.Helper()
	if dsn == "" {
		return 0
	}
	db, err := sql.Open("pgx", dsn)
	if err == nil {
		defer db.Close()
		err = db.QueryRowContext(t.Context(), "SELECT count(*) FROM pg_namespace").Scan(&n)
	}
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// A filled database is one whose every record stands in its sealed log, and in
// which a serial is found with what is built into it. The same number and seed
// make the same records; another seed makes other readings.
func TestBenchFills(t *testing.T) {
	if testing.Short() {
		t.Skip("fills databases")
	}
	folder := t.TempDir()
	const items = 200
	fill := func(database, seed string) string {
		keys := filepath.Join(t.TempDir(), "keys")
		got := command(t, "", "bench", "--fill", strconv.Itoa(items), "--seed", seed, "--database", database, "--keys", keys)
		if got.status != 0 || !strings.HasPrefix(got.out, "200 items, 165 parts built in, 66 inspections; ") {
			t.Fatalf("fill: status %d\n%s%s", got.status, got.out, got.err)
		}
		if got := command(t, "", "verify", "database", "--database", database, "--keys", keys); got.status != 0 {
			t.Fatalf("verify: status %d\n%s%s", got.status, got.out, got.err)
		}
		if got := command(t, "", "bench", "--fill", "10", "--database", database, "--keys", keys); got.status != 2 {
			t.Errorf("filled again: status %d\n%s%s", got.status, got.out, got.err)
		}
		return filledWith(t, database)
	}
	one := fill("sqlite:"+filepath.Join(folder, "one.db"), "1")
	if again := fill("sqlite:"+filepath.Join(folder, "again.db"), "1"); again != one {
		t.Errorf("the same seed made other records:\n%.400s\n%.400s", one, again)
	}
	if other := fill("sqlite:"+filepath.Join(folder, "other.db"), "2"); other == one {
		t.Error("another seed made the same records")
	}
	if dsn, why := storetest.Postgres(t); dsn != "" {
		if there := fill(dsn, "1"); there != one {
			t.Errorf("PostgreSQL holds other records than SQLite:\n%.400s\n%.400s", one, there)
		}
	} else {
		t.Log("left out: PostgreSQL: " + why)
	}
}

// filledWith is what a database holds of its first wheel, and every item of it.
func filledWith(t *testing.T, dsn string) string {
	t.Helper()
	s, err := store.Open(t.Context(), dsn, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	serial, _, err := ident.Next('W', 1, 0)
	if err != nil {
		t.Fatal(err)
	}
	view, err := trace.New(s).Item(t.Context(), serial)
	if err != nil {
		t.Fatal(err)
	}
	if len(view.Parts) != 2 || len(view.Inspections) != 1 || view.Item.State != models.StateConforming || view.TrailEntries == 0 {
		t.Errorf("the first wheel has %d parts, %d inspections, state %s and %d entries", len(view.Parts), len(view.Inspections), view.Item.State, view.TrailEntries)
	}
	var out strings.Builder
	for _, i := range view.Inspections {
		fmt.Fprintln(&out, i.Inspection.ID, i.Inspection.MeasuredAt, i.Inspection.Verdict)
		for _, set := range i.Sets {
			fmt.Fprintln(&out, set.Code, set.Values)
		}
		for _, r := range i.Results {
			fmt.Fprintln(&out, r.Code, r.Position, r.Value, r.Verdict)
		}
	}
	for _, p := range view.Parts {
		fmt.Fprintln(&out, p.Part.ID, p.Part.Role, p.Part.FittedAt)
	}
	return out.String()
}

// A shop of an older version is left as it is, and no folder of keys is made.
func TestFillLeavesAnOlderShopAlone(t *testing.T) {
	dsn := storetest.NeedPostgres(t)
	b := newBackedUp(t, dsn)
	b.shop.Must(b.shop.Store.Close())
	do(t, dsn, "UPDATE goose_db_version SET version_id = -version_id WHERE version_id = (SELECT max(version_id) FROM goose_db_version)")
	keys := filepath.Join(t.TempDir(), "keys")
	got := command(t, "", "bench", "--fill", "10", "--database", dsn, "--keys", keys)
	if got.status != 2 || !strings.Contains(got.err, "holds a shop already") {
		t.Errorf("filled: %+v", got)
	}
	if status := command(t, "", "migrate", "status", "--database", dsn); !strings.Contains(status.out, "missing") {
		t.Errorf("its schema was brought up to date: %s", status.out)
	}
	if _, err := os.Stat(keys); err == nil {
		t.Error("a folder of keys was made")
	}
}
