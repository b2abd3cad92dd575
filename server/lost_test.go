package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tracewright/models/store/storetest"
)

// Where the keys of a shop lie and its database is gone, as with a disk that is not
// there, no new one is begun: it would stand in the way of what comes back.
func TestNoShopIsBegunInThePlaceOfALostOne(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		keys := filepath.Join(t.TempDir(), "keys")
		if err := startedOn(t, dsn, keys); err != nil {
			t.Fatal(err)
		}
		own := t.TempDir()
		empty := filepath.Join(own, "empty.db")
		if err := os.WriteFile(empty, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		places := []string{"sqlite:" + filepath.Join(own, "gone.db"), "sqlite:" + empty}
		if !strings.HasPrefix(dsn, "sqlite:") {
			places = []string{storetest.EmptyPostgres(t)}
		}
		for _, database := range places {
			for _, args := range [][]string{{"serve", "--listen", "127.0.0.1:0"}, {"migrate", "up"}} {
				got := command(t, "", append(args, "--database", database, "--keys", keys)...)
				if got.status != 2 || !strings.Contains(got.err, "lie the keys of one") {
					t.Errorf("%s, %s: %+v", database, args[0], got)
				}
			}
			if path, isFile := strings.CutPrefix(database, "sqlite:"); isFile {
				if info, err := os.Stat(path); err == nil && info.Size() > 0 {
					t.Errorf("%s: %d bytes were made", path, info.Size())
				}
			} else if empty, err := storetest.Open(t, database).Empty(t.Context()); err != nil || !empty {
				t.Errorf("it is empty: %t, %v", empty, err)
			}
		}
		// With keys of its own a shop may begin there.
		says(t, "a new shop", command(t, "", "migrate", "up", "--database", places[0], "--keys", filepath.Join(t.TempDir(), "others")), 0, "applied", "")
	})
}

// On a disk that was made read-only every command says so, the doctor too.
func TestADatabaseOnAReadOnlyDisk(t *testing.T) {
	storetest.OnDisk(t)
	path := strings.TrimPrefix(storetest.SQLite(t), "sqlite:")
	folder := t.TempDir()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(folder, "shop.db")
	if err := os.WriteFile(file, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	storetest.TakesNothing(t, "sqlite:"+folder)(true)
	for name, more := range withDatabase {
		if name == "restore" {
			continue
		}
		got := command(t, "", slices.Concat(strings.Fields(name), more, []string{"--database", "sqlite:" + file})...)
		if got.status == 0 || !strings.Contains(got.out+got.err, "its disk is read-only") {
			t.Errorf("%s: %+v", name, got)
		}
	}
}
