package store

import (
	"context"
	"slices"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/logger"
)

// statements is told every statement that a store reads by, with its values.
type statements struct {
	logger.Interface
	told func(string)
}

func (s statements) Trace(_ context.Context, _ time.Time, what func() (string, int64), _ error) {
	statement, _ := what()
	s.told(statement)
}

// StatementsOf gives the statements, with their values, that ask reads by.
func (s *Store) StatementsOf(ask func(*Store) error) ([]string, error) {
	var all []string
	told := func(x string) { all = append(all, x) }
	watched := Store{dialect: s.dialect, pool: s.pool, reader: s.reader, read: s.read.Session(&gorm.Session{Logger: statements{logger.Discard, told}})}
	watched.asking = func(q question) { told(logger.ExplainSQL(q.text, nil, "'", q.args...)) }
	defer watched.asked.close()
	err := ask(&watched)
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
