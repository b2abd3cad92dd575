package store

import (
	"context"
	"fmt"
)

// backupsLock is the advisory lock of whoever makes a backup by the clock: any
// number that this program uses for nothing else.
const backupsLock = 0x7477_6261_636b

// AloneAtBackups says whether this program alone, of all on the database, may now
// make the backup that is due, and holds off the others until release. A program
// that dies, or loses its connection, lets go by that. A SQLite file has one server.
func (s *Store) AloneAtBackups(ctx context.Context) (release func(), alone bool, err error) {
	if s.dialect != Postgres {
		return func() {}, true, nil
	}
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return nil, false, fmt.Errorf("hold off other servers: %w", opaque(err))
	}
	if err := conn.QueryRow(ctx, "SELECT pg_try_advisory_lock($1)", int64(backupsLock)).Scan(&alone); err != nil || !alone {
		conn.Release()
		if err != nil {
			err = fmt.Errorf("hold off other servers: %w", opaque(err))
		}
		return nil, false, err
	}
	return func() {
		// Where the connection is broken, the lock went with it.
		if _, err := conn.Exec(context.WithoutCancel(ctx), "SELECT pg_advisory_unlock($1)", int64(backupsLock)); err != nil {
			conn.Hijack().Close(context.WithoutCancel(ctx))
			return
		}
		conn.Release()
	}, true, nil
}
