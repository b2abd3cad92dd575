// Package storetest gives tests a fresh database of each kind, with the schema
// up to date.
//
// SQLite is always there: a file that goes with the test. PostgreSQL is used
// when TRACEWRIGHT_TEST_POSTGRES names an administrative database (libpq
// keywords or a postgres:// URL), or else when the server's programs are found
// on this machine: then a private server is started for the test process. When
// there is neither, the half that was left out is said, and with
// TRACEWRIGHT_TEST_ALL=1 it is a failure.
package storetest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"tracewright/models/store"
)

// Main runs a package's tests and stops the private PostgreSQL server that
// they may have started; after are called once they have run. Call it from TestMain.
func Main(m *testing.M, after ...func()) {
	status := m.Run()
	for _, clean := range after {
		clean()
	}
	stopServer()
	stopOwn()
	os.Exit(status)
}

// Each runs f as a subtest on each kind of database.
func Each(t *testing.T, f func(t *testing.T, s *store.Store)) {
	t.Helper()
	EachDSN(t, func(t *testing.T, dsn string) { f(t, Open(t, dsn)) })
}

// EachDSN is Each for tests that need the address of the database, whose
// schema is up to date.
func EachDSN(t *testing.T, f func(t *testing.T, dsn string)) {
	t.Helper()
	t.Run("sqlite", func(t *testing.T) { f(t, SQLite(t)) })
	t.Run("postgres", func(t *testing.T) {
		f(t, NeedPostgres(t))
	})
}

// OnDisk has the files of a test lie on a disk, where the others' lie in memory: before
// its first one is made.
func OnDisk(t *testing.T) {
	t.Helper()
	if disk := os.Getenv("TRACEWRIGHT_TEST_DISK"); disk != "" {
		t.Setenv("TMPDIR", disk)
	}
}

// NeedPostgres is a fresh database of PostgreSQL for a test that is of no use without
// one: it is left out, and fails where nothing may be left out.
func NeedPostgres(t testing.TB) string {
	t.Helper()
	dsn, why := Postgres(t)
	if dsn == "" {
		leaveOut(t, "PostgreSQL: "+why)
	}
	return dsn
}

// leaveOut skips a test that this machine lacks something for, and fails it
// where nothing may be left out.
func leaveOut(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("TRACEWRIGHT_TEST_ALL") == "1" {
		t.Fatal("nothing may be left out here: " + what)
	}
	t.Skip("left out: " + what)
}

// What a machine may not let a test do even where everything is installed: a container
// that may mount nothing, a file system without such files.
const (
	Mount     = "mount"     // make a small disk
	Immutable = "immutable" // make a file that takes nothing
)

// LeaveOut skips a test that this machine does not let do something, and fails it
// where nothing may be left out, unless TRACEWRIGHT_TEST_WITHOUT names it: who sets
// that has tried, and said so.
func LeaveOut(t testing.TB, thing string, why error) {
	t.Helper()
	what := fmt.Sprintf("%s: %v", thing, why)
	if slices.Contains(strings.Fields(os.Getenv("TRACEWRIGHT_TEST_WITHOUT")), thing) {
		t.Skip("left out: " + what)
	}
	leaveOut(t, what)
}

// New opens a fresh SQLite database.
func New(t testing.TB) *store.Store {
	t.Helper()
	return Open(t, SQLite(t))
}

// Open opens a database for the length of the test.
func Open(t testing.TB, dsn string) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), dsn, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Errorf("close the database: %v", err)
		}
	})
	return s
}

// SQLite makes a fresh SQLite database with the schema up to date.
func SQLite(t testing.TB) (dsn string) {
	t.Helper()
	raw, err := migrated()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "test.db")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	return "sqlite:" + path
}

// migrated is a file whose schema is up to date: what is made once for all tests of a
// package costs each a copy.
var migrated = sync.OnceValues(func() (raw []byte, err error) {
	folder, err := os.MkdirTemp("", "tracewright")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, "template.db")
	if err := migrate("sqlite:" + path); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
})

// migrate brings a database's schema up to date.
func migrate(dsn string) error {
	s, err := store.Open(context.Background(), dsn, store.Options{})
	if err != nil {
		return err
	}
	_, err = s.Migrate(context.Background())
	return errors.Join(err, s.Close())
}
