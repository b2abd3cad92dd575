package main

import "syscall"

// mountSmall makes a disk of one megabyte at a folder, which takes an administrator.
func mountSmall(folder string) error { return syscall.Mount("none", folder, "tmpfs", 0, "size=1m") }

func unmount(folder string) { syscall.Unmount(folder, 0) }
