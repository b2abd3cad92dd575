package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// Snapshot makes a copy of the database as it is when it begins, while this
// program and others go on writing. The folder is for a copy on the way; it
// holds what the database holds, so that it must be as well kept. Close ends it.
func (s *Store) Snapshot(ctx context.Context, folder string) (models.Snapshot, error) {
	if s.dialect == SQLite {
		return s.snapshotSQLite(ctx, folder)
	}
	return s.snapshotPostgres(ctx)
}

// Facts are what a backup says about the database.
func (s *Store) Facts(ctx context.Context) (models.DatabaseFacts, error) {
	f, err := facts(s.read.WithContext(ctx), s.dialect)
	return f, fault(err, "read the version of the schema")
}

// SchemaVersion is the last migration of the database; 0 of a new one.
func (s *Store) SchemaVersion(ctx context.Context) (int64, error) {
	f, err := s.Facts(ctx)
	return f.Schema, err
}

// facts reads what a backup says about a database, of any schema that this or
// an older program made.
func facts(tx *gorm.DB, dialect string) (models.DatabaseFacts, error) {
	f := models.DatabaseFacts{Dialect: dialect}
	there, err := hasTable(tx, dialect, "goose_db_version")
	if err == nil && there {
		err = tx.Raw("SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied").Scan(&f.Schema).Error
	}
	if err == nil {
		there, err = hasTable(tx, dialect, "trail_heads")
	}
	if err == nil && there {
		err = firstRow(tx.Raw("SELECT log, size FROM trail_heads WHERE one = 1"), &f.Log, &f.Changes)
		if translated(err) == models.ErrNotFound { // The log has not begun.
			err = nil
		}
	}
	return f, err
}

func hasTable(tx *gorm.DB, dialect, name string) (bool, error) {
	var n int
	ask := "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = ?"
	if dialect == Postgres {
		ask = "SELECT CASE WHEN to_regclass(?) IS NULL THEN 0 ELSE 1 END"
	}
	err := tx.Raw(ask, name).Scan(&n).Error
	return n > 0, err
}

// Empty says whether the database holds no table of anybody's.
func (s *Store) Empty(ctx context.Context) (bool, error) {
	n, err := s.tables(ctx)
	return n == 0, err
}

// tables counts what the database holds of anybody's.
func (s *Store) tables(ctx context.Context) (int, error) {
	ask := "SELECT count(*) FROM sqlite_master"
	if s.dialect == Postgres {
		ask = `SELECT count(*) FROM pg_class AS c JOIN pg_namespace AS n ON n.oid = c.relnamespace
WHERE c.relkind IN ('r', 'p', 'v', 'm', 'S', 'f') AND n.nspname NOT IN ('pg_catalog', 'information_schema') AND n.nspname NOT LIKE 'pg_toast%' AND n.nspname NOT LIKE 'pg_temp%'`
	}
	var n int
	err := s.read.WithContext(ctx).Raw(ask).Scan(&n).Error
	return n, fault(err, "look whether the database is empty")
}

// Counts are what somebody knows the database by.
func (s *Store) Counts(ctx context.Context) (models.DatabaseCounts, error) {
	var c models.DatabaseCounts
	tx := s.read.WithContext(ctx)
	for _, x := range []struct {
		table string
		n     *int64
	}{{"items", &c.Items}, {"inspections", &c.Inspections}, {"certificates", &c.Certificates}, {"people", &c.People}} {
		if err := tx.Table(x.table).Count(x.n).Error; err != nil {
			return c, fault(err, "count %s", x.table)
		}
	}
	var last []models.TrailEntry
	if err := tx.Order("at DESC").Limit(1).Find(&last).Error; err != nil {
		return c, fault(err, "find the newest change")
	}
	if len(last) > 0 {
		c.Newest = &last[0].At
	}
	return c, nil
}

// brokenCopyError says that a copy of the database is damaged.
type brokenCopyError struct{ found string }

func (e *brokenCopyError) Error() string { return "the database is damaged: " + e.found }

// Is makes it ErrDamaged.
func (*brokenCopyError) Is(target error) bool { return target == ErrDamaged }

// ErrDamaged says that the pages of a database contradict one another, as after
// a disk lost some: what is copied of it would be no good copy.
var ErrDamaged = fmt.Errorf("the database is damaged")
