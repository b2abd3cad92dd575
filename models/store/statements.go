package store

import (
	"context"
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

// Watched is the same database, read so that each statement is told with its
// values in it: what a question costs can then be held against the database's
// own client. It remembers nothing that the store does.
func (s *Store) Watched(told func(statement string)) *Store {
	watched := &Store{dialect: s.dialect, pool: s.pool, reader: s.reader, write: s.write, read: s.read.Session(&gorm.Session{Logger: statements{logger.Discard, told}})}
	watched.asking = func(q question) { told(logger.ExplainSQL(q.text, nil, "'", q.args...)) }
	return watched
}
