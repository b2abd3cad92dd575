package app

import (
	"context"
	"log/slog"
	"strings"
	"testing"
	"time"
)

// Work beside the server that panics takes nothing else along, is written down, and
// is begun again.
func TestPanicBesideTheServer(t *testing.T) {
	var said strings.Builder
	a := &App{config: Config{Log: slog.New(slog.NewTextHandler(&said, nil))}.settled()}
	turns, again := 0, make(chan struct{})
	stop := beside(t.Context(), a.kept("a trial", func(ctx context.Context) {
		if turns++; turns == 1 {
			panic("the database went away")
		}
		close(again)
		<-ctx.Done()
	}))
	select {
	case <-again:
	case <-time.After(10 * time.Second):
		t.Error("it is not begun again")
	}
	stop()
	if turns != 2 || !strings.Contains(said.String(), "a trial") || !strings.Contains(said.String(), "the database went away") {
		t.Errorf("%d turns, written down: %s", turns, said.String())
	}
}

// Told to stop after a panic, it does not wait for its next turn.
func TestStopAfterAPanic(t *testing.T) {
	a := &App{config: Config{Log: slog.New(slog.DiscardHandler)}.settled()}
	panicked := make(chan struct{})
	stop := beside(t.Context(), a.kept("a trial", func(context.Context) {
		defer close(panicked)
		panic("at once")
	}))
	<-panicked
	began := time.Now()
	stop()
	if took := time.Since(began); took > againAfter/2 {
		t.Errorf("it took %s to stop", took)
	}
}
