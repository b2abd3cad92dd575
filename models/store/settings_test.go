package store_test

import (
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/shop"
)

// Of several who replace one setting at once, each knowing of the same, one does, and
// the others learn that they did not.
func TestReplaceSetting(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		const name, writers = "backup_key", 8
		before := ""
		for _, then := range []string{"first", "second", "", "third"} {
			var (
				all  sync.WaitGroup
				done atomic.Int64
				won  atomic.Value
			)
			for i := range writers {
				all.Go(func() {
					value := then
					if then != "" {
						value = fmt.Sprint(then, i)
					}
					switch err := s.ReplaceSetting(t.Context(), models.NewStamp(models.Actor{}, moment), name, before, value); {
					case err == nil:
						done.Add(1)
						won.Store(value)
					case !errors.Is(err, models.ErrConflict):
						t.Error(err)
					}
				})
			}
			all.Wait()
			if got := must(s.Setting(t.Context(), name)); done.Load() != 1 || got != won.Load() {
				t.Fatalf("in place of %q: %d replaced it, the last by %v; it is %q", before, done.Load(), won.Load(), got)
			}
			before = must(s.Setting(t.Context(), name))
		}
		if err := s.ReplaceSetting(t.Context(), models.NewStamp(models.Actor{}, moment), "never set", "something", "else"); !errors.Is(err, models.ErrConflict) {
			t.Errorf("in place of what was never set: %v, want a conflict", err)
		}
	})
}

// The settings of a form are one step: where the database refuses one of them, none is
// stored.
func TestSettingsOfAFormAreOneStep(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := storetest.Open(t, dsn)
		service := shop.New(s, func() time.Time { return moment })
		full(t, dsn, models.SettingRetentionMonths)
		in := shop.Settings{Name: "Hof", Address: "Weir Lane 3", TimeZone: "UTC", BlockOverdue: true, RetentionMonths: "24"}
		if err := service.Set(t.Context(), models.Actor{}, in); err == nil {
			t.Fatal("nothing refused it")
		}
		if now, err := s.Settings(t.Context()); err != nil || len(now) != 0 {
			t.Errorf("stored %v, %v", now, err)
		}
		if n, err := s.TrailCount(t.Context(), []string{models.SettingShopName}); err != nil || n != 0 {
			t.Errorf("%d entries of what was not stored, %v", n, err)
		}
	})
}

// full makes a database refuse one setting, as a disk without room would.
func full(t *testing.T, dsn, name string) {
	t.Helper()
	driver, statements := "pgx", []string{"CREATE FUNCTION no_room() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RAISE EXCEPTION ''no room''; END'",
		"CREATE TRIGGER no_room BEFORE INSERT ON settings FOR EACH ROW WHEN (NEW.name = '" + name + "') EXECUTE FUNCTION no_room()"}
	if path, isFile := strings.CutPrefix(dsn, "sqlite:"); isFile {
		driver, dsn, statements = "sqlite", path, []string{"CREATE TRIGGER no_room BEFORE INSERT ON settings WHEN NEW.name = '" + name + "' BEGIN SELECT RAISE(ABORT, 'no room'); END"}
	}
	db, err := sql.Open(driver, dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, x := range statements {
		if _, err := db.Exec(x); err != nil {
			t.Fatal(err)
		}
	}
}

// Of two who decide at the same moment on what both looked at, one learns that the
// other was faster; also where nothing was ever set.
func TestSettingsThatTwoLookedAt(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		service := shop.New(s, func() time.Time { return moment })
		for round := range 10 {
			now, err := service.Settings(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			var wait sync.WaitGroup
			var errs [2]error
			for i := range errs {
				wait.Go(func() {
					errs[i] = service.Set(t.Context(), models.Actor{}, shop.Settings{Name: fmt.Sprint("Hof ", round, i), TimeZone: "UTC", Digest: now.Digest})
				})
			}
			wait.Wait()
			if (errs[0] == nil) == (errs[1] == nil) || !errors.Is(errors.Join(errs[:]...), models.ErrStale) {
				t.Fatalf("round %d: %v", round, errs)
			}
		}
	})
}
