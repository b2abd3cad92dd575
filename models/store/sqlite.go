package store

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

	"github.com/libtnb/sqlite"
	"github.com/pressly/goose/v3/lock"
	"gorm.io/gorm"
)

// sqliteDSN is the address of a file for one kind of connection. Times are
// written as text in UTC, so that they sort; a text that merely looks like a
// time stays a text.
func sqliteDSN(path string, options ...string) string {
	common := []string{
		"_pragma=busy_timeout(5000)", "_pragma=foreign_keys(1)",
		"_time_format=sqlite", "_timezone=UTC", "_texttotime=0",
	}
	// The driver looks for the first question mark, and SQLite decodes a file: URI.
	uri := (&url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath()}).String()
	return uri + "?" + strings.Join(append(common, options...), "&")
}

func openSQLite(ctx context.Context, path string, opts Options) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("open database: %w", err)
	}
	if err := knownSQLite(ctx, path); err != nil {
		return nil, err
	}
	// The file holds the hashes of passwords and PINs: it is its owner's alone.
	// One that exists keeps the rights it was given.
	if file, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL, 0o600); err == nil {
		file.Close()
	} else if !errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("open database: %w", err)
	}
	readers := opts.Readers
	if readers < 1 {
		readers = 4
	}
	// A transaction that reads and then writes must take the write lock when
	// it begins, or SQLite refuses it at once when another writes; a reading
	// one must not, or it would hold the writer up.
	synchronous := "_pragma=synchronous(FULL)"
	if opts.Disposable {
		synchronous = "_pragma=synchronous(OFF)"
	}
	// What is erased is written over with zeros, whole pages too, which "fast" leaves.
	// What takes back a statement that fails half-way stays in memory: a group of
	// inspections changes more than the 64 KB from which SQLite makes a file of it.
	// Its log is carried into the file by every 16 MB, not 4, and what it writes to most
	// stays in memory: together a fifteenth more inspections.
	writing := sqliteDSN(path, "_pragma=journal_mode(WAL)", "_pragma=secure_delete(1)", "_pragma=temp_store(MEMORY)", "_pragma=cache_size(-8000)",
		"_pragma=wal_autocheckpoint(4000)", synchronous, "_txlock=immediate")
	reading := sqliteDSN(path, "_pragma=query_only(1)", "_txlock=deferred")

	s := &Store{dialect: SQLite, readers: readers, groups: groups{most: 1}, entered: make(chan struct{}, 1)}
	plain, err := sql.Open(sqlite.DriverName, writing)
	if err != nil {
		return nil, fmt.Errorf("open database: %w", opaque(err))
	}
	s.writer = sql.OpenDB(keeper{plain.Driver(), writing})
	plain.Close() // It was never connected.
	s.writer.SetMaxOpenConns(1)
	s.writer.SetMaxIdleConns(1)
	// The first connection makes the file and turns on write-ahead logging;
	// readers come after it.
	if err := s.writer.PingContext(ctx); err != nil {
		closed(s.writer)
		if isUnwritable(err) {
			return nil, notOurs("database_unwritable", path)
		}
		return nil, fmt.Errorf("open database %s: %w", path, opaque(err))
	}
	s.reader = sql.OpenDB(keeper{plain.Driver(), reading})
	s.reader.SetMaxOpenConns(readers)
	s.reader.SetMaxIdleConns(readers)

	if s.write, err = gorm.Open(sqlite.New(sqlite.Config{Conn: s.writer}), gormConfig(true)); err == nil {
		s.read, err = gorm.Open(sqlite.New(sqlite.Config{Conn: s.reader}), gormConfig(true))
	}
	if err != nil {
		closed(s.reader, s.writer)
		return nil, fmt.Errorf("open database: %w", opaque(err))
	}
	s.migrateDB = func() (*sql.DB, error) { return sql.Open(sqlite.DriverName, writing) }
	s.migrateLock = func() (lock.SessionLocker, error) {
		return &fileLock{path: path + "-migrating", remove: os.Remove}, nil
	}
	return s, nil
}

// forget empties SQLite's log of the newest changes, after something was erased:
// until it is written over, what was erased still stands in it. While somebody
// reads, that waits for the next time. PostgreSQL has its own housekeeping.
func (s *Store) forget(ctx context.Context) error {
	if s.dialect != SQLite {
		return nil
	}
	_, err := s.writer.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	return opaque(err)
}
