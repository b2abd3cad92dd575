package store

import (
	"context"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// rollbackWithin is how long a connection that may have fallen silent is waited for
// before it is thrown away.
const rollbackWithin = 5 * time.Second

type postgresPipeline struct {
	conn  *pgxpool.Conn
	begun bool
}

func (s *Store) beginPostgres(ctx context.Context) (pipeline, error) {
	conn, err := s.writers.Acquire(ctx)
	if err != nil {
		return nil, translated(err)
	}
	return &postgresPipeline{conn: conn}, nil
}

func (p *postgresPipeline) send(ctx context.Context, b *batch) error { return p.run(ctx, b, false) }

func (p *postgresPipeline) commit(ctx context.Context, b *batch) error {
	if err := p.run(ctx, b, true); err != nil {
		return err
	}
	p.conn.Release()
	p.conn = nil
	return nil
}

func (p *postgresPipeline) run(ctx context.Context, b *batch, last bool) (err error) {
	queue := &pgx.Batch{}
	if !p.begun {
		queue.Queue("BEGIN")
	}
	for _, s := range b.steps {
		queue.Queue(numbered(s.text), s.args...)
	}
	if last {
		queue.Queue("COMMIT")
	}
	results := p.conn.SendBatch(ctx, queue)
	defer func() {
		if closed := results.Close(); err == nil {
			err = closed
		}
	}()
	if !p.begun {
		p.begun = true
		if _, err := results.Exec(); err != nil {
			return err
		}
	}
	for _, s := range b.steps {
		if err := answer(results, s); err != nil {
			return err
		}
	}
	if last {
		_, err = results.Exec()
	}
	return err
}

func answer(results pgx.BatchResults, s step) error {
	if s.row == nil {
		_, err := results.Exec()
		return err
	}
	rows, err := results.Query()
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		values, err := rows.Values()
		if err != nil {
			return err
		}
		if err := s.row(values); err != nil {
			return err
		}
	}
	return rows.Err()
}

func (p *postgresPipeline) rollback() {
	if p.conn == nil {
		return
	}
	if p.begun {
		// The pool throws a connection away whose transaction is still open,
		// so a failure here is harmless.
		ctx, cancel := context.WithTimeout(context.Background(), rollbackWithin)
		defer cancel()
		_, _ = p.conn.Exec(ctx, "ROLLBACK")
	}
	p.conn.Release()
	p.conn = nil
}

var numberedTexts sync.Map // text with question marks -> text with $1, $2

// numbered writes the placeholders as PostgreSQL wants them.
func numbered(text string) string {
	if known, ok := numberedTexts.Load(text); ok {
		return known.(string)
	}
	var out strings.Builder
	n := 0
	for _, r := range text {
		if r == '?' {
			n++
			out.WriteString("$" + strconv.Itoa(n))
			continue
		}
		out.WriteRune(r)
	}
	numberedTexts.Store(text, out.String())
	return out.String()
}
