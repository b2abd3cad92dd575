package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models/store/storetest"
	"tracewright/models/work/backup"
)

// toolOfPostgres is a program of PostgreSQL on this machine.
func toolOfPostgres(t *testing.T, name string) string {
	t.Helper()
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/" + name)
	if err == nil && len(found) > 0 {
		return slices.Max(found)
	}
	path, err := exec.LookPath(name)
	if err != nil {
		storetest.LeaveOut(t, name, err)
	}
	return path
}

// A pg_dump that ends midway, as when its connection is cut, leaves no half: that
// there is none is told, and the next is made when it works again.
func TestDumpThatBreaksOff(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		if strings.HasPrefix(dsn, "sqlite:") {
			return // It copies its own file.
		}
		b := newBackedUp(t, dsn)
		first := b.make()
		real := toolOfPostgres(t, "pg_dump")
		folder := t.TempDir()
		script := fmt.Sprintf("#!/bin/sh\nif [ \"$1\" = --version ]; then exec %[1]s --version; fi\n%[1]s \"$@\" | head -c 20000\necho 'pg_dump: error: server closed the connection unexpectedly' >&2\nexit 1\n", real)
		if err := os.WriteFile(filepath.Join(folder, "pg_dump"), []byte(script), 0o700); err != nil {
			t.Fatal(err)
		}
		path := os.Getenv("PATH")
		t.Setenv("PATH", folder+string(filepath.ListSeparator)+path)
		says(t, "broken off", command(t, "", "backup", "--database", b.database, "--keys", b.keys, "--backups", b.folder), 1, "", "server closed the connection")
		if there := left(t, b.folder); !slices.Equal(there, []string{first}) {
			t.Errorf("in the folder lie %v, want the first backup alone", there)
		}
		if _, trouble, err := backupService(b.shop.Store, nil).LastGood(t.Context()); err != nil || trouble != backup.Failed {
			t.Errorf("told as %q, %v", trouble, err)
		}
		t.Setenv("PATH", path)
		time.Sleep(time.Second) // Names hold whole seconds, and the last try is the newest.
		b.make()
		if _, trouble, err := backupService(b.shop.Store, nil).LastGood(t.Context()); err != nil || trouble != "" {
			t.Errorf("once it works again: %q, %v", trouble, err)
		}
	})
}

// Into a folder that can only be read no backup is made; that is told by its code,
// and what lies there stays.
func TestBackupsIntoAReadOnlyFolder(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		b.folder = t.TempDir()
		if err := mountForReading(b.folder); err != nil {
			storetest.LeaveOut(t, storetest.Mount, err)
		}
		mounted := true
		defer func() {
			if mounted {
				unmount(b.folder)
			}
		}()
		says(t, "read-only", command(t, "", "backup", "--database", b.database, "--keys", b.keys, "--backups", b.folder), 1, "", "is gone or cannot be written")
		if there := left(t, b.folder); len(there) > 0 {
			t.Errorf("in the folder lie %v", there)
		}
		if _, trouble, err := backupService(b.shop.Store, nil).LastGood(t.Context()); err != nil || trouble != backup.NoFolder {
			t.Errorf("told as %q, %v", trouble, err)
		}
		got := command(t, "", "doctor", "--database", b.database, "--keys", b.keys, "--backups", b.folder)
		if got.status == 0 || !strings.Contains(got.out, "is gone or cannot be written") {
			t.Errorf("the doctor says %+v", got)
		}
		unmount(b.folder)
		mounted = false
		b.make()
	})
}

// Recording goes on while a backup is made: nobody waits for as long as the copy
// takes. The database has 16 MB that compress badly, so that the copy takes a while.
func TestRecordingGoesOnDuringABackup(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		var padding string
		if strings.HasPrefix(dsn, "sqlite:") {
			do(t, dsn, "CREATE TABLE padding (x BLOB)")
			padding = "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 16) INSERT INTO padding SELECT randomblob(1048576) FROM n"
		} else {
			do(t, dsn, "CREATE TABLE padding (x TEXT)")
			padding = "INSERT INTO padding SELECT (SELECT string_agg(md5(random()::text || n || m), '') FROM generate_series(1, 32768) AS m) FROM generate_series(1, 16) AS n"
		}
		do(t, dsn, padding)
		record := func(until <-chan struct{}, least int) []time.Duration {
			var took []time.Duration
			for {
				select {
				case <-until:
					if len(took) >= least {
						return took
					}
				default:
				}
				began := time.Now()
				b.record()
				took = append(took, time.Since(began))
			}
		}
		at := make(chan struct{})
		close(at)
		before := record(at, 20)
		made, began := make(chan struct{}), time.Now()
		var during time.Duration
		go func() {
			defer close(made)
			got := command(t, "", "backup", "--database", b.database, "--keys", b.keys, "--backups", b.folder)
			if during = time.Since(began); got.status != 0 {
				t.Errorf("%+v", got)
			}
		}()
		meanwhile := record(made, 1)
		slices.Sort(before)
		slices.Sort(meanwhile)
		median, slowest := meanwhile[len(meanwhile)/2], meanwhile[len(meanwhile)-1]
		t.Logf("backup %s; recorded meanwhile %d, median %s, slowest %s; before it the median was %s", during.Round(time.Millisecond), len(meanwhile), median, slowest, before[len(before)/2])
		if slowest > max(during/2, 500*time.Millisecond) || len(meanwhile) < 3 {
			t.Errorf("a backup of %s: %d recorded meanwhile, the slowest in %s", during, len(meanwhile), slowest)
		}
	})
}
