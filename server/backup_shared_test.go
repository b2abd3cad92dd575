package main

import (
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tracewright/models/store/storetest"
	"tracewright/server/app"
	"tracewright/server/backups"
)

// Two shops, and a copy of one that was put back, make their backups into one folder:
// none takes another's away, and the doctor finds out where somebody did.
func TestShopsThatShareAFolder(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		clockIsKept(t, true)
		b := newBackedUp(t, dsn)
		other := newBackedUp(t, storetest.SQLite(t))
		other.folder = b.folder
		night := func(database, keys string) {
			t.Helper()
			s := serveCommand{databaseFlag: databaseFlag{Database: database}}
			s.Backups = b.folder
			a, err := app.Open(t.Context(), app.Config{Database: database, Backups: s.daily(keys), Log: slog.New(slog.DiscardHandler)})
			b.shop.Must(err)
			defer a.Close()
			a.Services.Backups.Look(t.Context())
		}
		lie := func() []string {
			list, err := backups.List(b.folder)
			b.shop.Must(err)
			var names []string
			for _, k := range list {
				names = append(names, k.Name)
			}
			return names
		}
		night(b.database, b.keys)
		first := lie()
		if len(first) != 1 {
			t.Fatalf("there lie %v", first)
		}
		night(other.database, other.keys)
		copied, keys := b.emptyPlace()
		says(t, "a copy", command(t, "", "restore", filepath.Join(b.folder, first[0]), "--database", copied, "--keys", keys, "--key-file", b.key), 0, "Put back at", "")
		night(copied, keys)
		if all := lie(); len(all) != 3 || !slices.Contains(all, first[0]) {
			t.Errorf("there lie %v, want three with %s", all, first[0])
		}
		doctor := func() string {
			return command(t, "", "doctor", "--database", b.database, "--keys", b.keys, "--backups", b.folder).out
		}
		if said := doctor(); strings.Contains(said, "is not there") {
			t.Errorf("the doctor says %s", said)
		}
		b.shop.Must(os.Remove(filepath.Join(b.folder, first[0])))
		if said := doctor(); !strings.Contains(said, first[0]+", is not there") {
			t.Errorf("without it the doctor says %s", said)
		}
	})
}

// A backup by hand beside the database leaves the guard of the folder on another disk
// as it was, the doctor's advice names that folder, and its word of the last good one
// names where that lies.
func TestADiskThatIsNotThereAfterABackupElsewhere(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		clockIsKept(t, true)
		b := newBackedUp(t, dsn)
		first := b.make()
		elsewhere := t.TempDir()
		says(t, "elsewhere", command(t, "", "backup", "--database", dsn, "--keys", b.keys, "--backups", elsewhere), 0, elsewhere, "")
		args := []string{"doctor", "--database", dsn, "--keys", b.keys, "--backups", b.folder}
		if said := command(t, "", args...).out; !strings.Contains(said, "old, in "+elsewhere+".") {
			t.Errorf("the disk is there: %s", said)
		}
		b.shop.Must(os.Remove(first))
		if said := command(t, "", args...).out; !strings.Contains(said, "tracewright backup --backups "+b.folder) {
			t.Errorf("the disk is not there: %s", said)
		}
	})
}
