package shelf_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/shelf"
	"tracewright/models/work/worktest"
)

// A pack with an order goes by the earlier of both dates: the first out is kept
// for the order that is due first, in a kit or alone, until that is shipped or
// ended. 12.74 V is 5 % above the shipping limit of 12.70 V, 50 days at 25 degrees;
// by the calendar it is 182 days.
func TestAPackWithAnOrderGoesByTheEarlierDate(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx := shelf.New(h.Store, h.Clock, worktest.Zone), t.Context()
		stamp := func() models.Stamp { return models.NewStamp(h.Owner, h.Now) }
		packs := []models.Item{h.Item[models.KindPack], h.AnotherPack(), h.AnotherPack()}
		for _, item := range packs {
			sub := h.Pack()
			sub.Serial = *item.Serial
			sub.Sets[0].Values, sub.Sets[3].Values = []string{"12.74", "12.75", "12.76"}, []string{"38.25"}
			h.MustRecord(sub)
			h.Must(s.Place(ctx, h.Operator, *item.Serial, "loft", time.Time{}))
		}
		// kept gives the orders that packs are kept for, in the order they go out, and
		// holds every date against whether there is one.
		kept := func(when string, want ...string) []*shelf.Row {
			t.Helper()
			l := look(t, s)
			rows := make([]*shelf.Row, len(packs))
			for _, r := range append(l.Later, l.Soon...) {
				rows[r.Out-1] = r
			}
			for i, r := range rows {
				days, by := 182, shelf.ByAge
				if want[i] != "" {
					days, by = 50, shelf.ByReady
				}
				if r == nil || r.Order != want[i] || r.DaysLeft != days || r.DueBy != by {
					t.Fatalf("%s: row %d is %+v, want order %q, %d days by %s", when, i+1, r, want[i], days, by)
				}
			}
			return rows
		}
		kept("no order", "", "", "")
		product := *packs[0].ProductID
		order := func(ref, due, product string, pieces int) models.Order {
			o := models.Order{ID: models.NewID(), Ref: ref, DueOn: due, Lines: []models.OrderLine{{Product: product, Quantity: pieces}}}
			h.Must(h.Store.AddOrder(ctx, stamp(), o))
			return o
		}
		kit, err := h.Store.Item(ctx, kitWith(h, h.AnotherPack()))
		h.Must(err)
		order("of a kit", "2031-09-01", *kit.ProductID, 1)
		kept("one kit is ordered", "of a kit", "", "")
		late := order("without a day", "", product, 5)
		kept("and five packs some time", "of a kit", "without a day", "without a day")
		order("soon", "2031-08-01", product, 1)
		rows := kept("and one before both", "soon", "of a kit", "without a day")
		if rows[0].Wanted != "2031-08-01" || rows[1].Wanted != "2031-09-01" || rows[2].Wanted != "" {
			t.Errorf("wanted for %q, %q and %q", rows[0].Wanted, rows[1].Wanted, rows[2].Wanted)
		}
		h.Must(s.WantFor(ctx, h.Operator, *packs[1].Serial, "2031-08-15"))
		if rows = kept("and by hand", "soon", "of a kit", "without a day"); rows[1].Wanted != "2031-08-15" {
			t.Errorf("the earlier day is %q", rows[1].Wanted)
		}
		h.Must(s.WantFor(ctx, h.Operator, *packs[1].Serial, ""))
		h.Must(h.Store.EndOrder(ctx, stamp(), models.OrderEnd{OrderID: late.ID, Reason: "nobody waits"}))
		kept("one has ended", "soon", "of a kit", "")
		// The last one goes with the order that was due first: the first is kept for the kit.
		h.Now = h.Now.Add(time.Second)
		_, err = h.Store.AddShipment(ctx, stamp(), 31, models.Shipment{OrderRef: "soon", Items: []string{packs[2].ID}, Against: []models.Remark{models.NewRemark("not_released")}})
		h.Must(err)
		packs = packs[:2]
		kept("one is shipped", "of a kit", "")
	})
}
