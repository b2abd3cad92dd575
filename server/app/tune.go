package app

import (
	"context"
	"math"
	"runtime/debug"
	"runtime/metrics"
	"time"
)

const (
	// garbagePercent lets the heap grow to nine times what is alive before it is
	// collected. What is alive is some ten megabytes, and collecting it at every
	// doubling cost an eighth of the processor while stands were posting.
	garbagePercent = 800
	// softLimit makes the collector work harder when the whole process grows
	// beyond it, so that a small computer is not filled with what nobody needs.
	softLimit = 512 << 20
)

// Tune sets what concerns the whole process; a command that serves calls it
// once. A limit that GOMEMLIMIT sets is kept.
func Tune() {
	debug.SetGCPercent(garbagePercent)
	if debug.SetMemoryLimit(-1) == math.MaxInt64 {
		debug.SetMemoryLimit(softLimit)
	}
}

const (
	// lookedAt is how often the heap is looked at.
	lookedAt = 2 * time.Second
	// littleWork is what a server that nobody asks allocates between two looks, and
	// muchWork what is worth collecting.
	littleWork, muchWork = 1 << 20, 16 << 20
)

// rest gives memory back when work has ended, and once the start is over: a heap
// that may grow to nine times what is alive would keep it until the next rush, and
// connections the pages they have read.
func (a *App) rest(ctx context.Context) {
	tick := time.NewTicker(lookedAt)
	defer tick.Stop()
	var r resting
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		if r.look(allocated()) {
			if err := a.Store.Rest(ctx); err != nil {
				a.config.Log.WarnContext(ctx, "give the memory of the database back", "error", err)
			}
			debug.FreeOSMemory()
		}
	}
}

// resting knows what was allocated in all: at the last look, and when memory was
// given back.
type resting struct{ last, given uint64 }

// look says whether to give back: much was allocated since the last time, and
// little of it lately.
func (r *resting) look(now uint64) bool {
	quiet := now-r.last < littleWork
	r.last = now
	if !quiet || now-r.given < muchWork {
		return false
	}
	r.given = now
	return true
}

func allocated() uint64 {
	sample := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(sample)
	if sample[0].Value.Kind() != metrics.KindUint64 {
		return 0
	}
	return sample[0].Value.Uint64()
}
