package store

import (
	"context"
	"database/sql"

	"github.com/jackc/pgx/v5/pgxpool"

	"tracewright/models"
)

// Pools tells how the connections stand.
func (s *Store) Pools() []models.PoolState {
	if s.pool != nil {
		var list []models.PoolState
		for _, p := range []struct {
			name string
			pool *pgxpool.Pool
		}{{"all", s.pool}, {"writing", s.writers}} {
			st := p.pool.Stat()
			list = append(list, models.PoolState{Name: p.name, Open: int(st.TotalConns()), Busy: int(st.AcquiredConns()), Most: int(st.MaxConns()), Waits: st.EmptyAcquireCount(), Waited: st.EmptyAcquireWaitTime()})
		}
		return list
	}
	var list []models.PoolState
	for _, p := range []struct {
		name string
		db   *sql.DB
	}{{"writing", s.writer}, {"reading", s.reader}} {
		st := p.db.Stats()
		list = append(list, models.PoolState{Name: p.name, Open: st.OpenConnections, Busy: st.InUse, Most: st.MaxOpenConnections, Waits: st.WaitCount, Waited: st.WaitDuration})
	}
	return list
}

// Queued is how many inspections wait to be written together with others.
func (s *Store) Queued() int {
	s.groups.mu.Lock()
	defer s.groups.mu.Unlock()
	return len(s.groups.waiting)
}

// Rest gives back what the connections of a SQLite file hold when nobody asks: each
// keeps up to 2 MB of pages. Those that read are opened anew when somebody does.
func (s *Store) Rest(ctx context.Context) error {
	if s.dialect != SQLite {
		return nil // The pool closes what is idle by itself.
	}
	s.reader.SetMaxIdleConns(0)
	s.reader.SetMaxIdleConns(s.readers)
	_, err := s.writer.ExecContext(ctx, "PRAGMA shrink_memory")
	return opaque(err)
}
