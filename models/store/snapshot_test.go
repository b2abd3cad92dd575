package store_test

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/ident"
	"tracewright/models/work/worktest"
)

// copied writes a snapshot into a file, gives its facts and ends it.
func copied(t *testing.T, s *store.Store) (string, models.DatabaseFacts) {
	t.Helper()
	folder := t.TempDir()
	snapshot, err := s.Snapshot(t.Context(), folder)
	if err != nil {
		t.Fatal(err)
	}
	in, err := snapshot.Open()
	if err != nil {
		t.Fatal(err)
	}
	raw, err := io.ReadAll(in)
	if err != nil || snapshot.Size >= 0 && snapshot.Size != int64(len(raw)) {
		t.Fatalf("%d bytes of %d, %v", len(raw), snapshot.Size, err)
	}
	if err := errors.Join(in.Close(), snapshot.Close()); err != nil {
		t.Fatal(err)
	}
	left, err := os.ReadDir(folder)
	if err != nil || len(left) > 0 {
		t.Errorf("%v is left in the folder, %v", left, err)
	}
	to := filepath.Join(t.TempDir(), "copy."+snapshot.Name)
	if err := os.WriteFile(to, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	return to, snapshot.Facts
}

// filledFrom opens a database that holds what a copy holds.
func filledFrom(t *testing.T, s *store.Store, copy string) *store.Store {
	t.Helper()
	if s.Dialect() == store.SQLite {
		return storetest.Open(t, "sqlite:"+copy)
	}
	dsn := storetest.EmptyPostgres(t)
	other := storetest.Open(t, dsn)
	if empty, err := other.Empty(t.Context()); err != nil || !empty {
		t.Fatalf("a new database is empty: %t, %v", empty, err)
	}
	if err := other.RestorePostgres(t.Context(), copy); err != nil {
		t.Fatal(err)
	}
	must(0, other.RestorationEnded(t.Context()))
	other.Close() // what connections know of the schema is from before
	return storetest.Open(t, dsn)
}

// A restoration that fails takes away nothing of anybody's: neither what another has begun
// to put back, nor what others made in the database; and it leaves no mark of its own.
func TestARestorationThatFailsTakesNothingAway(t *testing.T) {
	dump := filepath.Join(t.TempDir(), "no.pgdump")
	if err := os.WriteFile(dump, []byte("no dump"), 0o600); err != nil {
		t.Fatal(err)
	}
	good, _ := copied(t, storetest.Open(t, storetest.NeedPostgres(t)))
	dsn := storetest.EmptyPostgres(t)
	s, again := storetest.Open(t, dsn), storetest.Open(t, dsn)
	empty := func(name string, want bool) {
		t.Helper()
		if got, err := s.Empty(t.Context()); err != nil || got != want {
			t.Errorf("%s: empty %t, %v", name, got, err)
		}
	}
	if err := s.RestorePostgres(t.Context(), dump); err == nil {
		t.Error("what is no dump was put back")
	}
	empty("after what is no dump", true)
	if err := s.RestorePostgres(t.Context(), good); err != nil {
		t.Fatal(err)
	}
	if err := again.RestorePostgres(t.Context(), good); err == nil {
		t.Error("put back twice at once")
	}
	empty("beside another", false)
	must(0, s.RestorationEnded(t.Context()))
	if err := again.RestorePostgres(t.Context(), good); !errors.Is(err, store.ErrNotEmpty) {
		t.Errorf("over another: %v", err)
	}
	if _, err := storetest.Open(t, dsn).Counts(t.Context()); err != nil {
		t.Errorf("what was there: %v", err)
	}
}

// A snapshot that is taken while others write holds everything that was
// acknowledged before, each inspection whole, and pages that agree.
func TestSnapshotWhileOthersWrite(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := worktest.On(t, s)
		var acknowledged atomic.Int64
		ctx, stop := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() {
			defer close(ended)
			for ctx.Err() == nil {
				sub := h.Extremes()
				sub.ID = models.NewID()
				if _, err := h.Record(sub); err != nil {
					t.Error(err)
					return
				}
				acknowledged.Add(1)
			}
		}()
		for acknowledged.Load() < 20 {
			time.Sleep(time.Millisecond)
		}
		before := acknowledged.Load()
		copy, facts := copied(t, s)
		during := acknowledged.Load()
		stop()
		<-ended
		other := filledFrom(t, s, copy)
		counts, err := other.Counts(t.Context())
		if err != nil || counts.Inspections < before || counts.Inspections > during+1 || counts.Items == 0 || counts.Newest == nil {
			t.Errorf("%+v, %v; %d inspections were acknowledged before, %d during", counts, err, before, during)
		}
		version, err := other.SchemaVersion(t.Context())
		if err != nil || version != facts.Schema || facts.Dialect != s.Dialect() || version < 43 {
			t.Errorf("schema %d, facts %+v, %v", version, facts, err)
		}
		if empty, err := other.Empty(t.Context()); err != nil || empty {
			t.Errorf("a full database is empty: %t, %v", empty, err)
		}
		if s.Dialect() == store.Postgres {
			if err := other.Clear(t.Context()); err != nil {
				t.Error(err)
			}
			if empty, err := other.Empty(t.Context()); err != nil || !empty {
				t.Errorf("cleared, it is empty: %t, %v", empty, err)
			}
			if _, err := other.Migrate(t.Context()); err != nil {
				t.Errorf("filled once more: %v", err)
			}
		}
	})
}

// A damaged page is told; a snapshot that is ended leaves nothing behind.
func TestDamagedSQLite(t *testing.T) {
	s := storetest.New(t)
	worktest.On(t, s)
	path, _ := copied(t, s)
	if _, err := store.CheckSQLite(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	for at := 40 * page; at < 60*page; at++ {
		raw[at] = 0xff
	}
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := store.CheckSQLite(t.Context(), path); !errors.Is(err, store.ErrDamaged) {
		t.Errorf("twenty pages of 0xff: %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	folder := t.TempDir()
	if _, err := s.Snapshot(ctx, folder); !errors.Is(err, context.Canceled) {
		t.Errorf("ended: %v", err)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) > 0 {
		t.Errorf("%v is left, %v", left, err)
	}
}

// After a restoration no number of before is given again: not of a year that
// has a counter, not of one that began after the backup. A label that was
// printed beyond that moves its counter behind it.
func TestRestorationMovesCountersOn(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := worktest.On(t, s)
		ctx, stamp := t.Context(), models.NewStamp(h.Owner, moment)
		serial := func(kind ident.Kind, year int) int {
			t.Helper()
			item := must(s.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindWheel, FamilyID: h.Item[models.KindWheel].FamilyID, ProductID: h.Item[models.KindWheel].ProductID, State: models.StateInProcess, Origin: "made"}, string(rune(kind)), year, nil))
			_, _, counter, err := ident.Parts(*item.Serial)
			h.Must(err)
			return counter
		}
		last := serial(ident.Wheel, 31)
		h.Must(s.AddSession(ctx))
		h.Must(s.AddLink(ctx, models.OneTimeLink{TokenHash: "t", Purpose: "set_password", PersonID: &h.Owner.PersonID, Expires: moment.Add(time.Hour)}))
		restored := must(s.AddRestoration(ctx, stamp, models.Restoration{BackupAt: moment, BackupSHA256: strings.Repeat("5a", 32), BackupProgram: "v1", BackupSchema: 43, Forward: models.RestorationForward}, []int{31, 32}))
		// Some counter values give no serial: the next that does is meant.
		next := func(kind ident.Kind, year, after int) int {
			_, n, err := ident.Next(kind, year, after)
			h.Must(err)
			return n
		}
		if got, want := serial(ident.Wheel, 31), next(ident.Wheel, 31, last+1000); got != want {
			t.Errorf("the next wheel has %d, want %d", got, want)
		}
		if got, want := serial(ident.Pack, 32), next(ident.Pack, 32, 1000); got != want {
			t.Errorf("the first pack of the year after has %d, want %d", got, want)
		}
		if got, want := serial(ident.Wheel, 33), next(ident.Wheel, 33, 0); got != want {
			t.Errorf("the first wheel of a year that had not begun has %d, want %d", got, want)
		}
		recall := must(s.AddRecall(ctx, stamp, 32, models.Recall{Reason: "r", Wanted: "w", Scope: models.RecallScope{Part: h.AnotherWheel().ID}}, models.RecallRun{Items: []models.RecallItem{{Item: h.AnotherWheel().ID, Where: models.RecallHere}}}))
		if recall.Number != "R32-01001" {
			t.Errorf("the first recall of the year after is %s, want R32-01001", recall.Number)
		}
		if _, err := s.Link(ctx, "t"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a link of before: %v", err)
		}
		for _, step := range []struct {
			name    string
			counter int
			want    int
		}{
			{"far beyond", 5000, 5000},
			{"one that is behind by now", 7, 5001},
		} {
			label, _, err := ident.Next(ident.Kit, 31, step.counter-1)
			h.Must(err)
			_, _, counter, err := ident.Parts(label)
			h.Must(err)
			must(s.AddRestoredLabel(ctx, stamp, models.RestoredLabel{RestorationID: restored.ID, Serial: label}))
			if got, want := serial(ident.Kit, 31), next(ident.Kit, 31, max(counter, step.want)); got < want {
				t.Errorf("%s: the next kit has %d, want %d or more", step.name, got, want)
			}
		}
		if _, err := s.AddRestoredLabel(ctx, stamp, models.RestoredLabel{RestorationID: restored.ID, Serial: "W31"}); !errors.Is(err, ident.ErrFormat) {
			t.Errorf("a label that is none: %v", err)
		}
	})
}

// Every table that counts numbers is moved on.
func TestEveryCounterIsMovedOn(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		var found []string
		for column := range columns(t, dsn) {
			if table, name, _ := strings.Cut(column, "."); strings.HasSuffix(table, "_counters") && name == "last" {
				found = append(found, table)
			}
		}
		slices.Sort(found)
		if want := store.Counters(); !slices.Equal(found, want) {
			t.Errorf("tables of counters are %v, moved on are %v", found, want)
		}
	})
}
