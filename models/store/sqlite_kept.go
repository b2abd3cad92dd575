package store

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
)

// mostKept bounds the statements that a connection keeps: a list of keys makes
// a text of its own for each length.
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
	driver.QueryerContext
	driver.Pinger
	driver.SessionResetter
	driver.Validator
}

// sqliteStmt is what the driver's statement does.
type sqliteStmt interface {
	driver.Stmt
	driver.StmtExecContext
	driver.StmtQueryContext
}

// keepingConn is used by one goroutine at a time, as every driver.Conn is.
type keepingConn struct {
	sqliteConn
	kept map[string]*keptStmt
}

// keptStmt is handed out to one at a time; closing it hands it back.
type keptStmt struct {
	sqliteStmt
	busy bool
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
	known := c.kept[query]
	if known != nil && !known.busy {
		known.busy = true
		return known, nil
	}
	compiled, err := c.sqliteConn.PrepareContext(ctx, query)
	if err != nil || known != nil || len(c.kept) >= mostKept {
		return compiled, err
	}
	stmt, ok := compiled.(sqliteStmt)
	if !ok {
		return nil, errors.Join(fmt.Errorf("a statement of the SQLite driver that heeds no context: %T", compiled), compiled.Close())
	}
	c.kept[query] = &keptStmt{stmt, true}
	return c.kept[query], nil
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
