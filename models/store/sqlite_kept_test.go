package store

import (
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/libtnb/sqlite"
)

func kept(t *testing.T, path string) *sql.DB {
	t.Helper()
	plain, err := sql.Open(sqlite.DriverName, path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { plain.Close() })
	db := sql.OpenDB(keeper{plain.Driver(), path})
	db.SetMaxOpenConns(1)
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Errorf("close: %v", err)
		}
	})
	return db
}

func keptOf(t *testing.T, db *sql.DB) map[string]*keptStmt {
	t.Helper()
	conn, err := db.Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	var found map[string]*keptStmt
	err = conn.Raw(func(raw any) error {
		found = raw.(*keepingConn).kept
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// A statement is compiled once for many transactions, ended either way, and is
// right after another connection changed the table.
func TestKeptStatements(t *testing.T) {
	path := filepath.Join(t.TempDir(), "kept.db")
	db := kept(t, path)
	run := func(db *sql.DB, text string, args ...any) {
		t.Helper()
		if _, err := db.ExecContext(t.Context(), text, args...); err != nil {
			t.Fatal(err)
		}
	}
	run(db, "CREATE TABLE things (n INTEGER, word TEXT)")
	const insert, look = "INSERT INTO things (n, word) VALUES (?, ?)", "SELECT word FROM things WHERE n = ?"
	var first *keptStmt
	for n := range 5 {
		tx, err := db.BeginTx(t.Context(), nil)
		if err != nil {
			t.Fatal(err)
		}
		stmt, err := tx.PrepareContext(t.Context(), insert)
		if err != nil {
			t.Fatal(err)
		}
		for range 2 {
			if _, err := stmt.ExecContext(t.Context(), n, fmt.Sprint("word ", n)); err != nil {
				t.Fatal(err)
			}
		}
		if n%2 == 1 {
			err = tx.Rollback()
		} else {
			err = tx.Commit()
		}
		if err != nil {
			t.Fatal(err)
		}
		now := keptOf(t, db)[insert]
		if now == nil || now.busy || n > 0 && now != first {
			t.Fatalf("turn %d: kept %+v, first %+v", n, now, first)
		}
		first = now
		if n == 2 {
			other, err := sql.Open(sqlite.DriverName, path)
			if err != nil {
				t.Fatal(err)
			}
			run(other, "ALTER TABLE things ADD COLUMN more TEXT NOT NULL DEFAULT 'x'")
			other.Close()
		}
	}
	var count int
	if err := db.QueryRowContext(t.Context(), "SELECT count(*) FROM things WHERE word = 'word ' || n AND more = 'x'").Scan(&count); err != nil || count != 6 {
		t.Errorf("%d rows, %v; three committed turns wrote two each", count, err)
	}
}

// The same text may be asked again while its rows are still being read.
func TestKeptStatementInUse(t *testing.T) {
	db := kept(t, filepath.Join(t.TempDir(), "kept.db"))
	tx, err := db.BeginTx(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	const count = "WITH RECURSIVE c (n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM c WHERE n < ?) SELECT n FROM c"
	sum := func(most int, each func()) (total int) {
		stmt, err := tx.PrepareContext(t.Context(), count)
		if err != nil {
			t.Fatal(err)
		}
		defer stmt.Close()
		rows, err := stmt.QueryContext(t.Context(), most)
		if err != nil {
			t.Fatal(err)
		}
		defer rows.Close()
		for rows.Next() {
			var n int
			if err := rows.Scan(&n); err != nil {
				t.Fatal(err)
			}
			total += n
			if each != nil {
				each()
			}
		}
		return total
	}
	inner := 0
	if outer := sum(4, func() { inner += sum(3, nil) }); outer != 10 || inner != 4*6 {
		t.Errorf("1 to 4 adds up to %d, 1 to 3 four times to %d", outer, inner)
	}
}

// Texts without number are not kept without number.
func TestKeptStatementsAreBounded(t *testing.T) {
	db := kept(t, filepath.Join(t.TempDir(), "kept.db"))
	const daily = "SELECT 'daily'"
	for n := range mostKept + 50 {
		if n%100 == 0 {
			var said string
			stmt, err := db.PrepareContext(context.Background(), daily)
			if err != nil {
				t.Fatal(err)
			}
			if err := stmt.QueryRowContext(t.Context()).Scan(&said); err != nil || said != "daily" {
				t.Fatal(said, err)
			}
			stmt.Close()
		}
		stmt, err := db.PrepareContext(context.Background(), fmt.Sprintf("SELECT %d", n))
		if err != nil {
			t.Fatal(err)
		}
		var got int
		if err := stmt.QueryRowContext(t.Context()).Scan(&got); err != nil || got != n {
			t.Fatalf("%d: %d, %v", n, got, err)
		}
		stmt.Close()
	}
	held := keptOf(t, db)
	if len(held) != mostKept {
		t.Errorf("%d kept, want %d", len(held), mostKept)
	}
	newest := fmt.Sprintf("SELECT %d", mostKept+49)
	if held[daily] == nil || held[newest] == nil || held["SELECT 0"] != nil {
		t.Errorf("kept: daily %v, newest %v, asked for longest ago %v; want the first two", held[daily] != nil, held[newest] != nil, held["SELECT 0"] != nil)
	}
}
