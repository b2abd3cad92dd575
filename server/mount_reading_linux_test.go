package main

import "syscall"

// mountForReading makes a disk at a folder that can only be read, which takes an
// administrator.
func mountForReading(folder string) error {
	return syscall.Mount("none", folder, "tmpfs", syscall.MS_RDONLY, "size=1m")
}

func unmount(folder string) { syscall.Unmount(folder, 0) }
