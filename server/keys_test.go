package main

import (
	"context"
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trail"
	"tracewright/server/app"
	"tracewright/server/keyring"
)

// startedOn opens the server's parts as serve does, and closes them again.
func startedOn(t *testing.T, dsn, keys string) error {
	t.Helper()
	folder, err := keyring.Open(keys)
	if err != nil {
		t.Fatal(err)
	}
	a, err := app.Open(t.Context(), app.Config{Database: dsn, Keys: folder, Server: "shop", Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		return explain(err, "")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	a.Seal(ctx) // its last turn alone
	return a.Close()
}

func typed(t *testing.T, args ...string) (status int, out, errs string) {
	t.Helper()
	var stdout, stderr strings.Builder
	status = run(t.Context(), args, streams{strings.NewReader(""), &stdout, &stderr})
	return status, stdout.String(), stderr.String()
}

// The life of keys by commands: the first at the first start, another by
// rotating, one of a second server by enrolling, the end of an old one; and one
// that nobody vouches for where all are lost.
func TestKeysByCommands(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		folder := t.TempDir()
		own, second, lost := filepath.Join(folder, "own"), filepath.Join(folder, "second"), filepath.Join(folder, "lost")
		keys := func(place string, rest ...string) (int, string, string) {
			t.Helper()
			return typed(t, append(append([]string{"keys"}, rest...), "--database", dsn, "--keys", place)...)
		}
		if status, _, errs := keys(own, "rotate"); status != 1 || !strings.Contains(errs, "first start") {
			t.Errorf("rotate before anything is sealed: %d %s", status, errs)
		}
		if err := startedOn(t, dsn, own); err != nil {
			t.Fatal(err)
		}
		first := onlyKey(t, own)
		if status, out, _ := keys(own, "list"); status != 0 || !strings.Contains(out, first) || !strings.Contains(out, "the first") || !strings.Contains(out, "signs") || !strings.Contains(out, "here") {
			t.Errorf("list: %d %s", status, out)
		}
		if status, out, errs := keys(own, "rotate"); status != 0 || !strings.Contains(out, first+" vouches for it") {
			t.Errorf("rotate: %d %s%s", status, out, errs)
		}

		var exit *exitError
		if err := startedOn(t, dsn, second); !errors.As(err, &exit) || !strings.Contains(exit.line, "tracewright keys enrol") || !strings.Contains(exit.line, ".pub") {
			t.Fatalf("a second server that nobody enrolled: %v", err)
		}
		theirs := onlyKey(t, second)
		if status, _, errs := keys(second, "enrol", filepath.Join(second, theirs+".pub")); status != 1 || !strings.Contains(errs, "no key in") {
			t.Errorf("it vouches for itself: %d %s", status, errs)
		}
		if status, out, errs := keys(own, "enrol", filepath.Join(second, theirs+".pub"), "--server", "two"); status != 0 || !strings.Contains(out, theirs+" of two may sign") {
			t.Errorf("enrol: %d %s%s", status, out, errs)
		}
		if status, _, errs := keys(own, "enrol", filepath.Join(second, theirs+".pub")); status != 1 || !strings.Contains(errs, "already") {
			t.Errorf("enrol again: %d %s", status, errs)
		}
		if status, _, _ := keys(own, "enrol"); status != 2 {
			t.Errorf("enrol nobody: %d", status)
		}
		if err := startedOn(t, dsn, second); err != nil {
			t.Errorf("the second server, enrolled: %v", err)
		}
		if status, out, errs := keys(own, "retire", first); status != 0 || !strings.Contains(out, "signs nothing more") {
			t.Errorf("retire: %d %s%s", status, out, errs)
		}
		if status, _, errs := keys(own, "retire", "none"); status != 1 || !strings.Contains(errs, "no such key") {
			t.Errorf("retire none: %d %s", status, errs)
		}
		if err := startedOn(t, dsn, own); err != nil {
			t.Error(err)
		}
		verifies(t, dsn, filepath.Join(own, first+".pub"))

		if status, out, errs := keys(lost, "enrol", "--alone"); status != 0 || !strings.Contains(out, "nobody vouches for it") {
			t.Errorf("enrol alone: %d %s%s", status, out, errs)
		}
		if err := startedOn(t, dsn, lost); err != nil {
			t.Errorf("with a key that nobody vouches for: %v", err)
		}
		if status, out, _ := keys(lost, "list"); status != 0 || !strings.Contains(out, "nobody") || strings.Count(out, "signs") != 3 || strings.Count(out, "retired") != 1 {
			t.Errorf("list of all: %d\n%s", status, out)
		}
	})
}

// onlyKey is the id of the one key in a folder.
func onlyKey(t *testing.T, folder string) string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*.key"))
	if err != nil || len(files) != 1 {
		t.Fatalf("keys in %s: %v, %v; want one", folder, files, err)
	}
	return strings.TrimSuffix(filepath.Base(files[0]), ".key")
}

// verifies walks along the log and its checkpoints by its first key.
func verifies(t *testing.T, dsn, public string) {
	t.Helper()
	first, err := keyring.ReadPublic(public)
	if err != nil {
		t.Fatal(err)
	}
	s := storetest.Open(t, dsn)
	v := trail.NewVerifier(trail.Keys{trail.KeyID(first): first})
	points, err := s.Checkpoints(t.Context(), 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range points {
		v.Checkpoint(c.Signed())
	}
	entries, err := s.SealedEntries(t.Context(), 0, 1000)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		chained, err := e.Sealed()
		if err == nil {
			err = v.Entry(chained)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if r := v.Report(); r.Problem != nil || r.Checkpoints < 3 || r.Uncheckpointed != 0 {
		t.Errorf("verified %+v of %d entries under %d checkpoints", r.Problem, r.Entries, r.Checkpoints)
	}
}

// A start is refused, and says why, with a key that others can read, with the
// keys of another log, and where a PostgreSQL database is given no folder.
func TestStartWithBadKeys(t *testing.T) {
	folder := t.TempDir()
	one, two := "sqlite:"+filepath.Join(folder, "one.db"), "sqlite:"+filepath.Join(folder, "two.db")
	keys := filepath.Join(folder, "one.keys")
	if err := startedOn(t, one, keys); err != nil {
		t.Fatal(err)
	}
	var exit *exitError
	if err := startedOn(t, two, keys); !errors.As(err, &exit) || !strings.Contains(exit.line, "another log") {
		t.Errorf("the keys of another log: %v", err)
	}
	file := filepath.Join(keys, onlyKey(t, keys)+".key")
	if err := os.Chmod(file, 0o644); err != nil {
		t.Fatal(err)
	}
	if status, _, errs := typed(t, "serve", "--database", one, "--listen", "127.0.0.1:0"); status != 1 || !strings.Contains(errs, file) || !strings.Contains(errs, "chmod 600") {
		t.Errorf("a key that others can read: %d %s", status, errs)
	}
	if err := os.RemoveAll(keys); err != nil {
		t.Fatal(err)
	}
	if status, _, errs := typed(t, "serve", "--database", one, "--listen", "127.0.0.1:0"); status != 1 || !strings.Contains(errs, "put that folder back from a backup") {
		t.Errorf("a folder that is gone: %d %s", status, errs)
	}
	if status, _, errs := typed(t, "serve", "--database", "host=nowhere dbname=shop", "--listen", "127.0.0.1:0"); status != 2 || !strings.Contains(errs, "--keys") {
		t.Errorf("PostgreSQL without a folder: %d %s", status, errs)
	}
}

// An existing database with thousands of entries from before there was a chain
// is sealed while changes go on.
func TestAnOldDatabaseIsSealed(t *testing.T) {
	dsn := storetest.SQLite(t)
	s, err := store.Open(t.Context(), dsn, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for range 3000 {
		if err := s.SetSetting(t.Context(), models.Stamp{}, models.SettingShopName, "x"); err != nil {
			t.Fatal(err)
		}
	}
	s.Close()
	keys := filepath.Join(t.TempDir(), "keys")
	if err := startedOn(t, dsn, keys); err != nil {
		t.Fatal(err)
	}
	s = storetest.Open(t, dsn)
	head, err := s.TrailHead(t.Context())
	if err != nil || head.Size != 3006 { // five records come with the schema
		t.Errorf("%d entries sealed, %v; want all, the first, and those that come with the schema", head.Size, err)
	}
}
