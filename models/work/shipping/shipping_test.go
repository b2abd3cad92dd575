package shipping_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/claims"
	"tracewright/models/work/release"
	"tracewright/models/work/shipping"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// bay is a workshop with a kit of a wheel, a pack and two small parts.
type bay struct {
	*worktest.Shop
	s     *shipping.Service
	kit   models.Product
	until map[string]time.Time // how long each pack is ready
	desk  models.Actor
}

func each(t *testing.T, f func(t *testing.T, b *bay)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := &bay{Shop: h, until: map[string]time.Time{}, desk: models.Actor{PersonID: h.Operator.PersonID, Role: models.Desk}}
		b.s = shipping.New(h.Store, func(_ context.Context, id string) (time.Time, error) { return b.until[id], nil }, h.Clock, worktest.Zone)
		stamp := models.NewStamp(h.Owner, h.Now.AddDate(0, 0, -30))
		family := models.Family{ID: models.NewID(), Kind: models.KindKit, Name: "kits"}
		h.Must(h.Store.AddFamily(t.Context(), stamp, family, models.Specification{ID: models.NewID(), Revision: 1, Grade: "standard", Rule: "simple", Characteristics: []models.Characteristic{}}))
		b.kit = models.Product{ID: models.NewID(), FamilyID: family.ID, Name: "kit one"}
		form := models.ProductForm{Kit: &models.KitForm{Lines: []models.KitLine{{Product: *h.Item[models.KindWheel].ProductID, Quantity: 1}, {Product: *h.Item[models.KindPack].ProductID, Quantity: 1}, {Part: "torque arm", Quantity: 2}}}}
		h.Must(h.Store.AddProduct(t.Context(), stamp, b.kit, models.ProductRevision{Form: form}))
		f(t, b)
	})
}

func (b *bay) newKit() models.Item {
	b.Helper()
	item, err := b.Store.AddItemWithSerial(b.Context(), models.NewStamp(b.Owner, b.Now), models.Item{Kind: models.KindKit, FamilyID: &b.kit.FamilyID, ProductID: &b.kit.ID, Origin: "made"}, "K", 31, nil)
	b.Must(err)
	return item
}

// released measures and certifies an item.
func (b *bay) released(item models.Item) models.Item {
	b.Helper()
	sub := b.Extremes()
	if item.Kind == models.KindPack {
		sub = b.Pack()
	}
	sub.Serial = *item.Serial
	b.MustRecord(sub)
	return b.certify(item)
}

func (b *bay) certify(item models.Item) models.Item {
	b.Helper()
	r := release.New(b.Store, b.Clock, worktest.Zone, func(release.Drawing) ([]byte, error) { return nil, nil })
	r.SealBy(worktest.NewSigner())
	_, err := r.Issue(b.Context(), b.Owner, item.ID, "measured") // the reason is asked of a second one
	b.Must(err)
	item, err = b.Store.Item(b.Context(), item.ID)
	b.Must(err)
	return item
}

// refusals are the codes of a refusal, "" for none.
func refusals(err error) string {
	var refused *models.RefusedError
	if !errors.As(err, &refused) {
		if err != nil {
			return err.Error()
		}
		return ""
	}
	var codes []string
	for _, r := range refused.Reasons {
		codes = append(codes, r.Code)
	}
	slices.Sort(codes)
	return strings.Join(codes, " ")
}

// A kit from its first scan to the shipment, to the entry that was wrong: and
// everything in it is where it should be at each step.
func TestAKitIsPackedAndShipped(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, kit := t.Context(), b.newKit()
		wheel, pack := b.released(b.Item[models.KindWheel]), b.released(b.Item[models.KindPack])
		customer, err := b.s.AddCustomer(ctx, b.Owner, models.Customer{Name: "Ada Brenn", Phone: "555 0142"})
		b.Must(err)
		_, err = b.s.AddOrder(ctx, b.Owner, models.Order{Ref: "4471", Customer: customer.ID, DueOn: "2031-05-11", Lines: []models.OrderLine{{Product: b.kit.ID, Quantity: 2}}})
		b.Must(err)
		states := func(step, want string) {
			t.Helper()
			items, err := b.Store.ItemsByID(ctx, []string{kit.ID, wheel.ID, pack.ID})
			b.Must(err)
			for _, i := range items {
				if state := i.State; state != want && !(i.Kind == models.KindKit && want == models.StateReleased && state == models.StateInProcess) {
					t.Errorf("%s: %s is %s, want %s", step, i.Name(), state, want)
				}
			}
		}
		ship := func(who models.Actor, reason string) (shipping.Shipment, error) {
			return b.s.Ship(ctx, who, shipping.NewShipment{Items: []string{*kit.Serial}, Order: "4471", Carrier: "Foxline", Customer: customer.ID, Reason: reason})
		}
		if _, err := ship(b.desk, ""); refusals(err) != "kit_lacks kit_lacks kit_lacks" {
			t.Errorf("an empty kit: %v", err)
		}
		for _, item := range []models.Item{wheel, pack} {
			_, err := b.s.Pack(ctx, b.Operator, *kit.Serial, *item.Serial, "")
			b.Must(err)
		}
		k, err := b.s.Tick(ctx, b.Operator, *kit.Serial, "torque arm", true)
		b.Must(err)
		if !k.Whole || len(k.Against) > 0 {
			t.Errorf("packed: %+v", k)
		}
		orders, err := b.s.Orders(ctx)
		b.Must(err)
		if o := orders[0]; len(orders) != 1 || !o.Late || o.Lines[0].Ready != 1 || o.Lines[0].Short != 1 {
			t.Errorf("the order before it ships: %+v", orders)
		}
		if ready, err := b.Store.ReadyOf(ctx, *wheel.ProductID, 9); err != nil || len(ready) != 0 {
			t.Errorf("a packed wheel is ready for another kit: %v, %v", ready, err)
		}
		// What happens to it in the box is seen when the box is to leave.
		b.until[pack.ID] = b.Now.AddDate(0, 0, -1)
		if _, err := ship(b.desk, "late already"); refusals(err) != "past_ready" {
			t.Errorf("a pack that ran down in its box: %v", err)
		}
		b.until[pack.ID] = b.Now
		for _, c := range []struct{ ref, item, want string }{{"4471", *kit.Serial, ""}, {"", *kit.Serial, ""}, {"9999", *kit.Serial, "order_not_open"}, {"4471", *wheel.Serial, "order_wants_none"}, {"4471", "nothing", ""}} {
			against, err := b.s.Unordered(ctx, c.ref, []string{c.item})
			b.Must(err)
			if got := refusals(&models.RefusedError{Reasons: against}); got != c.want {
				t.Errorf("order %q for %s: %q, want %q", c.ref, c.item, got, c.want)
			}
		}
		states("before", models.StateReleased)
		sent, err := ship(b.desk, "")
		b.Must(err)
		states("shipped", models.StateShipped)
		if sent.Number != "S31-00001" || len(sent.Kits) != 1 || sent.Kits[0].Item.ID != kit.ID || len(sent.Against) > 0 {
			t.Errorf("shipment: %+v", sent)
		}
		if _, err := ship(b.Owner, "again"); refusals(err) != "shipped_already" {
			t.Errorf("the same kit again: %v", err)
		}
		if of, err := b.s.ShipmentsOf(ctx, wheel.ID); err != nil || len(of) != 1 || of[0].Number != sent.Number {
			t.Errorf("the wheel’s shipment: %+v, %v", of, err)
		}
		if orders, err = b.s.Orders(ctx); err != nil || orders[0].Lines[0].Shipped != 1 {
			t.Errorf("the order after: %+v, %v", orders, err)
		}
		if err := b.s.Void(ctx, b.Owner, sent.Number, " "); err == nil {
			t.Error("void without a reason")
		}
		b.Must(b.s.Void(ctx, b.Owner, sent.Number, "the carrier did not come"))
		states("void", models.StateReleased)
		if err := b.s.Void(ctx, b.Owner, sent.Number, "again"); refusals(err) != "shipment_void" {
			t.Errorf("void twice: %v", err)
		}
		sent, err = ship(b.desk, "")
		b.Must(err)
		if sent.Number != "S31-00002" {
			t.Errorf("the next shipment is %s", sent.Number)
		}
		b.Must(b.s.EndOrder(ctx, b.Owner, "4471", "the rest is not wanted"))
		if orders, err = b.s.Orders(ctx); err != nil || len(orders) != 0 {
			t.Errorf("after its end: %+v, %v", orders, err)
		}
	})
}

// A wheel came back, was mended and went out again: what is found to be wrong
// with its first shipment does not bring it back from the second.
func TestAVoidShipmentAndALaterOne(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, kit, wheel := t.Context(), b.newKit(), b.released(b.Item[models.KindWheel])
		_, err := b.s.Pack(ctx, b.Operator, *kit.Serial, *wheel.Serial, "")
		b.Must(err)
		first, err := b.s.Ship(ctx, b.Owner, shipping.NewShipment{Items: []string{*kit.Serial}, Reason: "the pack follows"})
		b.Must(err)
		desk := claims.New(b.Store, b.Clock, worktest.Zone)
		claim, err := desk.Open(ctx, b.Owner, claims.Opening{Item: *wheel.Serial, Words: "ticks", CameOn: "2031-05-12"})
		b.Must(err)
		b.Must(desk.Add(ctx, b.Owner, claim.Number, claims.Added{Code: "W14", Decision: models.ClaimAccept, Reason: "a spoke broke"}))
		state := func(step, want string) {
			t.Helper()
			if item, err := b.Store.Item(ctx, wheel.ID); err != nil || item.State != want {
				t.Errorf("%s: the wheel is %s, %v; want %s", step, item.State, err, want)
			}
		}
		state("accepted", models.StateInProcess)
		b.released(wheel)
		_, err = b.s.Ship(ctx, b.desk, shipping.NewShipment{Items: []string{*wheel.Serial}})
		b.Must(err)
		b.Must(b.s.Void(ctx, b.Owner, first.Number, "entered for another order"))
		state("after the first is void", models.StateShipped)
	})
}

// A wheel came back out of a kit that stayed with its owner: measured and released
// again it goes into a new one, and the old one still says that it went with it.
func TestWhatCameBackGoesIntoANewKit(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, old, next, wheel := t.Context(), b.newKit(), b.newKit(), b.released(b.Item[models.KindWheel])
		pack := func(kit models.Item, reason string) error {
			_, err := b.s.Pack(ctx, b.Owner, *kit.Serial, *wheel.Serial, reason)
			return err
		}
		b.Must(pack(old, ""))
		if got := refusals(pack(next, "agreed")); got != "in_a_kit" {
			t.Errorf("into two kits at once: %s", got)
		}
		first, err := b.s.Ship(ctx, b.Owner, shipping.NewShipment{Items: []string{*old.Serial}, Reason: "the pack follows"})
		b.Must(err)
		if got := refusals(pack(next, "agreed")); got != "shipped_already" {
			t.Errorf("while it is with its owner: %s", got)
		}
		desk := claims.New(b.Store, b.Clock, worktest.Zone)
		claim, err := desk.Open(ctx, b.Owner, claims.Opening{Item: *wheel.Serial, Words: "ticks", CameOn: "2031-05-12"})
		b.Must(err)
		b.Must(desk.Add(ctx, b.Owner, claim.Number, claims.Added{Code: "W14", Decision: models.ClaimAccept, Reason: "a spoke broke"}))
		ready := func() int {
			items, err := b.Store.ReadyOf(ctx, *wheel.ProductID, 9)
			b.Must(err)
			return len(items)
		}
		if got := refusals(pack(next, "")); got != "not_released" || ready() != 0 {
			t.Errorf("not measured again: %s, %d ready", got, ready())
		}
		b.released(wheel)
		if ready() != 1 {
			t.Errorf("%d ready, want the wheel", ready())
		}
		b.Must(pack(next, ""))
		if ready() != 0 {
			t.Error("it lies in a kit and counts as ready")
		}
		holds := func(kit models.Item, want bool) {
			t.Helper()
			k, err := b.s.Kit(ctx, *kit.Serial)
			b.Must(err)
			got := false
			for _, l := range k.Lines {
				got = got || slices.ContainsFunc(l.In, func(i models.Item) bool { return i.ID == wheel.ID })
			}
			if got != want {
				t.Errorf("kit %s says that it holds the wheel: %v, want %v", k.Item.Name(), got, want)
			}
		}
		holds(old, true)
		holds(next, true)
		where, err := b.s.Where(ctx, wheel.ID)
		b.Must(err)
		if where.Kit == nil || where.Kit.ID != next.ID {
			t.Errorf("it lies in %+v, want the new kit", where.Kit)
		}
		if went, err := b.s.ShipmentsOf(ctx, wheel.ID); err != nil || len(went) != 1 || went[0].Number != first.Number {
			t.Errorf("it went with %+v, %v; want the first", went, err)
		}
		second, err := b.s.Ship(ctx, b.Owner, shipping.NewShipment{Items: []string{*next.Serial}, Reason: "the pack is with its owner"})
		b.Must(err)
		if went, err := b.s.ShipmentsOf(ctx, wheel.ID); err != nil || len(went) != 2 || went[0].Number != second.Number {
			t.Errorf("it went with %+v, %v; want both, the second first", went, err)
		}
		if service, err := desk.InService(ctx, wheel.ID, b.Now); err != nil || !service.Shipped.Equal(first.ShippedAt) {
			t.Errorf("in service since %v, %v; want the first shipment", service.Shipped, err)
		}
		b.Must(b.s.Void(ctx, b.Owner, second.Number, "not fetched"))
		// The first shipment was entered wrongly: its kit is here, without the wheel.
		b.Must(b.s.Void(ctx, b.Owner, first.Number, "entered for another order"))
		holds(old, false)
		holds(next, true)
	})
}

// One wheel for two boxes, at two benches at once; and two people who send one
// kit off.
func TestOneWheelForTwoKits(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		wheel := b.released(b.Item[models.KindWheel])
		kits := []models.Item{b.newKit(), b.newKit(), b.newKit()}
		count := func(f func(i int) error) int32 {
			var wait sync.WaitGroup
			var in atomic.Int32
			for i := range kits {
				wait.Go(func() {
					err := f(i)
					switch {
					case err == nil:
						in.Add(1)
					case !errors.Is(err, models.ErrStale) && refusals(err) == "":
						t.Error(err)
					}
				})
			}
			wait.Wait()
			return in.Load()
		}
		if n := count(func(i int) error {
			_, err := b.s.Pack(t.Context(), b.Operator, *kits[i].Serial, *wheel.Serial, "")
			return err
		}); n != 1 {
			t.Errorf("the wheel is in %d kits", n)
		}
		holder, err := b.Store.KitOf(t.Context(), wheel.ID)
		b.Must(err)
		// Behind the bench's back: asked before another put it into a box.
		for _, k := range kits {
			if err := b.Store.PackKit(t.Context(), models.NewStamp(b.Owner, b.Now), models.KitPacking{KitID: k.ID, ItemID: &wheel.ID, Quantity: 1, Added: true}); !errors.Is(err, models.ErrStale) {
				t.Errorf("packed once more: %v", err)
			}
			if k.ID == holder {
				continue
			}
			if err := b.Store.PackKit(t.Context(), models.NewStamp(b.Owner, b.Now), models.KitPacking{KitID: k.ID, ItemID: &wheel.ID, Quantity: 1, Reason: "r"}); !errors.Is(err, models.ErrStale) {
				t.Errorf("taken out of a box that it is not in: %v", err)
			}
		}
		if n := count(func(int) error {
			_, err := b.s.Ship(t.Context(), b.Owner, shipping.NewShipment{Items: []string{holder}, Reason: "without the pack"})
			return err
		}); n != 1 {
			t.Errorf("shipped %d times", n)
		}
	})
}
