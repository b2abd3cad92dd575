package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tracewright/models/store/storetest"
)

// A backup that would hold no key of the log is not made: by hand with another folder
// of keys or none, and before an upgrade.
func TestNoBackupWithoutTheKeysOfTheLog(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		refused := func(name string, status int, args ...string) {
			t.Helper()
			got := command(t, "", append(args, "--database", dsn, "--backups", b.folder)...)
			if got.status != status || !strings.Contains(got.err, "name the folder in which the server’s keys lie with --keys") {
				t.Errorf("%s: %+v", name, got)
			}
			if there := left(t, b.folder); len(there) > 0 {
				t.Errorf("%s: there lie %v", name, there)
			}
		}
		empty := t.TempDir()
		refused("none named", 1, "backup")
		refused("another folder", 1, "backup", "--keys", empty)
		for _, name := range left(t, b.keys) {
			if filepath.Ext(name) == ".pub" {
				raw, err := os.ReadFile(name)
				b.shop.Must(err)
				b.shop.Must(os.WriteFile(filepath.Join(empty, filepath.Base(name)), raw, 0o600))
			}
		}
		refused("its public half alone", 1, "backup", "--keys", empty)
		b.shop.Must(b.shop.Store.Close())
		do(t, dsn, "UPDATE goose_db_version SET version_id = -version_id WHERE version_id = (SELECT max(version_id) FROM goose_db_version)")
		refused("before an upgrade", 1, "migrate", "up", "--keys", t.TempDir())
	})
}

// A database that is opened through a link has its keys and backups beside the file
// that the link leads to.
func TestBackupThroughALink(t *testing.T) {
	folder := t.TempDir()
	real := filepath.Join(folder, "disk")
	if err := os.Mkdir(real, 0o700); err != nil {
		t.Fatal(err)
	}
	file, link := filepath.Join(real, "shop.db"), filepath.Join(folder, "link.db")
	says(t, "a shop", command(t, "", "migrate", "up", "--database", "sqlite:"+file), 0, "applied", "")
	if err := startedOn(t, "sqlite:"+file, filepath.Join(real, "shop.keys")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(file, link); err != nil {
		t.Skip("left out: no links here: ", err)
	}
	through := []string{"--database", "sqlite:" + link}
	says(t, "the recovery key", command(t, "", append([]string{"backup", "--new-key"}, through...)...), 0, "age1", "")
	says(t, "by the link", command(t, "", append([]string{"backup"}, through...)...), 0, filepath.Join(real, "shop.backups"), "")
	says(t, "keys by the link", command(t, "", append([]string{"keys", "list"}, through...)...), 0, "here", "")
	if there := left(t, folder); len(there) != 2 {
		t.Errorf("beside the link lie %v", there)
	}
	// A shop that was begun through the link keeps what lies beside it.
	if err := os.Rename(filepath.Join(real, "shop.keys"), filepath.Join(folder, "link.keys")); err != nil {
		t.Fatal(err)
	}
	says(t, "keys beside the link", command(t, "", append([]string{"keys", "list"}, through...)...), 0, "here", "")
	says(t, "a backup with them", command(t, "", append([]string{"backup"}, through...)...), 0, "encrypted", "")
}
