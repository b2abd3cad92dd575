//go:build !linux && !darwin && !windows

package main

import "errors"

// freeIn cannot tell here.
func freeIn(string) (free, all uint64, err error) { return 0, 0, errors.ErrUnsupported }
