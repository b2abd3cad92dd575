//go:build !unix

package pack

import "time"

// processorTime is the clock, where a program does not know what it used.
func processorTime() time.Duration { return time.Duration(time.Now().UnixNano()) }
