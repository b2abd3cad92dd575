package sealing_test

import (
	"context"
	"errors"
	"log/slog"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trail"
	"tracewright/models/work/sealing"
)

// copies are copies in memory, which can be made to fail.
type copies struct {
	kept []trail.SignedCheckpoint
	keys int
	err  error
}

func (c *copies) Newest(string, string) (trail.SignedCheckpoint, error) {
	if len(c.kept) == 0 {
		return trail.SignedCheckpoint{}, c.err
	}
	return c.kept[len(c.kept)-1], c.err
}

func (c *copies) Keep(_ string, list []trail.SignedCheckpoint, keys []models.ServerKey) error {
	if c.err == nil {
		c.kept, c.keys = append(c.kept, list...), len(keys)
	}
	return c.err
}

func (c *copies) Place() string { return "elsewhere" }

// A folder for copies that cannot be written stops nothing: it is told, and what
// was not copied is copied once it can be.
func TestCopiesThatFail(t *testing.T) {
	s, c, out := storetest.New(t), &clock{at: moment}, &copies{err: errors.New("the disk is not there")}
	var written strings.Builder
	seals := sealing.New(s, sealing.Options{Keys: newRing(1), Copies: out, Server: "bench", Now: c.now, Log: slog.New(slog.NewTextHandler(&written, nil))})
	if err := seals.Begin(t.Context()); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		change(t, s, moment, strings.Repeat("x", i+1))
		if sealed := must[models.SealedLog](t)(seals.Seal(t.Context())); sealed.Waiting || sealed.Size != int64(adopted+i+2) {
			t.Errorf("sealed %+v", sealed)
		}
	}
	if state := seals.Troubles(); !errors.Is(state.NotCopied, out.err) || !state.Unwell() || strings.Count(written.String(), "the disk is not there") != 1 {
		t.Errorf("state %+v, written %q; want the fault, written once a minute", state, &written)
	}
	out.err = nil
	change(t, s, moment, "b")
	must[models.SealedLog](t)(seals.Seal(t.Context()))
	if state := seals.Troubles(); state.Unwell() || len(out.kept) != 4 || out.keys != 1 {
		t.Errorf("state %+v, %d copies; want it well and all 4 there", state, len(out.kept))
	}
}

// A database that was put back to what it was is told of, at the next start and
// when it has grown again beyond what was copied; the copies stand as they are.
func TestCopiesOfALogThatWasPutBack(t *testing.T) {
	dsn, own, out := storetest.SQLite(t), newRing(1), &copies{}
	start := func(dsn string) (*store.Store, *sealing.Service) {
		s := storetest.Open(t, dsn)
		seals := sealing.New(s, sealing.Options{Keys: own, Copies: out, Server: "bench", Now: (&clock{at: moment}).now, Log: quiet})
		if err := seals.Begin(t.Context()); err != nil {
			t.Fatal(err)
		}
		return s, seals
	}
	seal := func(dsn string, values ...string) error {
		s, seals := start(dsn)
		defer s.Close()
		for _, value := range values {
			change(t, s, moment, value)
			must[models.SealedLog](t)(seals.Seal(t.Context()))
		}
		return seals.Troubles().NotCopied
	}
	if err := seal(dsn, "a"); err != nil {
		t.Fatal(err)
	}
	older := storetest.Copy(t, dsn)
	if err := seal(dsn, "b", "c"); err != nil || len(out.kept) != 3 {
		t.Fatalf("%v, %d copies", err, len(out.kept))
	}
	told := func(when string, err error) {
		t.Helper()
		var lost *sealing.LostError
		if !errors.As(err, &lost) || lost.Size != adopted+4 || len(out.kept) != 3 {
			t.Errorf("%s: %v, %d copies; want to be told that the checkpoint over %d is lost", when, err, len(out.kept), adopted+4)
		}
	}
	told("grown again", seal(storetest.Copy(t, older), "d", "e", "f"))

	_, seals := start(storetest.Copy(t, older))
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { seals.Run(ctx); close(ended) }()
	for i := 0; i < 500 && seals.Troubles().NotCopied == nil; i++ {
		time.Sleep(20 * time.Millisecond)
	}
	told("at the start", seals.Troubles().NotCopied)
	stop()
	<-ended
}
