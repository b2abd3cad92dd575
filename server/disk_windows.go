package main

import (
	"syscall"
	"unsafe"
)

var diskFree = syscall.NewLazyDLL("kernel32.dll").NewProc("GetDiskFreeSpaceExW")

// freeIn is how many bytes this account may still write on the disk of a folder,
// and how many the disk has.
func freeIn(folder string) (free, all uint64, err error) {
	path, err := syscall.UTF16PtrFromString(folder)
	if err != nil {
		return 0, 0, err
	}
	done, _, err := diskFree.Call(uintptr(unsafe.Pointer(path)), uintptr(unsafe.Pointer(&free)), uintptr(unsafe.Pointer(&all)), 0)
	if done == 0 {
		return 0, 0, err
	}
	return free, all, nil
}
