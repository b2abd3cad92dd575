package store

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"

	"modernc.org/sqlite"

	"tracewright/models"
)

// mostKept bounds the statements that a connection keeps: a list of keys makes
// a text of its own for each length. The one that was asked for longest ago makes
// room, so that texts asked once do not keep out those of every day.
const mostKept = 400

// keeper opens connections that keep their compiled statements. database/sql
// closes what a transaction has prepared when it ends, and to compile it anew
// costs SQLite more than most statements take to run.
type keeper struct {
	driver driver.Driver
	dsn    string
}

// Connect implements driver.Connector.
func (k keeper) Connect(context.Context) (driver.Conn, error) {
	opened, err := k.driver.Open(k.dsn)
	if err != nil {
		return nil, err
	}
	conn, ok := opened.(sqliteConn)
	if !ok {
		return nil, errors.Join(errors.New("the SQLite driver gives no connection that heeds a context"), opened.Close())
	}
	return &keepingConn{sqliteConn: conn, kept: map[string]*keptStmt{}}, nil
}

// Driver implements driver.Connector.
func (k keeper) Driver() driver.Driver { return k.driver }

// sqliteConn is what the driver's connection does.
type sqliteConn interface {
	driver.Conn
	driver.ConnPrepareContext
	driver.ConnBeginTx
	driver.ExecerContext
	driver.Pinger
	driver.SessionResetter
	driver.Validator
	NewBackup(uri string) (*sqlite.Backup, error)
}

// sqliteStmt is what the driver's statement does.
type sqliteStmt interface {
	driver.Stmt
	driver.StmtExecContext
	driver.StmtQueryContext
}

// keepingConn is used by one goroutine at a time, as every driver.Conn is. It asks
// nothing by itself: database/sql then prepares what is asked, which is kept.
type keepingConn struct {
	sqliteConn
	kept  map[string]*keptStmt
	asked int64 // how often anything was prepared: the clock of the kept
	spent bool  // it will never write again: see [keepingConn.noted]
}

// keptStmt is handed out to one at a time; closing it hands it back.
type keptStmt struct {
	sqliteStmt
	conn *keepingConn
	busy bool
	last int64 // when it was asked for
}

func (s *keptStmt) ExecContext(ctx context.Context, args []driver.NamedValue) (driver.Result, error) {
	result, err := s.sqliteStmt.ExecContext(ctx, args)
	return result, s.conn.noted(err)
}

func (s *keptStmt) QueryContext(ctx context.Context, args []driver.NamedValue) (driver.Rows, error) {
	rows, err := s.sqliteStmt.QueryContext(ctx, args)
	return rows, s.conn.noted(err)
}

func (s *keptStmt) Close() error {
	s.busy = false
	return nil
}

func (c *keepingConn) Prepare(query string) (driver.Stmt, error) {
	return c.PrepareContext(context.Background(), query)
}

// PrepareContext hands out the statement of a text that was compiled before,
// unless somebody has it still.
func (c *keepingConn) PrepareContext(ctx context.Context, query string) (driver.Stmt, error) {
	c.asked++
	known := c.kept[query]
	if known != nil && !known.busy {
		known.busy, known.last = true, c.asked
		return known, nil
	}
	compiled, err := c.sqliteConn.PrepareContext(ctx, query)
	if err != nil || known != nil {
		return compiled, err
	}
	if len(c.kept) >= mostKept && !c.makeRoom() {
		return compiled, nil
	}
	stmt, ok := compiled.(sqliteStmt)
	if !ok {
		return nil, errors.Join(fmt.Errorf("a statement of the SQLite driver that heeds no context: %T", compiled), compiled.Close())
	}
	c.kept[query] = &keptStmt{stmt, c, true, c.asked}
	return c.kept[query], nil
}

// noted looks at an error on its way. A connection that was opened while the disk
// took nothing reads alone, and goes on so when the disk takes something again: it is
// thrown away once it was told so, and the next one is opened anew. So is one whose
// disk failed.
func (c *keepingConn) noted(err error) error {
	switch unavailable(err) {
	case models.DiskReadOnly, models.DiskFailing:
		c.spent = true
	}
	return err
}

// IsValid implements driver.Validator, by which a connection is thrown away.
func (c *keepingConn) IsValid() bool { return !c.spent && c.sqliteConn.IsValid() }

// BeginTx implements driver.ConnBeginTx.
func (c *keepingConn) BeginTx(ctx context.Context, options driver.TxOptions) (driver.Tx, error) {
	tx, err := c.sqliteConn.BeginTx(ctx, options)
	return tx, c.noted(err)
}

// ExecContext implements driver.ExecerContext.
func (c *keepingConn) ExecContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Result, error) {
	result, err := c.sqliteConn.ExecContext(ctx, query, args)
	return result, c.noted(err)
}

// makeRoom lets go of the statement that was asked for longest ago; not of one
// that somebody has, so that there may be none to let go.
func (c *keepingConn) makeRoom() bool {
	oldest := ""
	for query, s := range c.kept {
		if !s.busy && (oldest == "" || s.last < c.kept[oldest].last) {
			oldest = query
		}
	}
	if oldest == "" {
		return false
	}
	s := c.kept[oldest]
	delete(c.kept, oldest)
	return s.sqliteStmt.Close() == nil
}

// Close implements driver.Conn.
func (c *keepingConn) Close() error {
	var err error
	for _, s := range c.kept {
		err = errors.Join(err, s.sqliteStmt.Close())
	}
	c.kept = nil
	return errors.Join(err, c.sqliteConn.Close())
}
