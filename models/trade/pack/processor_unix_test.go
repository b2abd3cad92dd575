//go:build unix

package pack

import (
	"syscall"
	"time"
)

// processorTime is what this program has used of the processors so far: other work
// on the machine hardly changes it.
func processorTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return time.Duration(time.Now().UnixNano())
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
