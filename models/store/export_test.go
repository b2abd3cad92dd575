package store

import (
	"context"
	"slices"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
)

// StatementsOf gives the statements, with their values, that ask reads by.
func (s *Store) StatementsOf(ask func(*Store) error) ([]string, error) {
	var all []string
	watched, done := s.Watched(func(x string) { all = append(all, x) })
	defer done()
	err := ask(watched)
	return all, err
}

// Counters lists the tables that a restoration moves on.
func Counters() []string {
	return slices.Sorted(slices.Values(append([]string{"serial_counters"}, yearCounters...)))
}

// AddSession signs somebody in.
func (s *Store) AddSession(ctx context.Context) error {
	return s.Sessions(time.Now).CommitCtx(ctx, "token", []byte{1}, time.Now().Add(time.Hour))
}

// DueCustomersSQL is the question for customers whose time is over.
const DueCustomersSQL = dueCustomers

// ForgetToolPlaces has programs of PostgreSQL looked for in PATH alone, until the
// test ends.
func ForgetToolPlaces(t interface{ Cleanup(func()) }) {
	before := toolPlaces
	toolPlaces = nil
	t.Cleanup(func() { toolPlaces = before })
}

// AtOnce takes so many connections of a PostgreSQL pool at once, and gives them back
// together.
func (s *Store) AtOnce(ctx context.Context, n int) error {
	var held []*pgxpool.Conn
	defer func() {
		for _, c := range held {
			c.Release()
		}
	}()
	for range n {
		c, err := s.pool.Acquire(ctx)
		if err != nil {
			return err
		}
		held = append(held, c)
	}
	return nil
}
