//go:build !linux

package main

// elsewhere cannot tell here.
func elsewhere(string) bool { return false }

// clockKept cannot tell here.
var clockKept = func() (kept, known bool) { return false, false }
