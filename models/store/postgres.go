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
)

const (
	connectWithin = 5 * time.Second
	// pingWithin bounds the question whether a connection that was idle is still good.
	pingWithin = 3 * time.Second
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
	// A server that does not answer at all is away within seconds, and so is a
	// connection that fell silent, unless the address says otherwise.
	if config.ConnConfig.ConnectTimeout == 0 {
		config.ConnConfig.ConnectTimeout = connectWithin
	}
	if config.PingTimeout == 0 {
		config.PingTimeout = pingWithin
	}
	config.AfterConnect = readied
	writing := config.Copy()
	writing.MaxConns = writersAtOnce
	writing.AfterConnect = writes
	s := &Store{dialect: Postgres, address: addressOf(dsn, config.ConnConfig), groups: groups{most: groupsAtOnce}, arrays: !unprepared(config.ConnConfig), entered: make(chan struct{}, 1)}
	config.ConnConfig.Tracer, writing.ConnConfig.Tracer = breaks{s}, breaks{s}
	config.ShouldPing, writing.ShouldPing = shouldPing(&s.pool, config.PingTimeout), shouldPing(&s.writers, config.PingTimeout)
	// gorm sees the one pool as a *sql.DB, and questions are pipelined over it; the
	// few connections of the other write in pipelines.
	if s.pool, err = pgxpool.NewWithConfig(ctx, config); err != nil {
		return nil, fmt.Errorf("open database: %w", opaque(err))
	}
	if s.writers, err = pgxpool.NewWithConfig(ctx, writing); err != nil {
		s.pool.Close()
		return nil, fmt.Errorf("open database: %w", opaque(err))
	}
	db := stdlib.OpenDBFromPool(s.pool)
	// Prepared statements are pgx's own business here.
	if s.write, err = gorm.Open(postgres.New(postgres.Config{Conn: db}), gormConfig(false)); err != nil {
		db.Close()
		s.pool.Close()
		s.writers.Close()
		return nil, fmt.Errorf("open database: %w", opaque(err))
	}
	s.read = s.write
	s.migrateDB = func() (*sql.DB, error) {
		return stdlib.OpenDB(*config.ConnConfig.Copy(), stdlib.OptionAfterConnect(readied)), nil
	}
	s.migrateLock = func() (lock.SessionLocker, error) { return lock.NewPostgresSessionLocker() }
	return s, nil
}

// askedAfter is how long a connection may have been idle and be taken for good.
const askedAfter = time.Second

// shouldPing asks a connection that was idle whether it is still good. When one says
// nothing, those that were idle beside it go too: each would cost its own wait. The
// pool then finds it closed.
func shouldPing(pool **pgxpool.Pool, within time.Duration) func(context.Context, pgxpool.ShouldPingParams) bool {
	return func(ctx context.Context, p pgxpool.ShouldPingParams) bool {
		if p.IdleDuration <= askedAfter {
			return false
		}
		ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), within)
		defer cancel()
		if p.Conn.Ping(ctx) == nil {
			return false
		}
		if ctx.Err() != nil {
			(*pool).Reset()
		}
		return true
	}
}

// brokenForAll is told how a question ended whose connection may have broken by
// itself, as when the server was started anew. It was hardly the only one: all that
// are idle go with it, and whoever comes next gets a new one, where each would
// otherwise cost somebody an answer. A connection that closed because whoever asked
// gave up says nothing of the others.
func (s *Store) brokenForAll(ctx context.Context, conn *pgx.Conn, err error) {
	if err == nil || ctx.Err() != nil || !conn.IsClosed() || s.pool == nil || s.writers == nil {
		return
	}
	s.pool.Reset()
	s.writers.Reset()
}

// breaks looks at how each question to PostgreSQL ended: the pools hear of a broken
// connection before whoever asked does, and so before anybody can ask again.
type breaks struct{ store *Store }

// TraceQueryStart implements pgx.QueryTracer.
func (breaks) TraceQueryStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceQueryStartData) context.Context {
	return ctx
}

// TraceQueryEnd implements pgx.QueryTracer.
func (b breaks) TraceQueryEnd(ctx context.Context, conn *pgx.Conn, end pgx.TraceQueryEndData) {
	b.store.brokenForAll(ctx, conn, end.Err)
}

// TraceBatchStart implements pgx.BatchTracer.
func (breaks) TraceBatchStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceBatchStartData) context.Context {
	return ctx
}

// TraceBatchQuery implements pgx.BatchTracer.
func (breaks) TraceBatchQuery(context.Context, *pgx.Conn, pgx.TraceBatchQueryData) {}

// TraceBatchEnd implements pgx.BatchTracer.
func (b breaks) TraceBatchEnd(ctx context.Context, conn *pgx.Conn, end pgx.TraceBatchEndData) {
	b.store.brokenForAll(ctx, conn, end.Err)
}

// writersAtOnce is how many transactions of pipelines are written at once: groups
// of inspections, a turn of the sealer, a list that is taken in.
const writersAtOnce = groupsAtOnce + 2

// writes readies a connection of the pipelines. Each of their statements goes by
// keys, with a list of them of one length today and of another tomorrow: it is
// planned once and not anew for each length. And neither it nor the check of a
// reference may keep a plan that walks a table, which was the cheaper way while
// the table was all but empty and would be followed until the statistics catch up.
// None of them is worth compiling.
func writes(ctx context.Context, conn *pgx.Conn) error {
	_, err := conn.Exec(ctx, "SELECT set_config('plan_cache_mode', 'force_generic_plan', false), set_config('enable_seqscan', 'off', false), set_config('jit', 'off', false)")
	if err != nil {
		return err
	}
	takeColumns(conn.TypeMap())
	return readied(ctx, conn)
}

// readied has a connection read times in UTC instead of the zone of the machine, and
// know the types of what is sent where it has to.
func readied(_ context.Context, conn *pgx.Conn) error {
	conn.TypeMap().RegisterType(&pgtype.Type{
		Name: "timestamptz", OID: pgtype.TimestamptzOID,
		Codec: &pgtype.TimestamptzCodec{ScanLocation: time.UTC},
	})
	// An address may have statements sent unprepared, for a pooler that stands between.
	// PostgreSQL has then not said which types it expects.
	if unprepared(conn.Config()) {
		nameTypes(conn.TypeMap())
	}
	return nil
}

func unprepared(c *pgx.ConnConfig) bool {
	return c.DefaultQueryExecMode == pgx.QueryExecModeExec || c.DefaultQueryExecMode == pgx.QueryExecModeSimpleProtocol
}

// nameTypes names the types of the values that are sent. pgx has such a table for all
// that there are, which is a fortieth of the program and left out of it by the tag
// nopgxregisterdefaulttypes.
func nameTypes(m *pgtype.Map) {
	nameType[bool](m, "bool")
	nameType[int](m, "int8")
	nameType[int32](m, "int4")
	nameType[int64](m, "int8")
	nameType[float64](m, "float8")
	nameType[string](m, "text")
	nameType[time.Time](m, "timestamptz")
}

func nameType[T any](m *pgtype.Map, name string) {
	var one T
	m.RegisterDefaultPgType(one, name)
	m.RegisterDefaultPgType([]T(nil), "_"+name)
	m.RegisterDefaultPgType([]*T(nil), "_"+name)
}
