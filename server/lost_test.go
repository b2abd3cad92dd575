package main

import (
	"os"
	"path/filepath"
	"regexp"
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

// What is said of a lost database can be done as it is said: with --tls auto the
// authority lies beside the keys. A start that is refused has made none.
func TestALostDatabaseIsPutBackAsIsSaid(t *testing.T) {
	b := newBackedUp(t, storetest.SQLite(t))
	folder := t.TempDir()
	database := "sqlite:" + filepath.Join(folder, "shop.db")
	keys, tls := filepath.Join(folder, "shop.keys"), filepath.Join(folder, "shop.tls")
	b.shop.Must(os.Rename(b.keys, keys))
	b.keys = keys
	file := b.make()
	serve := []string{"serve", "--listen", "127.0.0.1:0", "--tls", "auto", "--database", database}
	lost := command(t, "", serve...)
	if lost.status != 2 || !strings.Contains(lost.err, "move "+keys+" aside, and "+tls+" where it is there") || !strings.Contains(lost.err, "tracewright restore FILE --database "+database+".") {
		t.Errorf("a start: %+v", lost)
	}
	if there := left(t, folder); len(there) != 1 {
		t.Errorf("a start that was refused made %v", there)
	}
	b.shop.Must(os.Mkdir(tls, 0o700))
	b.shop.Must(os.WriteFile(filepath.Join(tls, "authority.pem"), []byte("x"), 0o600))
	restore := []string{"restore", file, "--database", database, "--key-file", b.key}
	b.shop.Must(os.Rename(keys, keys+".old"))
	says(t, "with the authority there", command(t, "", restore...), 2, "", "name another with --tls-folder")
	b.shop.Must(os.Rename(tls, tls+".old"))
	says(t, "as is said", command(t, "", restore...), 0, "Put back at", "")
	if err := startedOn(t, database, keys); err != nil {
		t.Error(err)
	}
}

// The command that is said names the keys and the authority as the start did, the server
// is stopped first, and no password is told.
func TestALostDatabaseIsPutBackByTheCommandThatIsSaid(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		tls := filepath.Join(t.TempDir(), "own.tls")
		file := b.make()
		database, _ := b.emptyPlace()
		lost := command(t, "", "serve", "--listen", "127.0.0.1:0", "--tls", "auto", "--tls-folder", tls, "--database", database, "--keys", b.keys)
		_, told, found := strings.Cut(lost.err, "tracewright restore FILE ")
		told, _, ended := strings.Cut(told, ". A new shop")
		stop, move := strings.Index(lost.err, "stop the server"), strings.Index(lost.err, "move "+b.keys+" aside")
		if lost.status != 2 || !found || !ended || stop < 0 || move < stop || strings.Contains(lost.err, "at PostgreSQL") || !strings.Contains(lost.err, tls+" where it is there") {
			t.Fatalf("%+v", lost)
		}
		b.shop.Must(os.Rename(b.keys, b.keys+".old"))
		args := regexp.MustCompile(`'[^']*'|"[^"]*"|\S+`).FindAllString(told, -1)
		for i := range args {
			args[i] = strings.Trim(args[i], `"'`)
		}
		says(t, told, command(t, "", append([]string{"restore", file, "--key-file", b.key}, args...)...), 0, "Put back at", "")
		if err := startedOn(t, database, b.keys); err != nil || !slices.Contains(args, tls) {
			t.Errorf("%v, by %s", err, told)
		}
	})
}

// A link that leads to nothing is no database: what is put back lies where it leads.
func TestABackupIsPutBackBehindALink(t *testing.T) {
	b := newBackedUp(t, storetest.SQLite(t))
	file := b.make()
	folder := t.TempDir()
	link, disk := filepath.Join(folder, "shop.db"), filepath.Join(folder, "disk")
	b.shop.Must(os.Mkdir(disk, 0o700))
	b.shop.Must(os.Symlink(filepath.Join("disk", "shop.db"), link))
	restore := []string{"restore", file, "--key-file", b.key, "--database", "sqlite:" + link}
	says(t, "leads to nothing", command(t, "", restore...), 0, "Put back at "+link, "")
	if info, err := os.Lstat(filepath.Join(disk, "shop.db")); err != nil || !info.Mode().IsRegular() {
		t.Errorf("behind the link: %v, %v", info, err)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode().IsRegular() {
		t.Errorf("the link: %v, %v", info, err)
	}
	if err := startedOn(t, "sqlite:"+link, filepath.Join(disk, "shop.keys")); err != nil {
		t.Error(err)
	}
	says(t, "leads to a database", command(t, "", restore...), 2, "", "There is a database already")
}
