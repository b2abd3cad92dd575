package storetest

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"github.com/jackc/pgx/v5"
)

// SmallDisk makes a disk of so many megabytes at a folder, for the length of the
// test. It takes an administrator.
func SmallDisk(t testing.TB, folder string, megabytes int) {
	t.Helper()
	if err := syscall.Mount("none", folder, "tmpfs", 0, fmt.Sprintf("size=%dm", megabytes)); err != nil {
		LeaveOut(t, Mount, fmt.Errorf("a small disk cannot be mounted here: %w", err))
	}
	// Also from under a program that has files open there.
	t.Cleanup(func() { syscall.Unmount(folder, syscall.MNT_DETACH) })
}

// TakesNothing makes a database one that nothing can be written to: SQLite's files,
// as on a disk that was made read-only, PostgreSQL's transactions. It gives what does
// so and takes it back, which the end of the test does too.
func TakesNothing(t testing.TB, dsn string) (set func(nothing bool)) {
	t.Helper()
	path, isFile := strings.CutPrefix(dsn, "sqlite:")
	if !isFile {
		return func(nothing bool) { readingOnly(t, dsn, nothing) }
	}
	if err := holdsOff(path + "-probe"); err != nil {
		LeaveOut(t, Immutable, fmt.Errorf("a file cannot be made read-only here: %w", err))
	}
	set = func(nothing bool) {
		for _, end := range []string{"", "-wal"} {
			if err := immutable(path+end, nothing); err != nil && !errors.Is(err, os.ErrNotExist) {
				t.Errorf("make %s read-only: %v", path+end, err)
			}
		}
	}
	t.Cleanup(func() { set(false) })
	return set
}

// holdsOff says whether a file that is made read-only takes nothing from whoever has it
// open either. In memory it does, and a test there would find that all is well.
func holdsOff(probe string) error {
	file, err := os.Create(probe)
	if err != nil {
		return err
	}
	defer os.Remove(probe)
	defer file.Close()
	if err := immutable(probe, true); err != nil {
		return err
	}
	_, written := file.WriteString("x")
	if err := immutable(probe, false); err != nil {
		return err
	}
	if written == nil {
		return errors.New("who had it open writes to it still: $TRACEWRIGHT_TEST_DISK names a folder on a disk")
	}
	return nil
}

// Of linux/fs.h: the flags of a file, of which one lets nobody write to it, not even
// through what was opened before.
const (
	getFlags      = 0x80086601
	setFlags      = 0x40086602
	flagImmutable = 0x10
)

func immutable(path string, on bool) error {
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	var flags uint64
	if _, _, failed := syscall.Syscall(syscall.SYS_IOCTL, file.Fd(), getFlags, uintptr(unsafe.Pointer(&flags))); failed != 0 {
		return failed
	}
	if flags &^= flagImmutable; on {
		flags |= flagImmutable
	}
	if _, _, failed := syscall.Syscall(syscall.SYS_IOCTL, file.Fd(), setFlags, uintptr(unsafe.Pointer(&flags))); failed != 0 {
		return failed
	}
	return nil
}

// readingOnly also cuts the connections of the program, which have the setting from
// when they began.
func readingOnly(t testing.TB, dsn string, on bool) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	setting := "RESET default_transaction_read_only"
	if on {
		setting = "SET default_transaction_read_only = on"
	}
	for _, statement := range []string{"SET default_transaction_read_only = off", "ALTER DATABASE " + named(dsn) + " " + setting,
		"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"} {
		if _, err := conn.Exec(t.Context(), statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
}
