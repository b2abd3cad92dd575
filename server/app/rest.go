package app

import (
	"context"
	"net/http"
	"runtime/debug"
	"time"
)

// restAfter is how long nobody asked for anything before memory is given back.
const restAfter = 20 * time.Second

// busy counts requests, so that it is known when nobody asks for anything.
func (a *App) busy(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		a.asked.Add(1)
		next.ServeHTTP(w, r)
	})
}

// rest gives memory back to the machine once nobody asked for anything for a
// while, until ctx ends. While stands are posting the heap is let grow far beyond
// what is alive (Tune), and what was alive at the start is not all kept; neither
// should lie there all night on a small computer that does other things too.
func (a *App) rest(ctx context.Context) {
	tick := time.NewTicker(restAfter)
	defer tick.Stop()
	seen, rested := a.asked.Load(), false
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		switch now := a.asked.Load(); {
		case now != seen:
			seen, rested = now, false
		case !rested:
			debug.FreeOSMemory()
			rested = true
		}
	}
}
