package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"tracewright/models/store/storetest"
)

// fullOutput takes so many bytes and then no more, as a file on a full disk.
type fullOutput struct{ left int }

func (f *fullOutput) Write(p []byte) (int, error) {
	if len(p) > f.left {
		n := f.left
		f.left = 0
		return n, &os.PathError{Op: "write", Path: "/dev/full", Err: syscall.ENOSPC}
	}
	f.left -= len(p)
	return len(p), nil
}

// A recovery key that nobody saw is not put in force: what is encrypted to it, nobody
// could open.
func TestARecoveryKeyThatNobodySaw(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		says(t, "a shop", command(t, "", "migrate", "up", "--database", dsn), 0, "", "")
		s := storetest.Open(t, dsn)
		unseen := func(name string, takes int, args ...string) {
			t.Helper()
			var said bytes.Buffer
			status := run(t.Context(), append([]string{"backup", "--new-key", "--database", dsn}, args...), streams{strings.NewReader(""), &fullOutput{takes}, &said})
			key, err := backupService(s, nil).PublicKey(t.Context())
			if status != 1 || !strings.Contains(said.String(), "no space left") || key != "" || err != nil {
				t.Errorf("%s: status %d, %q; the key in force is %q, %v", name, status, said.String(), key, err)
			}
		}
		unseen("nothing of it", 0)
		unseen("half of it", 2000)
		unseen("a sheet whose place was not told", 10, "--sheet", filepath.Join(t.TempDir(), "key.pdf"))
		small := t.TempDir()
		storetest.SmallDisk(t, small, 1)
		if err := os.WriteFile(filepath.Join(small, "filler"), make([]byte, 8<<20), 0o600); !full(err) {
			t.Fatalf("the disk took more than it has: %v", err)
		}
		sheet := filepath.Join(small, "key.pdf")
		unseen("a sheet on a full disk", 1<<20, "--sheet", sheet)
		if _, err := os.Lstat(sheet); !os.IsNotExist(err) {
			t.Errorf("half a sheet is left: %v", err)
		}
	})
}

// A command whose answer nobody could read did not do what it was asked.
func TestAnAnswerThatCannotBeWritten(t *testing.T) {
	b := newBackedUp(t, storetest.SQLite(t))
	for _, args := range [][]string{
		{"user", "add", "--name", "Vera", "--role", "inspector", "--login", "vera"}, {"migrate", "status"}, {"backup", "--keys", b.keys, "--backups", b.folder},
		{"verify", "database", "--keys", b.keys}, {"user", "list"},
	} {
		var said bytes.Buffer
		status := run(t.Context(), append(args, "--database", b.database), streams{strings.NewReader(""), &fullOutput{}, &said})
		if status != 1 || !strings.Contains(said.String(), "no space left") {
			t.Errorf("%v: status %d, %q", args, status, said.String())
		}
	}
}
