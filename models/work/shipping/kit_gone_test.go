package shipping_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/trade/flow"
	"tracewright/models/work/shipping"
)

// What was scrapped or sent back while it lay in a kit is taken out like anything else,
// and the kit goes with another in its place.
func TestWhatIsGoneIsTakenOutOfItsKit(t *testing.T) {
	for _, c := range []struct{ decided, done flow.Event }{{flow.Scrap, flow.ConfirmScrap}, {flow.ReturnSupplier, flow.ConfirmReturn}} {
		t.Run(string(c.decided), func(t *testing.T) {
			each(t, func(t *testing.T, b *bay) {
				ctx, kit := t.Context(), b.newKit()
				wheel, second, pack := b.released(b.Item[models.KindWheel]), b.released(b.AnotherWheel()), b.released(b.Item[models.KindPack])
				put := func(item models.Item) error {
					_, err := b.s.Pack(ctx, b.Operator, *kit.Serial, *item.Serial, "")
					return err
				}
				b.Must(put(wheel))
				b.Must(put(pack))
				_, err := b.s.Tick(ctx, b.Operator, *kit.Serial, "torque arm", true)
				b.Must(err)
				stamp := models.NewStamp(b.Owner, b.Now)
				n, err := b.Store.AddNonconformity(ctx, stamp, 31, models.Nonconformity{ItemID: wheel.ID, Code: "W14", Note: "the rim is bent", Severity: "major"}, models.Hold{Code: "W14", Reason: "bent"})
				b.Must(err)
				for _, what := range []flow.Event{c.decided, c.done} {
					b.Must(b.Store.AddNonconformityStep(ctx, stamp, n.ID, models.NonconformityStep{What: string(what), Note: "as agreed"}))
				}
				ship := func() error {
					_, err := b.s.Ship(ctx, b.Owner, shipping.NewShipment{Items: []string{*kit.Serial}, Reason: "it is urgent"})
					return err
				}
				if got := refusals(ship()); got != "gone_from_kit kit_lacks" {
					t.Errorf("the kit with it: refused by %q", got)
				}
				if got := refusals(put(wheel)); got != "item_gone" {
					t.Errorf("put in: refused by %q", got)
				}
				k, err := b.s.TakeOut(ctx, b.Operator, *kit.Serial, *wheel.Serial, "scrapped")
				b.Must(err)
				if k.Whole || len(k.Against) > 0 {
					t.Errorf("taken out: whole %v, against it %+v", k.Whole, k.Against)
				}
				if err := b.Store.PackKit(ctx, stamp, models.KitPacking{KitID: kit.ID, ItemID: &wheel.ID, Quantity: 1, Added: true}); err == nil {
					t.Error("put back in behind the gate")
				}
				b.Must(put(second))
				b.Must(ship())
				if _, err := b.s.TakeOut(ctx, b.Owner, *kit.Serial, *second.Serial, "r"); err == nil {
					t.Error("taken out of a kit that is gone")
				}
			})
		})
	}
}
