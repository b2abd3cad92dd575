package storetest

import (
	"context"
	"fmt"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"
)

// server is where databases are made: found once, and prepared with a template
// whose schema is up to date, so that a fresh one costs a copy.
var server struct {
	once  sync.Once
	admin string // its administrative database; empty when there is none
	why   string
	stop  func()
	count atomic.Int64

	making sync.Mutex // one copy of the template at a time
}

func stopServer() {
	if server.stop != nil {
		server.stop()
	}
}

// Postgres makes a fresh database with the schema up to date, dropped when the
// test ends. An empty answer says why there is none.
func Postgres(t testing.TB) (dsn, why string) {
	t.Helper()
	server.once.Do(prepare)
	if server.admin == "" {
		return "", server.why
	}
	return copied(t, template()), ""
}

// copied makes a database that is another's copy, and drops it when the test ends.
func copied(t testing.TB, from string) (dsn string) {
	t.Helper()
	name := fmt.Sprintf("tw_%d_%d", os.Getpid(), server.count.Add(1))
	server.making.Lock()
	err := admin("CREATE DATABASE " + name + " TEMPLATE " + from)
	server.making.Unlock()
	if err != nil {
		t.Fatalf("make a PostgreSQL database: %v", err)
	}
	t.Cleanup(func() {
		if err := admin("DROP DATABASE IF EXISTS " + name + " WITH (FORCE)"); err != nil {
			t.Logf("drop %s: %v", name, err)
		}
	})
	return within(server.admin, name)
}

// DurablePostgres starts a server of its own for a benchmark, with fsync on,
// and gives its administrative database. It is stopped when the benchmark ends.
func DurablePostgres(t testing.TB) (dsn string) {
	t.Helper()
	dsn, stop, err := startServer(true)
	if err != nil {
		leaveOut(t, "PostgreSQL: "+err.Error())
	}
	t.Cleanup(stop)
	return dsn
}

func template() string { return fmt.Sprintf("tw_%d_template", os.Getpid()) }

// prepare finds a server and makes the template.
func prepare() {
	server.admin = os.Getenv("TRACEWRIGHT_TEST_POSTGRES")
	if server.admin == "" {
		var err error
		if server.admin, server.stop, err = startServer(false); err != nil {
			server.admin, server.why = "", err.Error()
			return
		}
	}
	if err := makeTemplate(); err != nil {
		stopServer()
		server.stop = nil
		server.admin, server.why = "", err.Error()
	}
}

func makeTemplate() error {
	if err := admin("CREATE DATABASE " + template()); err != nil {
		return fmt.Errorf("reach the server: %w", err)
	}
	before := server.stop
	server.stop = func() {
		// A failure leaves a database named after this process behind, no more.
		_ = admin("DROP DATABASE IF EXISTS " + template() + " WITH (FORCE)")
		if before != nil {
			before()
		}
	}
	return migrate(within(server.admin, template()))
}

func admin(statement string) error {
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, server.admin)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, statement)
	return err
}

// within is an address with another database: of a URL its path, of keywords
// its dbname.
func within(dsn, database string) string {
	if strings.Contains(dsn, "://") {
		address, options, has := strings.Cut(dsn, "?")
		scheme, rest, _ := strings.Cut(address, "://")
		host, _, _ := strings.Cut(rest, "/")
		address = scheme + "://" + host + "/" + database
		if has {
			address += "?" + options
		}
		return address
	}
	var kept []string
	for _, word := range strings.Fields(dsn) {
		if !strings.HasPrefix(word, "dbname=") {
			kept = append(kept, word)
		}
	}
	return strings.Join(append(kept, "dbname="+database), " ")
}

// EmptyPostgres makes a database without any table, dropped when the test ends.
func EmptyPostgres(t testing.TB) (dsn string) {
	t.Helper()
	server.once.Do(prepare)
	if server.admin == "" {
		leaveOut(t, "PostgreSQL: "+server.why)
	}
	return copied(t, "template1")
}
