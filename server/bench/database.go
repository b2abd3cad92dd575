package bench

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// Database is a place that is filled, measured and taken away again.
type Database struct {
	DSN    string
	Folder string // for files beside it
	file   string // of SQLite
	plain  string // of PostgreSQL: the address as it was given
	schema string // of PostgreSQL
	remove func(context.Context) error
}

// Kinds of database, as figures name them.
const (
	SQLite   = "sqlite"
	Postgres = "postgresql"
)

// Kind is SQLite or Postgres.
func (d Database) Kind() string {
	if d.file != "" {
		return SQLite
	}
	return Postgres
}

// Remove takes everything away that was made.
func (d Database) Remove(ctx context.Context) error {
	ctx, stop := context.WithTimeout(context.WithoutCancel(ctx), time.Minute)
	defer stop()
	return d.remove(ctx)
}

// NewSQLite makes a place for a file in a folder of its own, beside a shop's
// database: on the disk that is to be measured.
func NewSQLite(beside string) (Database, error) {
	folder, err := os.MkdirTemp(beside, "tracewright-bench-")
	if err != nil {
		return Database{}, fmt.Errorf("make a place for the measured database: %w", err)
	}
	file := filepath.Join(folder, "bench.db")
	return Database{DSN: "sqlite:" + file, Folder: folder, file: file, remove: func(context.Context) error { return os.RemoveAll(folder) }}, nil
}

// NewPostgres makes a schema of its own in a database: its other tables are
// neither read nor changed.
func NewPostgres(ctx context.Context, dsn string) (Database, error) {
	var chance [4]byte
	if _, err := rand.Read(chance[:]); err != nil {
		return Database{}, err
	}
	d := Database{plain: dsn, schema: "tracewright_bench_" + hex.EncodeToString(chance[:])}
	var err error
	if d.DSN, err = within(dsn, d.schema); err != nil {
		return Database{}, err
	}
	if err := execute(ctx, dsn, "CREATE SCHEMA "+d.schema); err != nil {
		return Database{}, fmt.Errorf("make a schema to measure in: %w", err)
	}
	d.remove = func(ctx context.Context) error {
		return errors.Join(execute(ctx, dsn, "DROP SCHEMA "+d.schema+" CASCADE"), os.RemoveAll(d.Folder))
	}
	if d.Folder, err = os.MkdirTemp("", "tracewright-bench-"); err != nil {
		return Database{}, errors.Join(err, d.Remove(ctx))
	}
	return d, nil
}

// On is a PostgreSQL database that belongs to whoever measures, as it is.
func On(dsn string) Database {
	return Database{DSN: dsn, plain: dsn, remove: func(context.Context) error { return nil }}
}

// within is an address whose tables lie in a schema.
func within(dsn, schema string) (string, error) {
	if !strings.Contains(dsn, "://") {
		return dsn + " search_path=" + schema, nil
	}
	u, err := url.Parse(dsn)
	if err != nil {
		return "", errors.New("the address of the database is no URL")
	}
	q := u.Query()
	q.Set("search_path", schema)
	u.RawQuery = q.Encode()
	return u.String(), nil
}

// settleRaw empties what the comparison wrote to, and lets the database be done with
// that and with what was just made: nobody else's writes stand in the way of what is
// measured next. A role that may order no checkpoint measures beside one.
func (d Database) settleRaw(ctx context.Context) error {
	if d.Kind() == SQLite {
		return removeRaw(d.Folder)
	}
	conn, err := pgx.Connect(ctx, d.DSN)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, "TRUNCATE bench_readings, bench_inspections"); err != nil {
		return err
	}
	// Tables that are a minute old would be swept each minute, as those of no shop are.
	var mine string
	if err := conn.QueryRow(ctx, "SELECT string_agg(quote_ident(tablename), ', ') FROM pg_tables WHERE schemaname = current_schema()").Scan(&mine); err != nil {
		return err
	}
	if _, err := conn.Exec(ctx, "VACUUM (ANALYZE) "+mine); err != nil {
		return err
	}
	_, err = conn.Exec(ctx, "CHECKPOINT")
	if refused := (*pgconn.PgError)(nil); errors.As(err, &refused) && refused.Code == "42501" {
		return nil // insufficient_privilege (PostgreSQL, Appendix A)
	}
	return err
}

func execute(ctx context.Context, dsn, statement string) error {
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, statement)
	return err
}

// sqliteFile is the file that an address names, where it names one.
func sqliteFile(dsn string) (string, bool) { return strings.CutPrefix(dsn, "sqlite:") }
