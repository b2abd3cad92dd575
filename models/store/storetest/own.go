package storetest

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"
)

// Own is a PostgreSQL server that tests may stop and start.
type Own struct {
	admin  string
	folder string
	run    func(program string, args ...string) error
	start  []string
}

// own is started once for all tests of a package that want it, one after the other.
var own struct {
	once   sync.Once
	server *Own
	err    error
}

// OwnPostgres starts such a server, or gives the one that another test is done with.
func OwnPostgres(t testing.TB) *Own {
	t.Helper()
	own.once.Do(func() { own.server, own.err = startOwn(false) })
	if own.err != nil {
		leaveOut(t, "PostgreSQL: "+own.err.Error())
	}
	return own.server
}

func stopOwn() {
	if own.server != nil {
		own.server.end()
	}
}

// Database makes a database with the schema up to date, for the length of the test;
// in a tablespace where one is named.
func (o *Own) Database(t testing.TB, name, tablespace string) (dsn string) {
	t.Helper()
	statement := "CREATE DATABASE " + name
	if tablespace != "" {
		statement += " TABLESPACE " + tablespace
	}
	o.Admin(t, statement)
	t.Cleanup(func() { o.Admin(t, "DROP DATABASE "+name+" WITH (FORCE)") })
	dsn = within(o.admin, name)
	if err := migrate(dsn); err != nil {
		t.Fatal(err)
	}
	return dsn
}

// Place makes a folder that the server can reach.
func (o *Own) Place(t testing.TB, name string) string {
	t.Helper()
	place := filepath.Join(o.folder, name)
	if err := os.Mkdir(place, 0o755); err != nil {
		t.Fatal(err)
	}
	return place
}

// Tablespace makes one at a folder that exists.
func (o *Own) Tablespace(t testing.TB, name, folder string) {
	t.Helper()
	if os.Getuid() == 0 {
		if err := giveToPostgres(folder); err != nil {
			t.Fatal(err)
		}
	}
	o.Admin(t, "CREATE TABLESPACE "+name+" LOCATION '"+folder+"'")
	t.Cleanup(func() { o.Admin(t, "DROP TABLESPACE "+name) })
}

// LogOn moves the server's write-ahead log to another folder, for the length of the
// test.
func (o *Own) LogOn(t testing.TB, folder string) {
	t.Helper()
	if os.Getuid() == 0 {
		if err := giveToPostgres(folder); err != nil {
			t.Fatal(err)
		}
	}
	place := filepath.Join(o.data(), "pg_wal")
	move := func(from, to string) {
		t.Helper()
		for _, step := range [][]string{{"cp", "-a", from + "/.", to}, {"rm", "-rf", from}} {
			if out, err := exec.Command(step[0], step[1:]...).CombinedOutput(); err != nil {
				t.Fatalf("move the log of PostgreSQL: %v: %s", err, out)
			}
		}
	}
	o.Stop(t, "fast")
	move(place, folder)
	if err := os.Symlink(folder, place); err != nil {
		t.Fatal(err)
	}
	o.Start(t)
	t.Cleanup(func() {
		if o.Runs() {
			o.Stop(t, "fast")
		}
		if err := os.Remove(place); err != nil {
			t.Fatal(err)
		}
		back := place + ".back"
		if out, err := exec.Command("cp", "-a", folder, back).CombinedOutput(); err != nil {
			t.Fatalf("move the log of PostgreSQL back: %v: %s", err, out)
		}
		if err := os.Rename(back, place); err != nil {
			t.Fatal(err)
		}
		o.Start(t)
	})
}

// Runs says whether the server runs: it ends by itself where its log finds no room.
func (o *Own) Runs() bool { return o.run("pg_ctl", "-D", o.data(), "status") == nil }

// Admin runs a statement on the server's administrative database.
func (o *Own) Admin(t testing.TB, statement string) {
	t.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, o.admin)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, statement); err != nil {
		t.Fatalf("%s: %v", statement, err)
	}
}

// Stop stops the server: fast, which breaks off what is in flight and writes
// everything out, or immediate, as a power cut would.
func (o *Own) Stop(t testing.TB, mode string) {
	t.Helper()
	if err := o.run("pg_ctl", "-D", o.data(), "-m", mode, "-w", "stop"); err != nil {
		t.Fatalf("stop PostgreSQL %s: %v", mode, err)
	}
}

// Start starts it again, and waits until it answers.
func (o *Own) Start(t testing.TB) {
	t.Helper()
	if err := o.run("pg_ctl", o.start...); err != nil {
		t.Fatalf("start PostgreSQL: %v", err)
	}
}

// Address is its administrative database.
func (o *Own) Address() string { return o.admin }

func (o *Own) data() string { return filepath.Join(o.folder, "data") }

func (o *Own) end() {
	// It may have been stopped by its test.
	_ = o.run("pg_ctl", "-D", o.data(), "-m", "immediate", "-w", "stop")
	os.RemoveAll(o.folder)
}
