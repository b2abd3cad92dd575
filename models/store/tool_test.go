package store_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// Where pg_dump is missing, or older than the server, no snapshot is made of
// PostgreSQL, and what to do is said.
func TestNoProgramOfPostgres(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		if s.Dialect() == store.SQLite {
			return // It needs none.
		}
		store.ForgetToolPlaces(t)
		folder := t.TempDir()
		t.Setenv("PATH", folder)
		look := func(name, says string) {
			t.Helper()
			if _, err := s.Snapshot(t.Context(), t.TempDir()); !errors.Is(err, store.ErrNoTool) || !strings.Contains(err.Error(), says) {
				t.Errorf("%s: %v, want %q", name, err, says)
			}
		}
		look("none", "pg_dump is not here")
		if err := os.WriteFile(filepath.Join(folder, "pg_dump"), []byte("#!/bin/sh\necho 'pg_dump (PostgreSQL) 9.6.24'\n"), 0o700); err != nil {
			t.Fatal(err)
		}
		look("an older one", "of version 9 is here")
	})
}

// A file or a database of another program is left as it is, and so is a path that
// leads to none.
func TestWhatIsNotOurs(t *testing.T) {
	folder := t.TempDir()
	letter := filepath.Join(folder, "letter.db")
	if err := os.WriteFile(letter, []byte("Dear customer,\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{letter, folder} {
		if _, err := store.Open(t.Context(), "sqlite:"+path, store.Options{}); !errors.Is(err, store.ErrNotOurs) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if raw, err := os.ReadFile(letter); err != nil || string(raw) != "Dear customer,\n" {
		t.Errorf("the letter is now %q, %v", raw, err)
	}
}

// One program alone, of all on a database, makes the backup that is due.
func TestAloneAtBackups(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		one, other := storetest.Open(t, dsn), storetest.Open(t, dsn)
		release, alone, err := one.AloneAtBackups(t.Context())
		if err != nil || !alone {
			t.Fatalf("%t, %v", alone, err)
		}
		if one.Dialect() == store.SQLite {
			return // A file has one server.
		}
		if _, alone, err := other.AloneAtBackups(t.Context()); err != nil || alone {
			t.Errorf("a second server: %t, %v", alone, err)
		}
		release()
		release, alone, err = other.AloneAtBackups(t.Context())
		if err != nil || !alone {
			t.Fatalf("once the first is done: %t, %v", alone, err)
		}
		release()
	})
}
