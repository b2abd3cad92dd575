package main

import (
	"crypto/rand"
	mathrand "math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tracewright/models/store/storetest"
	"tracewright/models/trail"
	"tracewright/models/work/access"
	"tracewright/server/backups"
)

// A backup that is made by another process while a server writes holds every
// inspection that was answered before it began, and verifies.
func TestBackupWhileServing(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and runs it")
	}
	binary := build(t)
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		key, _, err := access.New(b.shop.Store, time.Now, access.Cost{}).Enrol(t.Context(), b.shop.Owner, "stand 1", "stand 1")
		b.shop.Must(err)
		k := &killed{binary: binary, database: dsn, keys: b.keys, device: key, person: b.shop.Operator.PersonID}
		var serials []string
		for range 4 {
			serials = append(serials, *b.shop.AnotherWheel().Serial)
		}
		answered := map[string]bool{}
		k.start(t)
		postUntilKilled(t, k, b.shop, serials, answered)
		k.start(t)
		more := map[string]bool{}
		done := make(chan struct{})
		go func() { // Others write while the backup is made.
			defer close(done)
			postUntilKilled(t, k, b.shop, serials, more)
		}()
		out, err := exec.Command(binary, "backup", "--database", dsn, "--keys", b.keys, "--backups", b.folder).CombinedOutput()
		if err != nil {
			t.Errorf("%v: %s", err, out)
		}
		<-done
		file, _, _ := strings.Cut(string(out), "\n")
		says(t, "look at it", command(t, "", "backup", "--check", file, "--key-file", b.key, "--database", dsn), 0, "Sound.", "")
		database, keys := b.emptyPlace()
		says(t, "put it back", command(t, "", "restore", file, "--database", database, "--keys", keys, "--key-file", b.key), 0, "stay enrolled: 1", "")
		if t.Failed() {
			t.FailNow()
		}
		s := storetest.Open(t, database)
		for id := range answered {
			if _, err := s.Inspection(t.Context(), id); err != nil {
				t.Errorf("inspection %s was answered before and is not in it: %v", id, err)
			}
		}
		if len(answered) == 0 {
			t.Error("nothing was posted before")
		}
	})
}

// A backup that is killed leaves the good ones as they were and none by a good
// name that is not whole; what is left of it goes with a later one.
func TestKillWhileBackingUp(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and kills it several times")
	}
	binary := build(t)
	dsn := storetest.SQLite(t)
	b := newBackedUp(t, dsn)
	for range 10 { // 20 MB that cannot be compressed
		raw := make([]byte, 2<<20)
		rand.Read(raw)
		do(t, dsn, "INSERT INTO files (hash, media_type, bytes, created_at) VALUES (?, 'application/pdf', ?, '2031-01-01 00:00:00+00:00')", trail.Digest(raw), raw)
	}
	first := b.make()
	begun := time.Now()
	b.make()
	whole := time.Since(begun)
	for range 6 {
		process := exec.Command(binary, "backup", "--database", dsn, "--keys", b.keys, "--backups", b.folder)
		if err := process.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(mathrand.Int64N(int64(whole))))
		process.Process.Kill()
		process.Wait()
	}
	recovery, err := backups.ParseRecovery(b.typedKey())
	b.shop.Must(err)
	list, err := backups.List(b.folder)
	if err != nil || len(list) < 2 {
		t.Fatalf("%d backups, %v", len(list), err)
	}
	for _, f := range list {
		if _, err := backups.Extract(t.Context(), filepath.Join(b.folder, f.Name), &recovery, t.TempDir(), freeIn); err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
	}
	if list[0].Name != filepath.Base(first) {
		t.Errorf("the first is %s, was %s", list[0].Name, first)
	}
	place := filepath.Dir(strings.TrimPrefix(dsn, "sqlite:"))
	halves := func() []string {
		t.Helper()
		var found []string
		for _, pattern := range []string{filepath.Join(b.folder, ".backup-*"), filepath.Join(place, temporaryCopy)} {
			names, err := filepath.Glob(pattern)
			b.shop.Must(err)
			found = append(found, names...)
		}
		return found
	}
	old := time.Now().Add(-13 * time.Hour)
	for _, name := range halves() {
		b.shop.Must(os.Chtimes(name, old, old))
	}
	b.make()
	if names := halves(); len(names) > 0 {
		t.Errorf("left lying: %v", names)
	}
}
