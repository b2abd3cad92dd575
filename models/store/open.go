package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/pressly/goose/v3/lock"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"
)

// Dialects.
const (
	SQLite   = "sqlite"
	Postgres = "postgres"
)

// Options are the few things about a database that a shop may set; the zero
// value is right for most.
type Options struct {
	// Readers is how many connections read a SQLite file at once (4), or how
	// many connections a PostgreSQL server is asked for (12), beside the few that
	// write inspections.
	Readers int
	// Disposable writes a SQLite file without waiting for the disk: for a file
	// that is thrown away when the program is cut short, as when a demo is made.
	Disposable bool
	// Restoring opens a PostgreSQL database that is being put back from a backup, which
	// is refused to everybody else until it is whole.
	Restoring bool
}

// Store is an open database.
type Store struct {
	dialect string
	write   *gorm.DB // on SQLite its one writing connection
	read    *gorm.DB // on SQLite the reading connections, the same as write on PostgreSQL
	pool    *pgxpool.Pool
	writers *pgxpool.Pool // PostgreSQL: of the pipelines
	writer  *sql.DB       // SQLite
	reader  *sql.DB       // SQLite
	readers int           // SQLite
	fixed   fixedRecords
	groups  groups
	arrays  bool           // PostgreSQL: many rows go as an array a column, of types it has told
	asking  func(question) // is told what is asked, where a test wants to know
	entered chan struct{}
	address address // PostgreSQL, for its own programs

	migrateDB   func() (*sql.DB, error) // a pool of its own
	migrateLock func() (lock.SessionLocker, error)
	closeOnce   sync.Once
}

// Open opens the database that a DSN names: "sqlite:PATH", a "postgres://" URL,
// or a libpq keyword string ("host=... dbname=..."). It neither makes nor
// changes tables; see [Store.Migrate].
func Open(ctx context.Context, dsn string, opts Options) (*Store, error) {
	var (
		s   *Store
		err error
	)
	if err := CheckDSN(dsn); err != nil {
		return nil, err
	}
	if path, isSQLite := strings.CutPrefix(dsn, "sqlite:"); isSQLite {
		s, err = openSQLite(ctx, path, opts)
	} else {
		s, err = openPostgres(ctx, dsn, opts)
	}
	if err != nil {
		return nil, err
	}
	err = s.Ping(ctx)
	if err == nil && s.pool != nil && !opts.Restoring {
		err = s.knownPostgres(ctx)
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// CheckDSN refuses what names no database, without a look at any.
func CheckDSN(dsn string) error {
	path, isSQLite := strings.CutPrefix(dsn, "sqlite:")
	switch {
	case isSQLite && (path == "" || strings.HasPrefix(path, ":memory:")):
		return errors.New("open database: SQLite needs the path of a file")
	case isSQLite, strings.HasPrefix(dsn, "postgres://"), strings.HasPrefix(dsn, "postgresql://"), strings.Contains(dsn, "="):
		return nil
	}
	return errors.New(`open database: its address is "sqlite:PATH", "postgres://..." or "host=... dbname=..."`)
}

// Dialect is SQLite or Postgres.
func (s *Store) Dialect() string { return s.dialect }

// Ping says whether the database answers.
func (s *Store) Ping(ctx context.Context) error {
	db, err := s.read.DB()
	if err == nil {
		err = db.PingContext(ctx)
	}
	if err != nil {
		return fmt.Errorf("reach the %s database: %w", s.dialect, translated(err))
	}
	return nil
}

// Close waits for what is in flight and closes every connection.
func (s *Store) Close() error {
	var errs []error
	s.closeOnce.Do(func() {
		if s.reader != nil {
			errs = append(errs, closed(s.reader, s.writer))
		}
		if s.pool != nil {
			if db, err := s.write.DB(); err == nil {
				errs = append(errs, db.Close())
			}
			s.pool.Close()
			s.writers.Close()
		}
	})
	if err := errors.Join(errs...); err != nil {
		return fmt.Errorf("close database: %w", opaque(err))
	}
	return nil
}

// closingTakes is how long a pool waits for what was given up.
const closingTakes = 10 * time.Second

// closed closes pools and waits for connections that a question which was given up is
// still letting go of, as database/sql does not. The last one of SQLite takes the log
// beside the file away; when it closes later, another database's may lie under that name.
func closed(pools ...*sql.DB) error {
	errs := make([]error, 0, len(pools))
	for _, db := range pools {
		errs = append(errs, db.Close())
	}
	late := time.After(closingTakes)
	for _, db := range pools {
		for db.Stats().OpenConnections > 0 {
			select {
			case <-late:
				return errors.Join(append(errs, fmt.Errorf("after %s a connection is in use yet", closingTakes))...)
			case <-time.After(time.Millisecond):
			}
		}
	}
	return errors.Join(errs...)
}

// gormConfig is made anew for each database: gorm.Open changes the one it is
// given.
func gormConfig(prepare bool) *gorm.Config {
	return &gorm.Config{
		SkipDefaultTransaction: true,
		DisableAutomaticPing:   true,
		PrepareStmt:            prepare,
		PrepareStmtMaxSize:     200,
		NamingStrategy:         names{},
		Logger:                 logger.Discard,
	}
}
