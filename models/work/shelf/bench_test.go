package shelf_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/shelf"
	"tracewright/models/work/worktest"
)

// onShelf is how many packs stand there in the benchmark.
const onShelf = 20_000

// BenchmarkLook is a look at a shelf of 20,000 packs in six places with a
// temperature a day for a year: the first look of a program, which reads
// everything, and every look after it, with ten packs read anew since. The
// second is to stay under 100 ms:
//
//	go test -run '^$' -bench Look ./models/work/shelf
func BenchmarkLook(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) { benchLook(b, storetest.New(b)) })
	b.Run("postgres", func(b *testing.B) {
		dsn, why := storetest.Postgres(b)
		if dsn == "" {
			b.Skip("left out: " + why)
		}
		benchLook(b, storetest.Open(b, dsn))
	})
}

func benchLook(b *testing.B, s *store.Store) {
	ctx := b.Context()
	h := worktest.On(b, s)
	fill(b, ctx, h)
	h.Now = h.Now.AddDate(0, 6, 0)
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			looked(b, shelf.New(s, h.Clock, worktest.Zone))
		}
	})
	b.Run("again", func(b *testing.B) {
		warm := shelf.New(s, h.Clock, worktest.Zone)
		looked(b, warm)
		for range 10 {
			x := h.Pack()
			x.Stage = models.Recheck
			h.MustRecord(x)
		}
		b.ResetTimer()
		for b.Loop() {
			looked(b, warm)
		}
	})
}

func looked(b *testing.B, s *shelf.Service) {
	l, err := s.Look(b.Context())
	if err != nil || l.Packs != onShelf {
		b.Fatalf("%d packs, %v", l.Packs, err)
	}
}

// fill copies one pack with its readings and gives each a place.
func fill(b *testing.B, ctx context.Context, h *worktest.Shop) {
	b.Helper()
	view, err := h.Store.InspectionView(ctx, h.MustRecord(h.Pack()).Inspection.ID)
	h.Must(err)
	stamp := models.NewStamp(h.Operator, h.Now)
	first := h.Item[models.KindPack]
	for p := range 6 {
		for d := range 365 {
			h.Must(h.Store.AddShelfTemperature(ctx, stamp, models.ShelfTemperature{Place: fmt.Sprint("rack ", p), C: fmt.Sprint(15 + (p+d)%17), At: h.Now.AddDate(0, -6, d)}))
		}
	}
	h.Must(h.Store.AddShelfPlace(ctx, stamp, models.ShelfPlace{ItemID: first.ID, Place: "rack 0"}))
	for i := 1; i < onShelf; i++ {
		item, err := h.Store.AddItemWithSerial(ctx, stamp, models.Item{ID: models.NewID(), Kind: models.KindPack, FamilyID: first.FamilyID, ProductID: first.ProductID, Origin: "made"}, "P", 31, nil)
		h.Must(err)
		n := models.NewInspection{Inspection: view.Inspection, Sets: view.Sets, Results: view.Results, StateBefore: models.StateInProcess}
		n.Inspection.ID, n.Inspection.ItemID, n.Inspection.SentHash = models.NewID(), item.ID, "h"
		n.Inspection.MeasuredAt = h.Now.Add(-time.Duration(i) * 13 * time.Minute)
		n.Inspection.ReceivedAt = n.Inspection.MeasuredAt
		_, _, err = h.Store.AddInspection(ctx, stamp, n)
		h.Must(err)
		h.Must(h.Store.AddShelfPlace(ctx, stamp, models.ShelfPlace{ItemID: item.ID, Place: fmt.Sprint("rack ", i%6)}))
	}
}
