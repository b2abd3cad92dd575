package app

import (
	"context"
	"errors"
	"time"
)

// Rollup is something that follows from the records and is kept, so that no page
// slows with history. It can be made anew at any time.
type Rollup struct {
	Name    string
	Rebuild func(ctx context.Context, progress func(done, total int)) error
}

// Rollups are all of them, in the order in which they are made anew.
func (a *App) Rollups() []Rollup {
	return []Rollup{
		{"counts of first sets and defects by day", a.Services.Failures.Rebuild},
		{"counts of what left and came back", a.Services.Returns.Rebuild},
		{"signals of the watched charts", a.Services.Watch.Rebuild},
	}
}

// foldEvery is how often what was recorded meanwhile is summed up, that no page has
// much of it to do.
const (
	foldEvery = time.Minute
	// foldWithin bounds one turn, so that one which a database never answered ends;
	// a whole history takes a few minutes.
	foldWithin = time.Hour
)

// fold keeps what is summed up near what is recorded, until ctx ends. A page that is
// asked sums up the rest by itself, so that nothing is missing where this fails.
func (a *App) fold(ctx context.Context) {
	tick := time.NewTicker(foldEvery)
	defer tick.Stop()
	for {
		within, cancel := context.WithTimeout(ctx, foldWithin)
		err := errors.Join(a.Services.Failures.Keep(within), a.Services.Returns.Keep(within))
		cancel()
		if err != nil && ctx.Err() == nil {
			a.config.Log.Warn("what was recorded is not summed up yet", "cause", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}
