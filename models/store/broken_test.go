package store_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// A PostgreSQL that was started anew has broken every connection, and the first that
// somebody finds so is the only one that costs an answer.
func TestConnectionsThatBrokeTogether(t *testing.T) {
	dsn := storetest.NeedPostgres(t)
	s, err := store.Open(t.Context(), dsn, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	const connections = 8
	if err := s.AtOnce(t.Context(), connections); err != nil {
		t.Fatal(err)
	}
	admin, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close(t.Context())
	var ended int
	if err := admin.QueryRow(t.Context(), "SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()").Scan(&ended); err != nil || ended < connections {
		t.Fatalf("%d connections were ended, %v", ended, err)
	}
	refused := 0
	for range connections + 2 {
		var away *models.UnavailableError
		if _, err := s.Setting(t.Context(), "none"); errors.As(err, &away) {
			refused++
		} else if !errors.Is(err, models.ErrNotFound) {
			t.Errorf("asked: %v", err)
		}
	}
	if refused > 1 {
		t.Errorf("%d of %d connections each cost an answer", refused, connections)
	}
}

// A question that is given up closes its own connection and no other.
func TestAQuestionThatIsGivenUp(t *testing.T) {
	s := storetest.Open(t, storetest.NeedPostgres(t))
	const connections = 6
	if err := s.AtOnce(t.Context(), connections); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if err := s.Sleep(ctx); err == nil {
		t.Fatal("it was answered")
	}
	for _, p := range s.Pools() {
		if p.Name == "all" && p.Open < connections-1 {
			t.Errorf("of %d connections %d are left", connections, p.Open)
		}
	}
}
