package bench

import (
	"context"
	"slices"
	"sync"
	"sync/atomic"
	"time"
)

// Clients is how many stands are at work at once.
const Clients = 8

// closed has clients do one thing after another for a time, and gives how many
// a second were done.
func closed(ctx context.Context, clients int, during time.Duration, do func(context.Context) error) (float64, error) {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var (
		done  atomic.Int64
		all   sync.WaitGroup
		began = time.Now()
		end   = began.Add(during)
	)
	for range clients {
		all.Go(func() {
			for time.Now().Before(end) && ctx.Err() == nil {
				if err := do(ctx); err != nil {
					stop(err)
					return
				}
				done.Add(1)
			}
		})
	}
	all.Wait()
	if err := context.Cause(ctx); err != nil {
		return 0, err
	}
	return float64(done.Load()) / time.Since(began).Seconds(), nil
}

// open begins something at a steady rate, whether or not what began before is
// done, and gives how long each took, in order of length. A time is counted from the moment
// at which it was due: one that could not begin because others were in the way
// has waited, and the wait is its own.
func open(ctx context.Context, rate float64, during time.Duration, do func(context.Context) error) ([]time.Duration, error) {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var (
		all   sync.WaitGroup
		began = time.Now()
		every = time.Duration(float64(time.Second) / rate)
		took  = make([]time.Duration, int(during/every)+1)
	)
	for i := range took {
		due := began.Add(time.Duration(i) * every)
		if wait := time.Until(due); wait > 0 {
			time.Sleep(wait)
		}
		if ctx.Err() != nil {
			break
		}
		all.Go(func() {
			if err := do(ctx); err != nil {
				stop(err)
			}
			took[i] = time.Since(due)
		})
	}
	all.Wait()
	if err := context.Cause(ctx); err != nil {
		return nil, err
	}
	slices.Sort(took)
	return took, nil
}

// quantile is the smallest of sorted times that this share of them does not
// exceed.
func quantile(sorted []time.Duration, share float64) time.Duration {
	n := int(share * float64(len(sorted)))
	return sorted[min(n, len(sorted)-1)]
}
