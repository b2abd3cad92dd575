package store_test

import (
	"errors"
	"testing"

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
