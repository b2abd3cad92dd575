package store_test

import (
	"fmt"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// BenchmarkSeal numbers, chains and stores entries, 500 at a time; the time is
// that of one entry. Their own writing is not counted.
func BenchmarkSeal(b *testing.B) {
	const atOnce = 500
	run := func(b *testing.B, dsn string) {
		s, err := store.Open(b.Context(), dsn, store.Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.Cleanup(func() { s.Close() })
		if _, err := s.Migrate(b.Context()); err != nil {
			b.Fatal(err)
		}
		_, key := sealingKey(1)
		if err := s.BeginLog(b.Context(), models.NewStamp(models.Actor{}, moment), models.NewID(), key); err != nil {
			b.Fatal(err)
		}
		for sealed := 0; sealed < b.N; sealed += atOnce {
			b.StopTimer()
			items := make([]models.Item, atOnce)
			for i := range items {
				serial := fmt.Sprintf("W30%06d", sealed+i)
				items[i] = models.Item{ID: models.NewID(), Kind: models.KindWheel, Serial: &serial, State: models.StateInProcess, Origin: "made", CreatedBy: "system"}
			}
			if err := s.AddItems(b.Context(), models.NewStamp(models.Actor{}, time.Now()), items); err != nil {
				b.Fatal(err)
			}
			b.StartTimer()
			if done, err := s.Seal(b.Context(), time.Now(), atOnce); err != nil || done.Count != atOnce {
				b.Fatal(done, err)
			}
		}
	}
	b.Run("sqlite", func(b *testing.B) { run(b, storetest.SQLite(b)) })
	b.Run("postgres", func(b *testing.B) { run(b, storetest.DurablePostgres(b)) })
}
