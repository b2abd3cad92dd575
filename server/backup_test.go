package main

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/ident"
	"tracewright/models/work/worktest"
	"tracewright/server/backups"
)

// backedUp is a workshop with a sealed log, its keys and its recovery key.
type backedUp struct {
	t              *testing.T
	database, keys string
	shop           *worktest.Shop
	key            string // file
	folder         string // of backups
}

func newBackedUp(t *testing.T, dsn string) *backedUp {
	t.Helper()
	place := t.TempDir()
	b := &backedUp{t: t, database: dsn, keys: filepath.Join(place, "keys"), key: filepath.Join(place, "recovery"), folder: filepath.Join(place, "backups")}
	if err := os.Mkdir(b.folder, 0o700); err != nil {
		t.Fatal(err)
	}
	b.shop = worktest.On(t, storetest.Open(t, dsn))
	b.shop.Now = time.Now()
	for range 3 {
		b.record()
	}
	if err := startedOn(t, dsn, b.keys); err != nil {
		t.Fatal(err)
	}
	made := command(t, "", "backup", "--new-key", "--database", dsn)
	if made.status != 0 || !strings.Contains(made.out, "RECOVERY KEY") || strings.Count(made.out, "▀") < 50 {
		t.Fatalf("make a recovery key: %+v", made)
	}
	var lines []string
	for _, m := range regexp.MustCompile(`(?m)^  [1-4]   (.+)$`).FindAllStringSubmatch(made.out, -1) {
		lines = append(lines, m[1])
	}
	if len(lines) != 4 {
		t.Fatalf("printed as %q", made.out)
	}
	if err := os.WriteFile(b.key, []byte("# recovery\n"+strings.Join(lines, "\n")+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	return b
}

func (b *backedUp) record() string {
	b.t.Helper()
	sub := b.shop.Extremes()
	sub.ID = models.NewID()
	b.shop.MustRecord(sub)
	return sub.ID
}

func (b *backedUp) typedKey() string {
	b.t.Helper()
	raw, err := os.ReadFile(b.key)
	if err != nil {
		b.t.Fatal(err)
	}
	return strings.TrimPrefix(string(raw), "# recovery\n")
}

// make makes a backup into the folder and gives its file.
func (b *backedUp) make() string {
	b.t.Helper()
	got := command(b.t, "", "backup", "--database", b.database, "--keys", b.keys, "--backups", b.folder)
	file, _, _ := strings.Cut(got.out, "\n")
	if got.status != 0 || filepath.Dir(file) != b.folder {
		b.t.Fatalf("make a backup: %+v", got)
	}
	return file
}

// emptyPlace is where a backup can be put back: a database and a folder of keys
// that are not there.
func (b *backedUp) emptyPlace() (database, keys string) {
	b.t.Helper()
	folder := filepath.Join(b.t.TempDir(), "gone") // with what was lost
	if strings.HasPrefix(b.database, "sqlite:") {
		return "sqlite:" + filepath.Join(folder, "shop.db"), filepath.Join(folder, "shop.keys")
	}
	return storetest.EmptyPostgres(b.t), filepath.Join(folder, "keys")
}

// do runs a statement past the program.
func do(t *testing.T, dsn, statement string, values ...any) {
	t.Helper()
	if path, isFile := strings.CutPrefix(dsn, "sqlite:"); isFile {
		db, err := sql.Open("sqlite", path)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if _, err := db.Exec(statement, values...); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
		return
	}
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	for n := 1; strings.Contains(statement, "?"); n++ {
		statement = strings.Replace(statement, "?", fmt.Sprintf("$%d", n), 1)
	}
	if _, err := conn.Exec(t.Context(), statement, values...); err != nil {
		t.Fatalf("%s: %v", statement, err)
	}
}

// What was in the database comes back, with its keys; the log tells of it, no
// number is given twice, everybody is signed out, and all of it verifies.
func TestBackupAndRestore(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		before, err := b.shop.Store.Counts(t.Context())
		b.shop.Must(err)
		_, year, last, err := ident.Parts(*b.shop.AnotherWheel().Serial)
		b.shop.Must(err)
		customer := models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn"}
		b.shop.Must(b.shop.Store.AddCustomer(t.Context(), models.NewStamp(b.shop.Owner, b.shop.Now), customer))
		file := b.make()
		b.shop.Must(b.shop.Store.EraseCustomer(t.Context(), models.NewStamp(b.shop.Owner, b.shop.Now), customer.ID)) // She is in the backup.
		lost := b.record()

		says(t, "look at it", command(t, "", "backup", "--check", file, "--key-file", b.key, "--database", dsn), 0, fmt.Sprintf("Items: %d, inspections: 3", before.Items+1), "")
		got := command(t, b.typedKey(), "backup", "--check", file, "--database", dsn)
		says(t, "with the key typed", got, 0, "\nSound.\n", "Recovery key")
		if !strings.Contains(got.out, "Private keys: 1.") {
			t.Errorf("no private keys are in it: %s", got.out)
		}

		database, keys := b.emptyPlace()
		label, _, err := ident.Next(ident.Wheel, year, last+5000)
		b.shop.Must(err)
		typed := b.typedKey() + "W31 0000\n" + ident.Print(label) + "\n"
		got = command(t, typed, "restore", file, "--database", database, "--keys", keys)
		says(t, "put it back", got, 0, "go on 1000 further", "not a serial")
		if t.Failed() {
			t.FailNow()
		}
		for _, said := range []string{"inspections: 3", "Tablets and gauges that stay enrolled: 0", "Put back at", "Customers: 1. Whoever was erased after "} {
			if !strings.Contains(got.out, said) {
				t.Errorf("it does not say %q: %s", said, got.out)
			}
		}
		says(t, "verify before the first start", command(t, "", "verify", "database", "--database", database, "--keys", keys), 0, "Sound.", "")
		if err := startedOn(t, database, keys); err != nil {
			t.Fatalf("start with the keys that came back: %v", err)
		}
		says(t, "verify after it", command(t, "", "verify", "database", "--database", database, "--keys", keys), 0, "Sound.", "")
		s := storetest.Open(t, database)
		r, err := s.LastRestoration(t.Context())
		b.shop.Must(err)
		entries, err := s.TrailOf(t.Context(), []string{r.ID}, 5)
		if err != nil || len(entries) != 1 || entries[0].Kind != "restoration" || entries[0].Seq == nil || entries[0].Actor != "system" {
			t.Errorf("the log has %+v of it, %v", entries, err)
		}
		header, err := backups.Peek(file)
		if err != nil || !r.BackupAt.Equal(header.At) || r.Changes != header.Changes || r.BackupSchema != header.Schema {
			t.Errorf("restored from %+v, the file says %+v, %v", r, header, err)
		}
		if _, err := s.Inspection(t.Context(), lost); err == nil {
			t.Error("what was recorded after the backup is in it")
		}
		wheel := b.shop.Item[models.KindWheel]
		next, err := s.AddItemWithSerial(t.Context(), models.NewStamp(b.shop.Owner, time.Now()), models.Item{Kind: models.KindWheel, FamilyID: wheel.FamilyID, ProductID: wheel.ProductID, State: models.StateInProcess, Origin: "made"}, "W", year, nil)
		b.shop.Must(err)
		_, _, counter, err := ident.Parts(*next.Serial)
		b.shop.Must(err)
		_, want, err := ident.Next(ident.Wheel, year, last+5000)
		b.shop.Must(err)
		if counter <= want {
			t.Errorf("the next wheel has counter %d, and a label with %d was printed", counter, want)
		}
	})
}

// left lists what lies in folders.
func left(t *testing.T, folders ...string) []string {
	t.Helper()
	var names []string
	for _, folder := range folders {
		entries, err := os.ReadDir(folder)
		if err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
		for _, e := range entries {
			names = append(names, filepath.Join(folder, e.Name()))
		}
	}
	return names
}

// What cannot be put back is refused, each by its own sentence, and nothing is
// left behind.
func TestRestoreRefuses(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		file := b.make()
		raw, err := os.ReadFile(file)
		b.shop.Must(err)
		bad := t.TempDir()
		put := func(name string, raw []byte) string {
			path := filepath.Join(bad, name)
			if err := os.WriteFile(path, raw, 0o600); err != nil {
				t.Fatal(err)
			}
			return path
		}
		changed := slices.Clone(raw)
		changed[len(changed)/2] ^= 1
		other, err := backups.NewRecovery()
		b.shop.Must(err)
		mistyped := []byte(b.typedKey())
		mistyped[0], mistyped[1] = mistyped[1], mistyped[0]
		if mistyped[0] == mistyped[1] {
			mistyped[0] = "QP"[map[byte]int{'Q': 1}[mistyped[0]]]
		}
		newer := filepath.Join(bad, "newer")
		header, err := backups.Peek(file)
		b.shop.Must(err)
		header.Schema, header.Recipient = 9999, ""
		_, err = backups.Write(t.Context(), newer, header, nil)
		b.shop.Must(err)
		empty := filepath.Join(bad, "nothing")
		header.Schema = 1
		_, err = backups.Write(t.Context(), empty, header, nil)
		b.shop.Must(err)
		kinds := map[string]string{"sqlite": "postgres://nobody@localhost:1/none", "postgres": "sqlite:" + filepath.Join(bad, "wrong.db")}
		for _, c := range []struct {
			name     string
			file     string
			key      string
			database string // where not an empty place
			says     string
		}{
			{"no such file", filepath.Join(bad, "none"), b.key, "", "There is no such file"},
			{"another file", put("letter", []byte("Dear customer,\n")), b.key, "", "is no backup of this program"},
			{"cut short", put("cut", raw[:len(raw)-1000]), b.key, "", "ends too early"},
			{"a changed byte", put("changed", changed), b.key, "", "bytes of it were changed"},
			{"a wrong key", file, put("other", []byte(other.Secret())), "", "does not open"},
			{"a mistyped key", file, put("mistyped", mistyped), "", "Line 1 of the recovery key"},
			{"no key", file, put("no-key", []byte("hello")), "", "This is no recovery key"},
			{"a newer format", put("format", append([]byte("tracewright-backup 2"), raw[20:]...)), b.key, "", "newer version of this program"},
			{"a newer schema", newer, b.key, "", "schema 9999"},
			{"without a database", empty, b.key, "", "bytes of it were changed"},
			{"a database that is there", file, b.key, dsn, "There is a database already"},
			{"a database of another kind", file, b.key, kinds[header.Database], "of another kind"},
		} {
			t.Run(c.name, func(t *testing.T) {
				database, keys := b.emptyPlace()
				if c.database != "" {
					database = c.database
				}
				counts, err := b.shop.Store.Counts(t.Context())
				b.shop.Must(err)
				got := command(t, "", "restore", c.file, "--database", database, "--keys", keys, "--key-file", c.key)
				if got.status == 0 || !strings.Contains(got.err, c.says) || strings.Contains(got.out, "Put back") {
					t.Errorf("%+v, want %q", got, c.says)
				}
				if names := left(t, filepath.Dir(keys)); len(names) > 0 {
					t.Errorf("left behind: %v", names)
				}
				if after, err := b.shop.Store.Counts(t.Context()); err != nil || after.Items != counts.Items {
					t.Errorf("the database that is there has %+v, had %+v, %v", after, counts, err)
				}
				if c.database == "" && strings.HasPrefix(database, "host") {
					if empty, err := storetest.Open(t, database).Empty(t.Context()); err != nil || !empty {
						t.Errorf("the database is empty: %t, %v", empty, err)
					}
				}
			})
		}
		t.Run("keys that are there", func(t *testing.T) {
			database, _ := b.emptyPlace()
			says(t, "restore", command(t, "", "restore", file, "--database", database, "--keys", b.keys, "--key-file", b.key), 2, "", "There are keys already")
		})
		t.Run("a label that is none", func(t *testing.T) {
			database, keys := b.emptyPlace()
			says(t, "restore", command(t, "", "restore", file, "--database", database, "--keys", keys, "--key-file", b.key, "--last-label", "W1"), 2, "", "serial")
			if names := left(t, filepath.Dir(keys)); len(names) > 0 {
				t.Errorf("left behind: %v", names)
			}
		})
	})
}

// Records that were changed past the program are found by looking at a backup,
// and are put back only by who says so.
func TestBackupOfWhatIsNotSound(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		b := newBackedUp(t, dsn)
		do(t, dsn, "UPDATE settings SET value = 'Another shop' WHERE name = ?", models.SettingShopName)
		file := b.make()
		says(t, "look at it", command(t, "", "backup", "--check", file, "--key-file", b.key, "--database", dsn), 1, "", "not sound")
		database, keys := b.emptyPlace()
		says(t, "put it back", command(t, "", "restore", file, "--database", database, "--keys", keys, "--key-file", b.key), 2, "", "are not those that its log of changes speaks of")
		if names := left(t, filepath.Dir(keys)); len(names) > 0 {
			t.Errorf("left behind: %v", names)
		}
		says(t, "anyway", command(t, "", "restore", file, "--database", database, "--keys", keys, "--key-file", b.key, "--anyway"), 0, "must be given at the desk", "")
	})
}

// Without a recovery key a backup is made in the clear, beside the database
// alone, and holds no private key.
func TestBackupInTheClear(t *testing.T) {
	folder := t.TempDir()
	database := "sqlite:" + filepath.Join(folder, "shop.db")
	says(t, "the schema", command(t, "", "migrate", "up", "--database", database), 0, "applied", "")
	if got := command(t, "", "user", "add", "--database", database, "--name", "A", "--role", "owner", "--login", "aa"); got.status != 0 {
		t.Fatal(got)
	}
	if err := startedOn(t, database, filepath.Join(folder, "shop.keys")); err != nil {
		t.Fatal(err)
	}
	says(t, "elsewhere", command(t, "", "backup", "--database", database, "--backups", t.TempDir()), 1, "", "there is no recovery key yet")
	says(t, "into a file", command(t, "", "backup", "--database", database, "--to", filepath.Join(t.TempDir(), "x")), 1, "", "there is no recovery key yet")
	says(t, "into a folder that is gone", command(t, "", "backup", "--database", database, "--backups", filepath.Join(folder, "stick")), 1, "", "no recovery key")
	got := command(t, "", "backup", "--database", database)
	says(t, "beside the database", got, 0, "in the clear", "")
	file, _, _ := strings.Cut(got.out, "\n")
	says(t, "look at it", command(t, "", "backup", "--check", file), 0, "holds no private keys", "")
	says(t, "make the key", command(t, "", "backup", "--new-key", "--database", database), 0, "age1", "")
	says(t, "into a folder that is gone, with a key", command(t, "", "backup", "--database", database, "--backups", filepath.Join(folder, "stick")), 1, "", "is gone or cannot be written")
	if _, err := os.Stat(filepath.Join(folder, "stick")); err == nil {
		t.Error("a folder for a disk that is not plugged in was made")
	}
	says(t, "another key", command(t, "", "backup", "--new-key", "--database", database), 0, "takes the place of another", "")
	sheet := filepath.Join(t.TempDir(), "key.pdf")
	says(t, "a sheet without a key", command(t, "", "backup", "--sheet", sheet, "--database", database), 2, "", "--sheet goes with --new-key")
	if _, err := os.Stat(sheet); err == nil {
		t.Error("a sheet was written without a key")
	}
	says(t, "with a key", command(t, "", "backup", "--database", database), 0, "encrypted", "")
	// The folder tells which of them are in the clear, and which key opens the others.
	opened := storetest.Open(t, database)
	files, err := (backupsFlag{}).placeFor(opened, database, "", "").List(t.Context())
	opened.Close()
	if err != nil || len(files) != 2 || !files[0].Clear || files[0].Key != "" || files[1].Clear || !strings.HasPrefix(files[1].Key, "age1") {
		t.Errorf("in the folder: %+v, %v", files, err)
	}
	says(t, "no database", command(t, "", "backup", "--database", "sqlite:"+filepath.Join(folder, "none.db")), 2, "", "There is no database at")
	says(t, "nothing named", command(t, "", "backup"), 2, "", "--database")
	// Everything that this test made lies where it was asked for.
	if names := left(t, folder); len(names) != 3 {
		t.Errorf("in the folder: %v; want the database, its keys and its backups", names)
	}
}
