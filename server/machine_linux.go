package main

import "syscall"

// Numbers of file systems that lie on another machine, from linux/magic.h.
const (
	nfsMagic  = 0x6969
	smbMagic  = 0x517b
	cifsMagic = 0xff534d42
	smb2Magic = 0xfe534d42
)

// elsewhere says whether a folder lies on another machine, where SQLite's log of
// the newest changes does not work.
func elsewhere(folder string) bool {
	var s syscall.Statfs_t
	if syscall.Statfs(folder, &s) != nil {
		return false
	}
	switch uint32(s.Type) {
	case nfsMagic, smbMagic, cifsMagic, smb2Magic:
		return true
	}
	return false
}

// timeError is what adjtimex(2) answers when nothing keeps the clock right.
const timeError = 5

// clockKept says whether something keeps this machine's clock right, as a time
// server does; known is false where the machine does not tell.
var clockKept = func() (kept, known bool) {
	var t syscall.Timex
	state, err := syscall.Adjtimex(&t)
	return state != timeError, err == nil
}
