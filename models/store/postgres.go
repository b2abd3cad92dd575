package store

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3/lock"
	"gorm.io/driver/postgres"
	"gorm.io/gorm"

	"tracewright/migrations"
)

func openPostgres(ctx context.Context, dsn string, opts Options) (*Store, error) {
	config, err := pgxpool.ParseConfig(dsn)
	if err != nil {
		return nil, fmt.Errorf("open database: %w", opaque(err))
	}
	if opts.Readers > 0 {
		config.MaxConns = int32(min(opts.Readers, 1000))
	} else {
		config.MaxConns = max(config.MaxConns, 12)
	}
	if config.ConnConfig.RuntimeParams["application_name"] == "" {
		config.ConnConfig.RuntimeParams["application_name"] = "tracewright"
	}
	config.AfterConnect = timesInUTC
	s := &Store{dialect: Postgres, address: addressOf(dsn, config.ConnConfig), migrations: migrations.Postgres, groups: groups{most: groupsAtOnce}, entered: make(chan struct{}, 1)}
	// One pool of connections for all: gorm sees it as a *sql.DB, and the
	// writing of inspections pipelines over it.
	if s.pool, err = pgxpool.NewWithConfig(ctx, config); err != nil {
		return nil, fmt.Errorf("open database: %w", opaque(err))
	}
	db := stdlib.OpenDBFromPool(s.pool)
	// Prepared statements are pgx's own business here.
	if s.write, err = gorm.Open(postgres.New(postgres.Config{Conn: db}), gormConfig(false)); err != nil {
		db.Close()
		s.pool.Close()
		return nil, fmt.Errorf("open database: %w", opaque(err))
	}
	s.read = s.write
	s.migrateDB = func() (*sql.DB, error) { return stdlib.OpenDB(*config.ConnConfig.Copy()), nil }
	s.migrateLock = func() (lock.SessionLocker, error) { return lock.NewPostgresSessionLocker() }
	return s, nil
}

// timesInUTC makes a connection read times in UTC instead of the zone of the
// machine.
func timesInUTC(_ context.Context, conn *pgx.Conn) error {
	conn.TypeMap().RegisterType(&pgtype.Type{
		Name: "timestamptz", OID: pgtype.TimestamptzOID,
		Codec: &pgtype.TimestamptzCodec{ScanLocation: time.UTC},
	})
	return nil
}
