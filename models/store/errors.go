package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"gorm.io/gorm"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"tracewright/models"
)

// fault says what was being done and turns the database's error into one of
// ours. Errors that are ours already keep their kind.
func fault(err error, doing string, args ...any) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", fmt.Sprintf(doing, args...), translated(err))
}

func translated(err error) error {
	if errors.Is(err, gorm.ErrRecordNotFound) || errors.Is(err, sql.ErrNoRows) || errors.Is(err, pgx.ErrNoRows) {
		return models.ErrNotFound
	}
	if code := unavailable(err); code != "" {
		return &models.UnavailableError{Code: code, Cause: opaque(err)}
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		return translatedPostgres(pg)
	}
	var lite *sqlite.Error
	if errors.As(err, &lite) {
		return translatedSQLite(lite)
	}
	return err
}

func translatedPostgres(err *pgconn.PgError) error {
	switch err.Code {
	case "23505": // unique_violation
		return fmt.Errorf("%s is taken: %w", err.ConstraintName, models.ErrConflict)
	case "23503": // foreign_key_violation
		return fmt.Errorf("a record it names is not there (%s): %w", err.ConstraintName, models.ErrNotFound)
	case "22P02": // invalid_text_representation: a key that is no UUID
		return fmt.Errorf("malformed key: %w", models.ErrNotFound)
	case "22021": // character_not_in_repertoire: a zero byte, or bytes that are no UTF-8
		return models.Invalid("", "not_text")
	case "40001", "40P01": // serialization_failure, deadlock_detected
		return models.ErrStale
	}
	return opaque(err)
}

func translatedSQLite(err *sqlite.Error) error {
	switch err.Code() {
	case sqlite3.SQLITE_CONSTRAINT_UNIQUE, sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY, sqlite3.SQLITE_CONSTRAINT_ROWID:
		return fmt.Errorf("the key is taken: %w", models.ErrConflict)
	case sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY:
		return fmt.Errorf("a record it names is not there: %w", models.ErrNotFound)
	}
	return opaque(err)
}

// databaseError carries the words of a database's error and nothing that a
// caller could take apart.
type databaseError struct{ text string }

func (e databaseError) Error() string { return e.text }

// opaque hides a database's error behind its words. The end of a context stays
// recognisable.
func opaque(err error) error {
	if err == nil {
		return nil
	}
	for _, known := range []error{context.Canceled, context.DeadlineExceeded} {
		if errors.Is(err, known) {
			return fmt.Errorf("%s: %w", databaseError{err.Error()}, known)
		}
	}
	return databaseError{err.Error()}
}
