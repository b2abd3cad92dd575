//go:build !windows

package main

import (
	"errors"
	"syscall"
)

// full says whether an error is of a disk, or of what one may use of it.
func full(err error) bool { return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) }
