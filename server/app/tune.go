package app

import "runtime/debug"

// garbagePercent lets the heap grow to four times what is alive before it is
// collected. What is alive is some ten megabytes, and collecting it at every
// doubling cost an eighth of the processor while stands were posting.
const garbagePercent = 300

// Tune sets what concerns the whole process; a command that serves calls it
// once.
func Tune() { debug.SetGCPercent(garbagePercent) }
