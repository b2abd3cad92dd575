package app

import (
	"math"
	"runtime/debug"
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
