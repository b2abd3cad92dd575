package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/libtnb/sqlite"
	"gorm.io/gorm"
	moderncsqlite "modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"tracewright/models"
)

// pagesAtOnce is how much of a database is copied before the context is asked
// again: 4 MB.
const pagesAtOnce = 1024

// snapshotSQLite copies the file by SQLite's online backup. The connection holds
// a read transaction over all its steps: the copy is of the moment it began, and
// writers, of this program or another, neither wait nor make it start anew, as
// they would without.
func (s *Store) snapshotSQLite(ctx context.Context, folder string) (models.Snapshot, error) {
	path := filepath.Join(folder, "database.sqlite")
	at := models.Moment(time.Now())
	err := s.copySQLite(ctx, path)
	var found models.DatabaseFacts
	if err == nil {
		found, err = checkSQLite(ctx, path)
	}
	var info fs.FileInfo
	if err == nil {
		info, err = os.Stat(path)
	}
	if err != nil {
		return models.Snapshot{}, errors.Join(fmt.Errorf("copy the database: %w", err), removeSQLite(path))
	}
	return models.Snapshot{Facts: found, At: at, Name: "sqlite", Size: info.Size(),
		Open:  func() (io.ReadCloser, error) { return os.Open(path) },
		Close: func() error { return removeSQLite(path) }}, nil
}

// ErrFull says that no room is left for a copy.
var ErrFull = errors.New("the disk is full")

func full(err error) error {
	var lite *moderncsqlite.Error
	if errors.As(err, &lite) && lite.Code()&0xff == sqlite3.SQLITE_FULL {
		return ErrFull
	}
	return opaque(err)
}

func removeSQLite(path string) error {
	var errs []error
	for _, end := range []string{"", "-wal", "-shm", "-journal"} {
		if err := os.Remove(path + end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

func (s *Store) copySQLite(ctx context.Context, to string) error {
	// SQLite would make it readable by others.
	file, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	file.Close()
	conn, err := s.reader.Conn(ctx)
	if err != nil {
		return opaque(err)
	}
	defer conn.Close()
	if _, err := conn.ExecContext(ctx, "BEGIN"); err != nil {
		return opaque(err)
	}
	// Whatever happened, the transaction ends before the connection goes back.
	defer conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
	var tables int // The first look is what the transaction holds on to.
	if err := conn.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_master").Scan(&tables); err != nil {
		return opaque(err)
	}
	return conn.Raw(func(raw any) error {
		source, ok := raw.(sqliteConn)
		if !ok {
			return fmt.Errorf("the SQLite driver offers no online backup: %T", raw)
		}
		// The copy goes away when the program is cut short: nothing of it waits for the disk.
		backup, err := source.NewBackup(sqliteDSN(to, "_pragma=journal_mode(OFF)", "_pragma=synchronous(OFF)"))
		if err != nil {
			return opaque(err)
		}
		more := true
		for more && err == nil {
			if err = ctx.Err(); err == nil {
				more, err = backup.Step(pagesAtOnce)
			}
		}
		var copied driver.Conn
		if err != nil {
			return errors.Join(full(err), opaque(backup.Finish()))
		}
		if copied, err = backup.Commit(); err != nil {
			return opaque(err)
		}
		return opaque(copied.Close())
	})
}

// checkSQLite looks through every page of a copy and reads its facts.
func checkSQLite(ctx context.Context, path string) (_ models.DatabaseFacts, err error) {
	var none models.DatabaseFacts
	db, err := sql.Open(sqlite.DriverName, sqliteDSN(path, "_pragma=query_only(1)"))
	if err != nil {
		return none, opaque(err)
	}
	defer func() { err = errors.Join(err, opaque(closed(db))) }()
	db.SetMaxOpenConns(1)
	rows, err := db.QueryContext(ctx, "PRAGMA integrity_check(5)")
	if err != nil {
		return none, damaged(ctx, err)
	}
	defer rows.Close()
	var found []string
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return none, opaque(err)
		}
		found = append(found, line)
	}
	if err := rows.Err(); err != nil {
		return none, damaged(ctx, err)
	}
	if len(found) != 1 || found[0] != "ok" {
		return none, &brokenCopyError{strings.Join(found, "; ")}
	}
	read, err := gorm.Open(sqlite.New(sqlite.Config{Conn: db}), gormConfig(false))
	if err != nil {
		return none, opaque(err)
	}
	f, err := facts(read.WithContext(ctx), SQLite)
	return f, opaque(err)
}

// damaged is an error of a look through the pages, which a broken file ends too.
func damaged(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return opaque(err)
	}
	return &brokenCopyError{err.Error()}
}

// CheckSQLite looks through every page of a SQLite file that nobody has open.
// ErrDamaged says that they contradict one another.
func CheckSQLite(ctx context.Context, path string) (models.DatabaseFacts, error) {
	f, err := checkSQLite(ctx, path)
	if err != nil {
		err = fmt.Errorf("look through %s: %w", filepath.Base(path), err)
	}
	return f, err
}
