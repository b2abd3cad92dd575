package main

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
	"tracewright/server/app"
)

// Everything is made anew, on both databases; a database that is not there, or not of
// this program's schema, is left alone.
func TestRebuildMakesEverythingAnew(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s, err := store.Open(t.Context(), dsn, store.Options{})
		if err != nil {
			t.Fatal(err)
		}
		h := worktest.On(t, s)
		h.MustRecord(h.Extremes())
		h.Now = h.Now.AddDate(0, 0, 1)
		h.MustRecord(h.Pack())
		h.Must(s.Close())
		for range 2 {
			if r := command(t, "", "rebuild", "--database", dsn); r.status != 0 || !strings.Contains(r.out, "counts of first sets and defects by day: 2 of 2") {
				t.Errorf("status %d, %q, %q", r.status, r.out, r.err)
			}
		}
	})
	if r := command(t, "", "rebuild", "--database", "sqlite:"+t.TempDir()+"/none.db"); r.status == 0 {
		t.Error("a database that is not there was rebuilt")
	}
}

// What takes long is told now and then; the first that fails ends it.
func TestRebuildTellsHowFarItIs(t *testing.T) {
	at := time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)
	clock := func() time.Time { at = at.Add(time.Second); return at }
	steps := app.Rollup{Name: "steps", Rebuild: func(_ context.Context, progress func(done, total int)) error {
		for n := range 5 {
			progress(n, 5)
		}
		return nil
	}}
	broken := app.Rollup{Name: "broken", Rebuild: func(context.Context, func(done, total int)) error { return errors.New("no") }}
	var out bytes.Buffer
	err := rebuild(t.Context(), []app.Rollup{steps, broken, steps}, streams{out: &out}, clock)
	// Told two seconds after it began, and two after that; then how long it took.
	if want := "steps: 1 of 5\nsteps: 3 of 5\nsteps: 5 of 5, 6s\n"; out.String() != want || err == nil || !strings.Contains(err.Error(), "broken: no") {
		t.Errorf("%q, %v; want %q", out.String(), err, want)
	}
}
