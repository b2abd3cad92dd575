//go:build !linux

package storetest

import "testing"

// SmallDisk is for Linux.
func SmallDisk(t testing.TB, _ string, _ int) {
	t.Helper()
	t.Skip("left out: a small disk is made on Linux only")
}

// TakesNothing is for Linux.
func TakesNothing(t testing.TB, _ string) (set func(nothing bool)) {
	t.Helper()
	t.Skip("left out: a file is made read-only on Linux only")
	return nil
}
