package store

import (
	"context"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"
)

// A connection that is let go of late, as one whose question was given up is, is
// closed before Close returns: SQLite's last one takes the log beside the file away,
// and the next database may have that name by then.
func TestCloseWaitsForTheLastConnection(t *testing.T) {
	s, err := Open(t.Context(), "sqlite:"+filepath.Join(t.TempDir(), "shop.db"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	conn, err := s.reader.Conn(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var letGo atomic.Bool
	time.AfterFunc(200*time.Millisecond, func() {
		if err := s.writer.Ping(); err == nil {
			t.Error("somebody may write while a reading connection is waited for")
		}
		letGo.Store(true)
		conn.Close()
	})
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	if !letGo.Load() || s.reader.Stats().OpenConnections > 0 {
		t.Errorf("closed while %d connections are open", s.reader.Stats().OpenConnections)
	}
}
