package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/libtnb/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"tracewright/models"
)

// ErrNotOurs says that a file or database holds something of another program:
// nothing is changed in it.
var ErrNotOurs = errors.New("not a database of this program")

// notOurs refuses what another program made, in words.
func notOurs(code, place string) error {
	return &notOursError{models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, "place", place)}}}
}

type notOursError struct{ models.RefusedError }

// Is makes it ErrNotOurs.
func (*notOursError) Is(target error) bool { return target == ErrNotOurs }

// Unwrap gives the reason, which has words.
func (e *notOursError) Unwrap() error { return &e.RefusedError }

// sqliteHead is how a SQLite file begins (www.sqlite.org/fileformat.html, 1.3).
const sqliteHead = "SQLite format 3\x00"

// firstTable is the first that the first migration makes. A database that has
// tables and not this one is another program's.
const firstTable = "people"

// knownSQLite refuses a path under which something else lies. It looks before a
// connection of ours changes anything: to turn on write-ahead logging would
// already change another program's file.
func knownSQLite(ctx context.Context, path string) (err error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil // A new one is made.
	case errors.Is(err, fs.ErrPermission):
		return notOurs("database_no_rights", path)
	case err != nil:
		return fmt.Errorf("open database: %w", err)
	case info.IsDir():
		return notOurs("database_is_folder", path)
	case info.Mode().IsRegular() && info.Size() == 0:
		return nil
	}
	if err := beginsLikeSQLite(path); err != nil {
		return err
	}
	db, err := sql.Open(sqlite.DriverName, sqliteDSN(path, "_pragma=query_only(1)"))
	if err != nil {
		return fmt.Errorf("open database: %w", opaque(err))
	}
	defer func() { err = errors.Join(err, opaque(closed(db))) }()
	db.SetMaxOpenConns(1)
	var all, ours int
	err = db.QueryRowContext(ctx, "SELECT count(*), count(*) FILTER (WHERE name = ?) FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' AND name <> 'goose_db_version'", firstTable).Scan(&all, &ours)
	switch {
	case isDamaged(err):
		return notOurs("database_damaged", path)
	case isUnwritable(err):
		return notOurs("database_unwritable", path)
	case err != nil:
		return fmt.Errorf("open database %s: %w", path, opaque(err))
	case all > 0 && ours == 0:
		return notOurs("database_not_ours", path)
	}
	return nil
}

// isUnwritable says whether a file that is there and can be read could not be opened
// for want of those beside it, which SQLite makes: the disk is read-only, or the
// folder is another account's.
func isUnwritable(err error) bool {
	code := sqliteCode(err)
	return code == sqlite3.SQLITE_CANTOPEN || code == sqlite3.SQLITE_READONLY
}

func beginsLikeSQLite(path string) error {
	file, err := os.Open(path)
	switch {
	case errors.Is(err, fs.ErrPermission):
		return notOurs("database_no_rights", path)
	case err != nil:
		return fmt.Errorf("open database: %w", err)
	}
	defer file.Close()
	head := make([]byte, len(sqliteHead))
	if _, err := io.ReadFull(file, head); err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return fmt.Errorf("open database: %w", err)
	}
	if string(head) != sqliteHead {
		return notOurs("database_no_sqlite", path)
	}
	return nil
}

// knownPostgres refuses a database in whose schema another program's tables lie, and
// one whose restoration did not end; those of an extension are nobody's.
func (s *Store) knownPostgres(ctx context.Context) error {
	const ask = `SELECT current_database(), count(*), count(*) FILTER (WHERE c.relname = $1), count(*) FILTER (WHERE c.relname = $2)
FROM pg_class AS c JOIN pg_namespace AS n ON n.oid = c.relnamespace
WHERE c.relkind IN ('r', 'p') AND n.nspname = current_schema() AND c.relname <> 'goose_db_version'
  AND NOT EXISTS (SELECT 1 FROM pg_depend AS d WHERE d.classid = 'pg_class'::regclass AND d.objid = c.oid AND d.deptype = 'e')`
	var (
		name                 string
		all, ours, restoring int
	)
	if err := s.pool.QueryRow(ctx, ask, firstTable, restorationBegun).Scan(&name, &all, &ours, &restoring); err != nil {
		return fmt.Errorf("look what the postgres database holds: %w", opaque(err))
	}
	if restoring > 0 {
		return notOurs("database_half_restored", name)
	}
	if all > 0 && ours == 0 {
		return notOurs("database_not_ours", name)
	}
	return nil
}
