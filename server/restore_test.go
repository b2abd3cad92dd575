package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"tracewright/models/store/storetest"
)

// Where the keys cannot be written nothing stays behind, also no database, so that the
// next try finds its place empty.
func TestRestoreWhereKeysCannotBeWritten(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		file := b.make()
		database, keys := b.emptyPlace()
		b.shop.Must(os.MkdirAll(keys, 0o700))
		if err := mountForReading(keys); err != nil {
			storetest.LeaveOut(t, storetest.Mount, err)
		}
		restore := func() ran {
			return command(t, "", "restore", file, "--database", database, "--keys", keys, "--key-file", b.key)
		}
		says(t, "without the keys", restore(), 1, "", "put the keys back")
		unmount(keys)
		says(t, "with them", restore(), 0, "Put back at", "")
		says(t, "sound", command(t, "", "verify", "database", "--database", database, "--keys", keys), 0, "Sound.", "")
	})
}

// A dump that cannot be brought up to date leaves the database as empty as it was.
func TestRestoreThatCannotBringTheSchemaUp(t *testing.T) {
	b := newBackedUp(t, storetest.NeedPostgres(t))
	// A table of that name stands in the way of the last migrations, which are to run again.
	do(t, b.database, "DELETE FROM goose_db_version WHERE version_id >= 43")
	file := filepath.Join(b.folder, "older.twbackup")
	says(t, "of an older schema", command(t, "", "backup", "--database", b.database, "--keys", b.keys, "--to", file), 0, "encrypted", "")
	database, keys := b.emptyPlace()
	got := command(t, "", "restore", file, "--database", database, "--keys", keys, "--key-file", b.key)
	if got.status == 0 || !strings.Contains(got.err, "migrat") {
		t.Errorf("restored: %+v", got)
	}
	if empty, err := storetest.Open(t, database).Empty(t.Context()); err != nil || !empty {
		t.Errorf("the database is empty: %t, %v", empty, err)
	}
}

// A restoration that is killed once all is in the database and before its counters are
// moved on leaves nothing that anybody starts.
func TestRestoreThatDidNotEnd(t *testing.T) {
	b := newBackedUp(t, storetest.NeedPostgres(t))
	file := b.make()
	database, keys := b.emptyPlace()
	u, err := recoveryFlag{KeyFile: b.key}.unpack(t.Context(), file, t.TempDir(), linesOf(t.Context(), streams{in: strings.NewReader("")}), streams{})
	b.shop.Must(err)
	s, err := u.database(t.Context(), database)
	b.shop.Must(err)
	b.shop.Must(s.Close()) // It is killed here.
	own := []string{"--database", database, "--keys", b.keys}
	for _, args := range [][]string{{"serve", "--listen", "127.0.0.1:0"}, {"migrate", "up"}, {"backup", "--backups", b.folder}, {"verify", "database"}, {"keys", "list"}} {
		ctx, stop := context.WithTimeout(t.Context(), 20*time.Second)
		var out, said strings.Builder
		status := run(ctx, append(args, own...), streams{strings.NewReader(""), &out, &said})
		stop()
		if status == 0 || !strings.Contains(said.String(), "did not end") {
			t.Errorf("%s: status %d, %q, %q", args[0], status, out.String(), said.String())
		}
	}
	if got := command(t, "", append([]string{"doctor"}, own...)...); got.status == 0 || !strings.Contains(got.out, "did not end") {
		t.Errorf("the doctor: %+v", got)
	}
	again := []string{"restore", file, "--database", database, "--keys", keys, "--key-file", b.key}
	if got := command(t, "", again...); got.status == 0 || !strings.Contains(got.err, "make an empty one of that name") {
		t.Errorf("again: %+v", got)
	}
	do(t, database, "DROP SCHEMA public CASCADE")
	do(t, database, "CREATE SCHEMA public")
	says(t, "into an empty one", command(t, "", again...), 0, "Put back at", "")
	if err := startedOn(t, database, keys); err != nil {
		t.Error(err)
	}
}

// A backup that is put back a second time gives out no number of the time between,
// where whoever does so says how far to go on.
func TestRestoreASecondTime(t *testing.T) {
	b := newBackedUp(t, storetest.SQLite(t))
	file := b.make()
	put := func(forward string) (database string) {
		t.Helper()
		database, keys := b.emptyPlace()
		says(t, "put back", command(t, "", "restore", file, "--database", database, "--keys", keys, "--key-file", b.key, "--forward", forward), 0, fmt.Sprintf("go on %s further", forward), "")
		return database
	}
	first, again := storetest.Open(t, put("1000")), storetest.Open(t, put("2000"))
	r, err := again.LastRestoration(t.Context())
	if err != nil || r.Forward != 2000 {
		t.Errorf("written down as %+v, %v", r, err)
	}
	if r, err = first.LastRestoration(t.Context()); err != nil || r.Forward != 1000 {
		t.Errorf("written down as %+v, %v", r, err)
	}
	for _, wrong := range []string{"999", "0", "-1000", "20001"} {
		database, keys := b.emptyPlace()
		says(t, wrong, command(t, "", "restore", file, "--database", database, "--keys", keys, "--key-file", b.key, "--forward="+wrong), 2, "", "--forward is a number from 1000")
	}
}

// What a program that was killed left open, in the clear, goes with the next look.
func TestWhatWasLeftOpenGoes(t *testing.T) {
	storetest.OnDisk(t)
	b := newBackedUp(t, storetest.SQLite(t))
	file := b.make()
	temporary := t.TempDir()
	t.Setenv("TMPDIR", temporary)
	places := map[string]func() ran{
		temporary: func() ran { return command(t, "", "backup", "--check", file, "--key-file", b.key) },
		filepath.Dir(strings.TrimPrefix(b.database, "sqlite:")): func() ran {
			return command(t, "", "backup", "--database", b.database, "--keys", b.keys, "--backups", b.folder)
		},
	}
	for place, run := range places {
		left := filepath.Join(place, ".tracewright-open-123")
		b.shop.Must(os.MkdirAll(filepath.Join(left, "keys"), 0o700))
		b.shop.Must(os.WriteFile(filepath.Join(left, "keys", "ab.key"), []byte("secret"), 0o600))
		old := time.Now().Add(-13 * time.Hour)
		b.shop.Must(os.Chtimes(left, old, old))
		if got := run(); got.status != 0 {
			t.Fatalf("%+v", got)
		}
		if _, err := os.Lstat(left); err == nil {
			t.Errorf("%s is there still", left)
		}
		// What another account left cannot be taken away, and keeps nobody from a backup.
		b.shop.Must(os.MkdirAll(filepath.Join(left, "keys"), 0o700))
		b.shop.Must(os.Chtimes(left, old, old))
		theirs := storetest.TakesNothing(t, "sqlite:"+left)
		theirs(true)
		if got := run(); got.status != 0 {
			t.Errorf("beside what is another's: %+v", got)
		}
		theirs(false)
	}
}

// A copy that leaves those who record no room is not begun.
func TestBackupWithoutRoomForTheCopy(t *testing.T) {
	small := t.TempDir()
	storetest.SmallDisk(t, small, 44)
	dsn := "sqlite:" + filepath.Join(small, "shop.db")
	says(t, "a new shop", command(t, "", "migrate", "up", "--database", dsn), 0, "applied", "")
	b := newBackedUp(t, dsn)
	b.make()
	// 12 MB in the file, 30 MB left: less than the copy and what is left to others.
	do(t, b.database, "CREATE TABLE padding (x BLOB)")
	do(t, b.database, "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 6) INSERT INTO padding SELECT zeroblob(1048576) FROM n")
	says(t, "no room", command(t, "", "backup", "--database", b.database, "--keys", b.keys, "--backups", b.folder), 1, "", "The disk of the database")
	if there := left(t, b.folder); len(there) != 1 {
		t.Errorf("in the folder lie %v", there)
	}
}

// A program whose terminal is closed while it waits for a word takes away what lies
// open, the private keys among it.
func TestNothingLiesOpenAfterTheTerminalIsClosed(t *testing.T) {
	self, err := os.FindProcess(os.Getpid())
	if err != nil || runtime.GOOS == "windows" || signal.Ignored(syscall.SIGHUP) {
		t.Skip("left out: no such signal here")
	}
	b := newBackedUp(t, storetest.SQLite(t))
	file := b.make()
	database, keys := b.emptyPlace()
	waits, typed, err := os.Pipe()
	b.shop.Must(err)
	defer typed.Close()
	ctx, stop := signal.NotifyContext(t.Context(), stopSignals()...)
	defer stop()
	ended := make(chan int)
	go func() {
		var out, said bytes.Buffer
		ended <- run(ctx, []string{"restore", file, "--database", database, "--keys", keys, "--key-file", b.key}, streams{waits, &out, &said})
	}()
	below := filepath.Dir(strings.TrimPrefix(database, "sqlite:"))
	for range 500 {
		if open, _ := filepath.Glob(filepath.Join(below, ".tracewright-open-*", "keys", "*.key")); len(open) > 0 {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	time.Sleep(300 * time.Millisecond) // until the label is asked for
	b.shop.Must(self.Signal(syscall.SIGHUP))
	select {
	case status := <-ended:
		if status == 0 {
			t.Error("it was put back all the same")
		}
	case <-time.After(20 * time.Second):
		t.Error("it waits on")
	}
	if there := left(t, below); len(there) > 0 {
		t.Errorf("there lie %v", there)
	}
}

// After a backup in the clear is put back the server starts once that is done which is
// said, word for word.
func TestRestoreOfABackupInTheClear(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		place := t.TempDir()
		keys := filepath.Join(place, "own keys")
		says(t, "a shop", command(t, "", "migrate", "up", "--database", dsn), 0, "", "")
		if err := startedOn(t, dsn, keys); err != nil {
			t.Fatal(err)
		}
		b := &backedUp{t: t, database: dsn}
		// Beside the database, or the keys: elsewhere none lies in the clear.
		made := command(t, "", "backup", "--database", dsn, "--keys", keys)
		file, _, _ := strings.Cut(made.out, "\n")
		database, restored := b.emptyPlace()
		restored = filepath.Join(filepath.Dir(restored), "keys of the shop")
		got := command(t, "", "restore", file, "--database", database, "--keys", restored)
		_, rest, _ := strings.Cut(got.out, "run once\n  tracewright ")
		line, _, said := strings.Cut(rest, "\n")
		if got.status != 0 || !said {
			t.Fatalf("%+v", got)
		}
		args := regexp.MustCompile(`'[^']*'|"[^"]*"|\S+`).FindAllString(line, -1)
		for i := range args {
			args[i] = strings.Trim(args[i], `"'`)
		}
		if err := startedOn(t, database, restored); err == nil {
			t.Error("it started without a key that the log knows")
		}
		says(t, line, command(t, "", args...), 0, "signs for this log", "")
		if err := startedOn(t, database, restored); err != nil {
			t.Error(err)
		}
	})
}

// What a restoration into PostgreSQL leaves out is said.
func TestRestoreWithoutAPlaceForTheAuthority(t *testing.T) {
	b := newBackedUp(t, storetest.NeedPostgres(t))
	tls := t.TempDir()
	b.shop.Must(os.WriteFile(filepath.Join(tls, "authority.pem"), []byte("x"), 0o600))
	says(t, "a backup", command(t, "", "backup", "--database", b.database, "--keys", b.keys, "--backups", b.folder, "--tls-folder", tls), 0, "encrypted", "")
	file := left(t, b.folder)[0]
	database, keys := b.emptyPlace()
	says(t, "without a folder", command(t, "", "restore", file, "--database", database, "--keys", keys, "--key-file", b.key), 0, "was left out, for no --tls-folder was named", "")
	database, keys = b.emptyPlace()
	got := command(t, "", "restore", file, "--database", database, "--keys", keys, "--key-file", b.key, "--tls-folder", filepath.Join(t.TempDir(), "tls"))
	if got.status != 0 || strings.Contains(got.out, "left out") {
		t.Errorf("with one: %+v", got)
	}
}
