//go:build linux || darwin

package main

import "syscall"

// freeIn is how many bytes this account may still write on the disk of a folder,
// and how many the disk has.
func freeIn(folder string) (free, all uint64, err error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(folder, &s); err != nil {
		return 0, 0, err
	}
	return uint64(s.Bavail) * uint64(s.Bsize), uint64(s.Blocks) * uint64(s.Bsize), nil
}
