package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"
)

// keptStatements are compiled statements of the one writing connection. They
// are used by the driver's own calls: database/sql would compile each anew in
// every transaction, and that costs more than running it.
type keptStatements struct {
	mu   sync.Mutex
	conn driver.Conn
	byID map[string]driver.Stmt
}

// of returns the statements kept for a connection; another connection than
// last time starts with none.
func (k *keptStatements) of(conn driver.Conn) map[string]driver.Stmt {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.conn != conn {
		k.conn, k.byID = conn, map[string]driver.Stmt{}
	}
	return k.byID
}

func (k *keptStatements) close() {
	k.mu.Lock()
	defer k.mu.Unlock()
	for _, s := range k.byID {
		s.Close()
	}
	k.conn, k.byID = nil, nil
}

type sqlitePipeline struct {
	store *Store
	conn  *sql.Conn
	open  bool
}

func (s *Store) beginSQLite(ctx context.Context) (pipeline, error) {
	conn, err := s.writer.Conn(ctx) // waits for its turn
	if err != nil {
		return nil, opaque(err)
	}
	p := &sqlitePipeline{store: s, conn: conn}
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
		conn, ok := raw.(driver.Conn)
		if !ok {
			return errors.New("the SQLite driver gives no connection")
		}
		kept := p.store.kept.of(conn)
		for _, s := range b.steps {
			if err := runKept(conn, kept, s); err != nil {
				// Not as driver.ErrBadConn: the connection is sound.
				return err
			}
		}
		return nil
	})
}

func runKept(conn driver.Conn, kept map[string]driver.Stmt, s step) error {
	ctx := context.Background()
	stmt, ok := kept[s.text]
	if !ok {
		var err error
		if stmt, err = conn.Prepare(s.text); err != nil {
			return err
		}
		kept[s.text] = stmt
	}
	args := make([]driver.NamedValue, len(s.args))
	for i, a := range s.args {
		v, err := driverValue(a)
		if err != nil {
			return err
		}
		args[i] = driver.NamedValue{Ordinal: i + 1, Value: v}
	}
	if s.row == nil {
		_, err := stmt.(driver.StmtExecContext).ExecContext(ctx, args)
		return err
	}
	rows, err := stmt.(driver.StmtQueryContext).QueryContext(ctx, args)
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
