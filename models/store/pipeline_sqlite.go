package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"time"
)

type sqlitePipeline struct {
	conn *sql.Conn
	open bool
	args []driver.NamedValue // of one statement after the other: the driver keeps none
}

func (s *Store) beginSQLite(ctx context.Context) (pipeline, error) {
	conn, err := s.writer.Conn(ctx) // waits for its turn
	if err != nil {
		return nil, translated(err)
	}
	p := &sqlitePipeline{conn: conn}
	if err := p.run(&batch{steps: []step{{text: "BEGIN IMMEDIATE"}}}); err != nil {
		conn.Close()
		return nil, err
	}
	p.open = true
	return p, nil
}

func (p *sqlitePipeline) send(_ context.Context, b *batch) error { return p.run(b) }

func (p *sqlitePipeline) commit(_ context.Context, b *batch) error {
	b.exec("COMMIT")
	if err := p.run(b); err != nil {
		return err
	}
	p.open = false
	return nil
}

func (p *sqlitePipeline) rollback() {
	if p.conn == nil {
		return
	}
	if p.open {
		// The connection is thrown away when it cannot even do this.
		if err := p.run(&batch{steps: []step{{text: "ROLLBACK"}}}); err != nil {
			_ = p.conn.Raw(func(any) error { return driver.ErrBadConn })
		}
	}
	p.conn.Close()
	p.conn = nil
}

// run does not heed the caller's context between statements: they take less
// than a millisecond together, and watching it would cost more.
func (p *sqlitePipeline) run(b *batch) error {
	return p.conn.Raw(func(raw any) error {
		conn, ok := raw.(*keepingConn)
		if !ok {
			return errors.New("not a connection that keeps its statements")
		}
		for _, s := range b.steps {
			if err := p.step(conn, s); err != nil {
				// Not as driver.ErrBadConn: the connection is sound.
				return err
			}
		}
		return nil
	})
}

// step calls the driver itself: database/sql would watch the context and
// convert what is of the right type.
func (p *sqlitePipeline) step(conn *keepingConn, s step) error {
	ctx := context.Background()
	stmt, err := conn.PrepareContext(ctx, s.text)
	if err != nil {
		return err
	}
	defer stmt.Close()
	p.args = p.args[:0]
	for i, a := range s.args {
		v, err := driverValue(a)
		if err != nil {
			return err
		}
		p.args = append(p.args, driver.NamedValue{Ordinal: i + 1, Value: v})
	}
	if s.row == nil {
		_, err := stmt.(driver.StmtExecContext).ExecContext(ctx, p.args)
		return err
	}
	rows, err := stmt.(driver.StmtQueryContext).QueryContext(ctx, p.args)
	if err != nil {
		return err
	}
	defer rows.Close()
	values := make([]driver.Value, len(rows.Columns()))
	for {
		switch err := rows.Next(values); err {
		case nil:
		case io.EOF:
			return nil
		default:
			return err
		}
		row := make([]any, len(values))
		for i, v := range values {
			row[i] = v
		}
		if err := s.row(row); err != nil {
			return err
		}
	}
}

// driverValue gives a value one of the types that a driver takes.
func driverValue(v any) (driver.Value, error) {
	switch v := v.(type) {
	case nil, string, int64, float64, bool, []byte, time.Time:
		return v, nil
	case int:
		return int64(v), nil
	case *string:
		if v == nil {
			return nil, nil
		}
		return *v, nil
	case *int:
		if v == nil {
			return nil, nil
		}
		return int64(*v), nil
	case *int64:
		if v == nil {
			return nil, nil
		}
		return *v, nil
	case *float64:
		if v == nil {
			return nil, nil
		}
		return *v, nil
	case *time.Time:
		if v == nil {
			return nil, nil
		}
		return *v, nil
	}
	return nil, fmt.Errorf("no database value for %T", v)
}
