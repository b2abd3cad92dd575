package store

import (
	"context"
	"fmt"
)

// pipeline is one transaction in which statements are sent in batches. On
// PostgreSQL a batch is one round trip, and the transaction begins with the
// first and is committed with the last; on SQLite its statements run one after
// another from a store of compiled ones.
type pipeline interface {
	// send runs the batch; its scans have been called when it returns.
	send(ctx context.Context, b *batch) error
	// commit runs the batch, which may be empty, and ends the transaction.
	commit(ctx context.Context, b *batch) error
	// rollback ends a transaction that was not committed; later calls do nothing.
	rollback()
}

// batch is a list of statements with question marks for values.
type batch struct{ steps []step }

type step struct {
	text string
	args []any
	row  func([]any) error // called for each row; nil for a statement that returns none
}

func (b *batch) exec(text string, args ...any) {
	b.steps = append(b.steps, step{text: text, args: args})
}

// query calls row for each row, with values as the drivers give them: see
// textOf, wholeOf and timeOf. Cast keys to text, flags to whole numbers.
func (b *batch) query(text string, row func([]any) error, args ...any) {
	b.steps = append(b.steps, step{text: text, args: args, row: row})
}

// transact runs f in one transaction; f commits by itself. What it has entered
// is told to whoever seals.
func (s *Store) transact(ctx context.Context, f func(pipeline) error) error {
	err := s.transactSilently(ctx, f)
	if err == nil {
		s.tellEntered()
	}
	return err
}

func (s *Store) transactSilently(ctx context.Context, f func(pipeline) error) error {
	var (
		p   pipeline
		err error
	)
	if s.dialect == Postgres {
		p, err = s.beginPostgres(ctx)
	} else {
		p, err = s.beginSQLite(ctx)
	}
	if err != nil {
		return err
	}
	defer p.rollback()
	return f(p)
}

// forUpdate locks the rows a query reads until the transaction ends. SQLite
// has one writer and needs no such lock.
func (s *Store) forUpdate() string {
	if s.dialect == Postgres {
		return " FOR UPDATE"
	}
	return ""
}

func textOf(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case []byte:
		return string(v)
	case nil:
		return ""
	}
	return fmt.Sprint(v)
}

func wholeOf(v any) int {
	switch v := v.(type) {
	case int64:
		return int(v)
	case int32:
		return int(v)
	case int16:
		return int(v)
	}
	return 0
}
