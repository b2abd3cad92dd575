package main

import (
	"errors"
	"syscall"
)

// ERROR_HANDLE_DISK_FULL and ERROR_DISK_FULL of winerror.h.
const (
	handleDiskFull = syscall.Errno(39)
	diskFull       = syscall.Errno(112)
)

// full says whether an error is of a full disk.
func full(err error) bool { return errors.Is(err, handleDiskFull) || errors.Is(err, diskFull) }
