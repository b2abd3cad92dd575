package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"

	"github.com/pressly/goose/v3"

	"tracewright/migrations"
)

// ErrNewerDatabase says that a database holds a migration this program does
// not know: it was made by a newer one, and an older program must not write
// into it.
var ErrNewerDatabase = errors.New("the database was made by a newer version of this program")

// Migration is one step of the schema and whether the database has it.
type Migration struct {
	Number  int64
	Name    string // 0001_people
	Applied bool
}

// Migrate brings the schema up to date and names what it applied. Programs
// that start at once take turns.
func (s *Store) Migrate(ctx context.Context) (applied []string, err error) {
	return s.MigrateAfter(ctx, nil)
}

// MigrateAfter is Migrate, and before anything is changed of a database that has
// a schema already it runs before: when that fails, nothing is changed.
func (s *Store) MigrateAfter(ctx context.Context, before func(context.Context) error) (applied []string, err error) {
	err = s.withProvider(ctx, true, func(p *goose.Provider) error {
		pending, err := p.HasPending(ctx)
		if err != nil || !pending {
			return err
		}
		current, err := p.GetDBVersion(ctx)
		if err == nil && current > 0 && before != nil {
			err = before(ctx)
		}
		if err != nil {
			return err
		}
		results, err := p.Up(ctx)
		for _, r := range results {
			applied = append(applied, migrationName(r.Source.Path))
		}
		return err
	})
	return applied, fault(err, "migrate the database")
}

// MigrationStatus lists every migration the program knows.
func (s *Store) MigrationStatus(ctx context.Context) (list []Migration, err error) {
	err = s.withProvider(ctx, false, func(p *goose.Provider) error {
		states, err := p.Status(ctx)
		for _, m := range states {
			list = append(list, Migration{Number: m.Source.Version, Name: migrationName(m.Source.Path), Applied: m.State == goose.StateApplied})
		}
		return err
	})
	return list, fault(err, "read the state of the migrations")
}

// withProvider hands out goose on a pool of its own, after a look at whether
// the database is newer than the program.
func (s *Store) withProvider(ctx context.Context, locked bool, f func(*goose.Provider) error) (err error) {
	db, err := s.migrateDB()
	if err != nil {
		return opaque(err)
	}
	defer func() { err = errors.Join(err, opaque(closed(db))) }()
	files, err := fs.Sub(migrations.Files, s.dialect)
	if err != nil {
		return err
	}
	options := []goose.ProviderOption{goose.WithDisableGlobalRegistry(true)}
	if locked {
		l, err := s.migrateLock()
		if err != nil {
			return err
		}
		options = append(options, goose.WithSessionLocker(l))
	}
	dialect := goose.DialectPostgres
	if s.dialect == SQLite {
		dialect = goose.DialectSQLite3
	}
	p, err := goose.NewProvider(dialect, db, files, options...)
	if err != nil {
		return opaque(err)
	}
	current, known, err := p.GetVersions(ctx)
	if err != nil {
		return opaque(err)
	}
	if current > known {
		return fmt.Errorf("it holds migration %d and this program knows %d: %w", current, known, ErrNewerDatabase)
	}
	return f(p)
}

func migrationName(file string) string {
	return path.Base(file[:len(file)-len(path.Ext(file))])
}

// NewestSchema is the last migration that this program knows.
func NewestSchema() (int64, error) {
	files, err := fs.ReadDir(migrations.Files, SQLite)
	if err != nil || len(files) == 0 {
		return 0, fmt.Errorf("read the migrations: %w", err)
	}
	return goose.NumericComponent(files[len(files)-1].Name()) // They are listed by name, which begins with the number.
}
