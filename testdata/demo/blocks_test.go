package demo

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"tracewright/models/store"
	"tracewright/models/work/stock"
)

// The lot that loses charge is found by comparing two readings of each block,
// and no other is: its planted fall is 5.5 mV a day, ten times that of the
// others. In the quiet scenario there is none.
func TestTheLotThatLosesChargeIsFound(t *testing.T) {
	for _, scenario := range []string{Story, Quiet} {
		t.Run(scenario, func(t *testing.T) {
			folder := t.TempDir()
			shop := invent(t, folder, Options{Seed: 5, Scenario: scenario, Wheels: 60, Packs: 25})
			shop.db.Close()
			s, err := store.Open(t.Context(), "sqlite:"+filepath.Join(folder, "shop.db"), store.Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			zone := func(context.Context) *time.Location { return time.UTC }
			service := stock.New(s, nil, func() time.Time { return testDay }, zone)
			families, err := s.Families(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			lots := 0
			for _, f := range families {
				products, err := s.Products(t.Context(), f.ID)
				if err != nil {
					t.Fatal(err)
				}
				for _, p := range products {
					if f.Kind != "block" {
						continue
					}
					v, err := service.Stock(t.Context(), p.ID, "")
					if err != nil {
						t.Fatal(err)
					}
					for _, l := range v.Lots {
						lots++
						planted := scenario == Story && l.Lot == shop.summary.Stories.StockLot
						if found := len(l.Reasons) > 0; found != planted {
							t.Errorf("lot %s: in doubt %v, planted %v; median %.2f mV a day, %d of %d flagged", l.Lot, l.Reasons, planted, l.Median, l.Flagged, len(l.Losses))
						}
					}
					for _, b := range v.Blocks {
						if planted := scenario == Story && b.Lot == shop.summary.Stories.StockLot; planted && b.Offered() {
							t.Errorf("%s of the lot that loses charge is offered", b.Item.Name())
						}
					}
				}
			}
			if lots != 3 {
				t.Errorf("%d lots of blocks are in stock, want 3", lots)
			}
		})
	}
}
