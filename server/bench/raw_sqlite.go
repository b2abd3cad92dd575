package bench

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	_ "modernc.org/sqlite" // the driver that the raw comparison goes through

	"tracewright/models"
)

// RawSQLite is how many inspections a second the driver alone writes: one row
// and 108 readings by one multi-row insert, each in a transaction that is on the
// disk, into one file, clients taking turns on one writing connection.
func RawSQLite(ctx context.Context, folder string, during time.Duration) (float64, error) {
	db, err := openRaw(filepath.Join(folder, rawFile), "_pragma=journal_mode(WAL)", "_pragma=synchronous(FULL)", "_pragma=foreign_keys(1)", "_pragma=temp_store(MEMORY)", "_txlock=immediate")
	if err != nil {
		return 0, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	for _, q := range []string{
		"CREATE TABLE IF NOT EXISTS bench_inspections (id TEXT PRIMARY KEY, serial TEXT NOT NULL, stage TEXT NOT NULL, person TEXT NOT NULL, verdict TEXT NOT NULL, at TEXT NOT NULL)",
		"CREATE TABLE IF NOT EXISTS bench_readings (inspection_id TEXT NOT NULL REFERENCES bench_inspections (id), code TEXT NOT NULL, spoke INTEGER NOT NULL, typed TEXT NOT NULL, value REAL NOT NULL, PRIMARY KEY (inspection_id, code, spoke)) WITHOUT ROWID",
	} {
		if _, err := db.ExecContext(ctx, q); err != nil {
			return 0, fmt.Errorf("make the raw tables: %w", err)
		}
	}
	many := "INSERT INTO bench_readings VALUES " + strings.TrimSuffix(strings.Repeat("(?,?,?,?,?),", 3*holes), ",")
	return closed(ctx, Clients, during, func(ctx context.Context) error { return writeRaw(ctx, db, many) })
}

const rawFile = "raw.db"

// removeRaw removes what [RawSQLite] wrote.
func removeRaw(folder string) error {
	var errs []error
	for _, end := range []string{"", "-wal", "-shm"} {
		if err := os.Remove(filepath.Join(folder, rawFile+end)); !errors.Is(err, fs.ErrNotExist) {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

func openRaw(path string, options ...string) (*sql.DB, error) {
	uri := (&url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath()}).String()
	return sql.Open("sqlite", uri+"?"+strings.Join(options, "&"))
}

func writeRaw(ctx context.Context, db *sql.DB, many string) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	id := models.NewID()
	if _, err := tx.ExecContext(ctx, "INSERT INTO bench_inspections VALUES (?,?,?,?,?,?)", id, "W26000051", "after_relief", "p", "pass", "2026-01-01"); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, many, rawReadings(id)...); err != nil {
		return err
	}
	return tx.Commit()
}

// rawReadings are the values of the 108 rows of a wheel.
func rawReadings(id any) []any {
	args := make([]any, 0, 5*3*holes)
	for _, code := range []string{"lateral_runout", "radial_runout", "tension"} {
		for spoke := range holes {
			args = append(args, id, code, spoke, "0.12", 0.12)
		}
	}
	return args
}

// rawLooks runs look-ups through the driver alone, several connections at once
// as the server has, and gives how many a second were answered.
func rawLooks(ctx context.Context, path string, looks [][]string, during time.Duration) (float64, error) {
	db, err := openRaw(path, "_pragma=query_only(1)", "_pragma=busy_timeout(5000)")
	if err != nil {
		return 0, err
	}
	defer db.Close()
	db.SetMaxOpenConns(4)
	db.SetMaxIdleConns(4)
	prepared := make([][]*sql.Stmt, len(looks))
	for i, statements := range looks {
		for _, text := range statements {
			stmt, err := db.PrepareContext(ctx, text)
			if err != nil {
				return 0, fmt.Errorf("prepare %.80q: %w", text, err)
			}
			defer stmt.Close()
			prepared[i] = append(prepared[i], stmt)
		}
	}
	next := turns(len(looks))
	return closed(ctx, Clients, during, func(ctx context.Context) error {
		for _, stmt := range prepared[next()] {
			if err := readAll(ctx, stmt); err != nil {
				return err
			}
		}
		return nil
	})
}

// readAll runs a statement and takes every value of every row.
func readAll(ctx context.Context, stmt *sql.Stmt) error {
	rows, err := stmt.QueryContext(ctx)
	if err != nil {
		return err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	values := make([]any, len(columns))
	for i := range values {
		values[i] = new(any)
	}
	for rows.Next() {
		if err := rows.Scan(values...); err != nil {
			return err
		}
	}
	return errors.Join(rows.Err(), rows.Close())
}
