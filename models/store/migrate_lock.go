package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"

	"github.com/libtnb/sqlite"
	moderncsqlite "modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// fileLock lets one program at a time migrate a SQLite file. It holds a write
// lock on a small file beside the database, which the operating system gives
// back when the program dies. The file is taken away before the lock is let
// go; whoever was waiting for it notices that it holds a file that is gone, and
// tries again. Windows takes no file away that somebody has open, SQLite's
// included: there it goes afterwards, unless the next one has it already.
type fileLock struct {
	path   string
	remove func(string) error // os.Remove
	db     *sql.DB
	conn   *sql.Conn
}

// SessionLock implements goose's lock.SessionLocker.
func (l *fileLock) SessionLock(ctx context.Context, _ *sql.Conn) error {
	for {
		held, err := l.try(ctx)
		if held || err != nil {
			return err
		}
	}
}

func (l *fileLock) try(ctx context.Context) (held bool, err error) {
	if ctx.Err() != nil {
		return false, ctx.Err()
	}
	// Only SQLite opens the file: closing it by other means would drop the
	// locks that this process holds on it.
	before, err := os.Stat(l.path)
	missing := errors.Is(err, os.ErrNotExist)
	if err != nil && !missing {
		return false, fmt.Errorf("look for the migration lock: %w", err)
	}
	if l.db, err = sql.Open(sqlite.DriverName, sqliteDSN(l.path)); err != nil {
		return false, opaque(err)
	}
	if l.conn, err = l.db.Conn(ctx); err == nil && !missing {
		_, err = l.conn.ExecContext(ctx, "BEGIN EXCLUSIVE")
	}
	if err != nil || missing { // Opening it made it; or another program is at it.
		l.release()
		if isBusy(err) {
			err = nil
		}
		return false, opaque(err)
	}
	after, err := os.Stat(l.path)
	if err != nil || !os.SameFile(before, after) {
		l.release()
		return false, nil
	}
	return true, nil
}

// SessionUnlock implements goose's lock.SessionLocker.
func (l *fileLock) SessionUnlock(_ context.Context, _ *sql.Conn) error {
	err := l.remove(l.path)
	l.release()
	if err != nil {
		// What cannot be taken away at all stays: it is the next one's lock, and hurts nobody.
		_ = l.remove(l.path)
	}
	return nil
}

func (l *fileLock) release() {
	if l.conn != nil {
		l.conn.Close()
	}
	closed(l.db)
}

// sqliteCode is the primary result code of an error of SQLite; 0: it is none.
func sqliteCode(err error) int {
	var lite *moderncsqlite.Error
	if !errors.As(err, &lite) {
		return sqlite3.SQLITE_OK
	}
	return lite.Code() & 0xff
}

func isBusy(err error) bool { return sqliteCode(err) == sqlite3.SQLITE_BUSY }

// isDamaged says whether SQLite found the pages of a file contradict one another,
// or the file to be none of its own.
func isDamaged(err error) bool {
	code := sqliteCode(err)
	return code == sqlite3.SQLITE_CORRUPT || code == sqlite3.SQLITE_NOTADB
}
