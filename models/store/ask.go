package store

import (
	"context"
	"database/sql"
	"sync"

	"github.com/jackc/pgx/v5"
)

// question is a query with question marks for values. The row function is
// called for each row with a function that puts its columns where they belong.
type question struct {
	text string
	args []any
	row  func(scan func(into ...any) error) error
}

// ask puts several questions at once: one round trip on PostgreSQL. It stands
// beside gorm where every inspection passes.
func (s *Store) ask(ctx context.Context, questions ...question) error {
	if s.asking != nil {
		for _, q := range questions {
			s.asking(q)
		}
	}
	if s.dialect == Postgres {
		return s.askPostgres(ctx, questions)
	}
	for _, q := range questions {
		if err := s.askSQLite(ctx, q); err != nil {
			return err
		}
	}
	return nil
}

func (s *Store) askPostgres(ctx context.Context, questions []question) (err error) {
	queue := &pgx.Batch{}
	for _, q := range questions {
		queue.Queue(numbered(q.text), q.args...)
	}
	results := s.pool.SendBatch(ctx, queue)
	defer func() {
		if closed := results.Close(); err == nil {
			err = closed
		}
	}()
	for _, q := range questions {
		rows, err := results.Query()
		if err != nil {
			return err
		}
		for rows.Next() && err == nil {
			err = q.row(rows.Scan)
		}
		rows.Close()
		if err == nil {
			err = rows.Err()
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// askedTexts are compiled questions of the reading connections.
type askedTexts struct {
	mu     sync.Mutex
	byText map[string]*sql.Stmt
}

func (t *askedTexts) of(ctx context.Context, db *sql.DB, text string) (*sql.Stmt, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if stmt, ok := t.byText[text]; ok {
		return stmt, nil
	}
	stmt, err := db.PrepareContext(ctx, text)
	if err != nil {
		return nil, err
	}
	if t.byText == nil {
		t.byText = map[string]*sql.Stmt{}
	}
	t.byText[text] = stmt
	return stmt, nil
}

func (t *askedTexts) close() {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, stmt := range t.byText {
		stmt.Close()
	}
	t.byText = nil
}

func (s *Store) askSQLite(ctx context.Context, q question) error {
	stmt, err := s.asked.of(ctx, s.reader, q.text)
	if err != nil {
		return err
	}
	rows, err := stmt.QueryContext(ctx, q.args...)
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
