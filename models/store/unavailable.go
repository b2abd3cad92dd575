package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"io"
	"net"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"tracewright/models"
)

// unavailable finds the code by which an error says that the database cannot do
// its work for now; empty where it says something else.
func unavailable(err error) string {
	// Nobody could be asked, whatever the server said to that.
	var connect *pgconn.ConnectError
	if errors.As(err, &connect) {
		var pg *pgconn.PgError
		if errors.As(err, &pg) && strings.HasPrefix(pg.Code, "53") {
			return unavailablePostgres(pg.Code)
		}
		return models.DatabaseAway
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		return unavailablePostgres(pg.Code)
	}
	var lite *sqlite.Error
	if errors.As(err, &lite) {
		return unavailableSQLite(lite.Code())
	}
	// The connection broke while it was used.
	var network net.Error
	for _, broken := range []error{driver.ErrBadConn, sql.ErrConnDone, pgconn.ErrConnClosed, io.EOF, io.ErrUnexpectedEOF, net.ErrClosed} {
		if errors.Is(err, broken) {
			return models.DatabaseAway
		}
	}
	// The end of a request's own time looks like a timeout of the network, and is none.
	if errors.As(err, &network) && !errors.Is(err, context.DeadlineExceeded) && !errors.Is(err, context.Canceled) {
		return models.DatabaseAway
	}
	return ""
}

// unavailablePostgres reads an SQLSTATE (PostgreSQL, appendix A).
func unavailablePostgres(code string) string {
	switch code {
	case "53100": // disk_full
		return models.DiskFull
	case "25006": // read_only_sql_transaction: a standby, or set so
		return models.DiskReadOnly
	case "57014", "55P03": // query_canceled, lock_not_available
		return models.DatabaseBusy
	case "XX001", "XX002": // data_corrupted, index_corrupted
		return models.DatabaseDamaged
	case "57P01", "57P02", "57P03", "57P04", "57P05": // it shuts down, has crashed, starts, lost the database, or saw nobody
		return models.DatabaseAway
	}
	switch code[:min(2, len(code))] {
	case "08": // connection exceptions
		return models.DatabaseAway
	case "53": // insufficient resources
		return models.DatabaseBusy
	case "58": // system errors, of its files too
		return models.DiskFailing
	}
	return ""
}

// unavailableSQLite reads a result code, of which the lowest byte is the plain one.
func unavailableSQLite(code int) string {
	switch code & 0xff {
	case sqlite3.SQLITE_FULL:
		return models.DiskFull
	case sqlite3.SQLITE_READONLY:
		return models.DiskReadOnly
	case sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN:
		return models.DiskFailing
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_PROTOCOL, sqlite3.SQLITE_NOMEM:
		return models.DatabaseBusy
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return models.DatabaseDamaged
	}
	return ""
}
