package app

import (
	"context"
	"runtime/debug"
	"time"
)

// Work beside the server that panics is begun again after a while: longer each
// time, since the reason may stay.
const (
	againAfter   = time.Second
	againAtLeast = time.Minute // how often, at the least
)

// kept keeps work going until ctx ends. A panic in it is written down, and takes
// nobody else along: a fault in what is summed up must not stop the shop.
func (a *App) kept(name string, work func(context.Context)) func(context.Context) {
	return func(ctx context.Context) {
		for wait := againAfter; a.panics(ctx, name, work); wait = min(2*wait, againAtLeast) {
			timer := time.NewTimer(wait)
			select {
			case <-ctx.Done():
				timer.Stop()
				return
			case <-timer.C:
			}
		}
	}
}

// panics says whether work ended so.
func (a *App) panics(ctx context.Context, name string, work func(context.Context)) (panicked bool) {
	defer func() {
		if cause := recover(); cause != nil {
			panicked = true
			a.config.Log.Error("panic beside the server; it is begun again", "in", name, "cause", cause, "stack", string(debug.Stack()))
		}
	}()
	work(ctx)
	return false
}
