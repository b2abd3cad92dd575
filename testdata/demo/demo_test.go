package demo

import (
	"testing"
	"time"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

func TestQuick(t *testing.T) {
	dsn := storetest.SQLite(t)
	s, err := store.Open(t.Context(), dsn, store.Options{Disposable: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	start := time.Now()
	sum, err := Seed(t.Context(), s, Options{Seed: 1, Now: time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC)})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%+v in %v", sum, time.Since(start))
}
