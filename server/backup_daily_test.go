package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/backup"
	"tracewright/server/app"
	"tracewright/server/backups"
)

// A server makes a backup by itself where its flags say, once for all servers on
// one database, unless it is told to make none.
func TestDaily(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		s := serveCommand{databaseFlag: databaseFlag{Database: dsn}}
		s.Backups = b.folder
		open := func(daily func(*store.Store) backup.Place) *app.App {
			a, err := app.Open(t.Context(), app.Config{Database: dsn, Backups: daily, Log: slog.New(slog.DiscardHandler)})
			b.shop.Must(err)
			t.Cleanup(func() { a.Close() })
			return a
		}
		none := s
		none.NoDailyBackups = true
		if none.daily(b.keys) != nil {
			t.Error("a server that is told to make none makes backups")
		}
		silent := open(nil)
		silent.Services.Backups.Run(t.Context()) // ends at once
		if v, err := silent.Services.Backups.State(t.Context()); err != nil || v.Kept || v.Folder != "" || len(v.Trouble) > 0 {
			t.Errorf("without backups the state is %+v, %v", v, err)
		}
		a := open(s.daily(b.keys))
		if !strings.HasPrefix(dsn, "sqlite:") { // Two servers look at the same moment.
			other := open(s.daily(b.keys))
			var both sync.WaitGroup
			for _, x := range []*app.App{a, other} {
				both.Go(func() { x.Services.Backups.Look(t.Context()) })
			}
			both.Wait()
		}
		a.Services.Backups.Look(t.Context())
		a.Services.Backups.Look(t.Context())
		files, err := a.Services.Backups.Files(t.Context())
		if err != nil || len(files) != 1 || files[0].Kind != models.BackupDaily {
			t.Fatalf("files %+v, %v", files, err)
		}
		last, trouble, err := a.Services.Backups.LastGood(t.Context())
		if err != nil || trouble != "" || last.IsZero() {
			t.Errorf("last good %s, %q, %v", last, trouble, err)
		}
		file := filepath.Join(b.folder, files[0].Name)
		says(t, "look at it", command(t, "", "backup", "--check", file, "--key-file", b.key, "--database", dsn), 0, "Sound.", "")
		// A disk that is pulled out leaves the folder behind that it was mounted on.
		elsewhere := filepath.Join(t.TempDir(), files[0].Name)
		b.shop.Must(os.Rename(file, elsewhere))
		a.Services.Backups.Look(t.Context())
		if _, trouble, err := a.Services.Backups.LastGood(t.Context()); err != nil || trouble != backup.Emptied {
			t.Errorf("the folder is empty: %q, %v", trouble, err)
		}
		got := command(t, "", "doctor", "--database", dsn, "--keys", b.keys, "--backups", b.folder)
		if got.status == 0 || !strings.Contains(got.out, "holds none of those that were made in it") {
			t.Errorf("the doctor says %+v", got)
		}
		b.shop.Must(os.Rename(elsewhere, file))
		a.Services.Backups.Look(t.Context())
		if _, trouble, err := a.Services.Backups.LastGood(t.Context()); err != nil || trouble != "" {
			t.Errorf("the disk is back: %q, %v", trouble, err)
		}
		b.shop.Must(os.RemoveAll(b.folder)) // Now the folder goes too.
		if _, err := a.Services.Backups.Make(t.Context(), models.BackupDaily); err == nil {
			t.Error("a backup was made into a folder that is gone")
		}
		if _, trouble, err := a.Services.Backups.LastGood(t.Context()); err != nil || trouble != backup.NoFolder {
			t.Errorf("the folder is gone: %q, %v", trouble, err)
		}
		// The database goes on taking work.
		b.record()
	})
}

// A backup beside the database lies in a folder of its own, named like the keys.
func TestFolderOfBackups(t *testing.T) {
	for _, c := range []struct {
		flag, database, keys, want string
		beside                     bool
	}{
		{"", "sqlite:/srv/shop.db", "", "/srv/shop.backups", true},
		{"/mnt/b", "sqlite:/srv/shop.db", "", "/mnt/b", false},
		{"", "postgres://x/y", "/srv/keys/", "/srv/backups", true},
		{"", "postgres://x/y", "", "", false},
		{"/mnt/b", "postgres://x/y", "", "/mnt/b", false},
	} {
		got, beside := backupsFlag{c.flag}.folder(c.database, c.keys)
		if filepath.ToSlash(got) != c.want || beside != c.beside {
			t.Errorf("%+v: %s, %t", c, got, beside)
		}
	}
}

// Each trouble has its code.
func TestTroublesOfBackups(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{fmt.Errorf("write: %w", &os.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}), backup.DiskFull},
		{fmt.Errorf("copy: %w", store.ErrFull), backup.DiskFull},
		{fmt.Errorf("copy: %w", store.ErrDamaged), backup.Damaged},
		{fmt.Errorf("dump: %w", store.ErrNoTool), backup.NoTool},
		{fmt.Errorf("file: %w", backups.ErrChanged), ""},
		{context.Canceled, ""},
	} {
		var trouble *backup.TroubleError
		code := ""
		if errors.As(troubled(c.err), &trouble) {
			code = trouble.Code
		}
		if code != c.want {
			t.Errorf("%v has the code %q, want %q", c.err, code, c.want)
		}
	}
}

// On a disk that is full no backup is made, that is told by its code, what is
// there stays, and the next one is made once there is room.
func TestFullDisk(t *testing.T) {
	small := t.TempDir()
	storetest.SmallDisk(t, small, 1)
	b := newBackedUp(t, storetest.SQLite(t))
	b.folder = small
	first := b.make()
	filler := filepath.Join(small, "filler")
	if err := os.WriteFile(filler, make([]byte, 8<<20), 0o600); !full(err) {
		t.Fatalf("the disk took more than it has: %v", err)
	}
	says(t, "full", command(t, "", "backup", "--database", b.database, "--keys", b.keys, "--backups", small), 1, "", "The disk is full")
	s := storetest.Open(t, b.database)
	if _, trouble, err := backupService(s, nil).LastGood(t.Context()); err != nil || trouble != backup.DiskFull {
		t.Errorf("told as %q, %v", trouble, err)
	}
	says(t, "the first is still good", command(t, "", "backup", "--check", first, "--key-file", b.key), 0, "Sound.", "")
	b.shop.Must(os.Remove(filler))
	b.make()
}
