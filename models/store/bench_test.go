package store_test

import (
	"sync/atomic"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// BenchmarkAddInspection stores 36-spoke wheels with 108 readings from eight
// hands, durably, each with its trail: what BenchmarkPostWheel of package
// server spends in the database's transaction alone. Run it beside that one,
// BenchmarkPgbench and BenchmarkRawSQLite:
//
//	go test -run '^$' -bench 'AddInspection|PostWheel|Pgbench|RawSQLite' -benchtime 5s ./models/store ./server
func BenchmarkAddInspection(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) { addInspections(b, storetest.SQLite(b)) })
	b.Run("postgres", func(b *testing.B) { addInspections(b, storetest.DurablePostgres(b)) })
}

func addInspections(b *testing.B, dsn string) {
	ctx := b.Context()
	s := storetest.Open(b, dsn)
	if _, err := s.Migrate(ctx); err != nil {
		b.Fatal(err)
	}
	h := worktest.On(b, s)
	view := must(s.InspectionView(ctx, h.MustRecord(h.EveryHole()).Inspection.ID))
	var wheels [512]string // so many that no two hands meet at one
	for i := range wheels {
		wheels[i] = h.AnotherWheel().ID
	}
	stamp := models.NewStamp(h.Operator, h.Now)
	var next atomic.Int64
	b.SetParallelism(4) // times the two processors of a small computer
	b.ResetTimer()
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			if err := addAgain(b, s, stamp, view, wheels[int(next.Add(1))%len(wheels)]); err != nil {
				b.Error(err)
				return
			}
		}
	})
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "wheels/s")
}

// addAgain stores a copy of an inspection on another item, whose state it
// leaves as it is.
func addAgain(b *testing.B, s *store.Store, stamp models.Stamp, view models.InspectionView, item string) error {
	n := models.NewInspection{Inspection: view.Inspection, Sets: view.Sets, Results: view.Results, StateBefore: models.StateInProcess}
	n.Inspection.ID, n.Inspection.ItemID, n.Inspection.SentHash = models.NewID(), item, "h"
	_, _, err := s.AddInspection(b.Context(), stamp, n)
	return err
}
