package store

import (
	"context"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// question is a query with question marks for values. The row function is
// called for each row with a function that puts its columns where they belong.
type question struct {
	text string
	args []any
	row  func(scan func(into ...any) error) error
}

// ask puts several questions at once: one round trip on PostgreSQL, and none of
// their own for parts that are asked together.
func (s *Store) ask(ctx context.Context, questions ...question) error {
	_, err := s.put(ctx, questions)
	return err
}

// put asks, and says how many questions were answered before an error.
func (s *Store) put(ctx context.Context, questions []question) (answered int, err error) {
	if a, ok := ctx.Value(askerKey{}).(*asker); ok {
		return a.ask(questions)
	}
	if s.asking != nil {
		for _, q := range questions {
			s.asking(q)
		}
	}
	if s.dialect == Postgres {
		return s.askPostgres(ctx, questions)
	}
	for i, q := range questions {
		if err := s.askSQLite(ctx, q); err != nil {
			return i, err
		}
	}
	return len(questions), nil
}

// question is one whose conditions may use what gorm's may: see written.
func (s *Store) question(text string, args []any, row func(scan func(into ...any) error) error) question {
	text, args = written(s.dialect, text, args)
	return question{text, args, row}
}

// askedAgain is how often one is asked again whose connection was found broken
// before anything was sent, as database/sql does.
const askedAgain = 2

func (s *Store) askPostgres(ctx context.Context, questions []question) (answered int, err error) {
	for tries := 0; ; tries++ {
		conn, err := s.pool.Acquire(ctx)
		if err != nil {
			return 0, err
		}
		answered, err = pipelined(ctx, conn.Conn(), questions)
		conn.Release()
		if tries == askedAgain || !pgconn.SafeToRetry(err) {
			return answered, err
		}
	}
}

func pipelined(ctx context.Context, conn *pgx.Conn, questions []question) (answered int, err error) {
	if len(questions) == 1 {
		rows, err := conn.Query(ctx, numbered(questions[0].text), questions[0].args...)
		if err == nil {
			err = questions[0].take(rows)
		}
		if err != nil {
			return 0, err
		}
		return 1, nil
	}
	queue := &pgx.Batch{}
	for _, q := range questions {
		queue.Queue(numbered(q.text), q.args...)
	}
	results := conn.SendBatch(ctx, queue)
	defer func() {
		if closed := results.Close(); err == nil {
			err = closed
		}
	}()
	for i, q := range questions {
		rows, err := results.Query()
		if err == nil {
			err = q.take(rows)
		}
		if err != nil {
			return i, err
		}
	}
	return len(questions), nil
}

func (q question) take(rows pgx.Rows) error {
	defer rows.Close()
	for rows.Next() {
		if err := q.row(rows.Scan); err != nil {
			return err
		}
	}
	return rows.Err()
}

func (s *Store) askSQLite(ctx context.Context, q question) error {
	rows, err := s.reader.QueryContext(ctx, q.text, q.args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := q.row(rows.Scan); err != nil {
			return err
		}
	}
	return rows.Err()
}
