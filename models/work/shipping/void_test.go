package shipping_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/shipping"
)

// held raises a hold on an item a minute later, and gives what lifts it.
func (b *bay) held(item models.Item) (lift func()) {
	b.Helper()
	b.Now = b.Now.Add(time.Minute)
	h, err := b.Store.AddHold(b.Context(), models.NewStamp(b.Owner, b.Now), models.Hold{ItemID: &item.ID, Code: "W14", Reason: "a step"})
	b.Must(err)
	return func() {
		b.Helper()
		b.Now = b.Now.Add(time.Minute)
		b.Must(b.Store.LiftHold(b.Context(), models.NewStamp(b.Owner, b.Now), models.HoldLift{HoldID: h.ID, Code: "no_fault_found", Reason: "none"}))
	}
}

// sent ships an item by the owner's word, and gives what says that it did not go.
func (b *bay) sent(item models.Item) (void func()) {
	b.Helper()
	sent, err := b.s.Ship(b.Context(), b.Owner, shipping.NewShipment{Items: []string{*item.Serial}, Reason: "I say so"})
	b.Must(err)
	return func() {
		b.Helper()
		b.Must(b.s.Void(b.Context(), b.Owner, sent.Number, "not fetched"))
	}
}

// What never went is shipped no more, also where it lay here on hold when that was
// said: the end of the hold makes it what it was before.
func TestAShipmentIsVoidUnderAHold(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		wheel := b.released(b.Item[models.KindWheel])
		void := b.sent(wheel)
		lift := b.held(wheel)
		void()
		b.stands("void under its hold", wheel, models.StateHeld, "held_back")
		second := b.held(wheel)
		lift()
		b.stands("held once more", wheel, models.StateHeld, "held_back")
		second()
		b.stands("lifted", wheel, models.StateReleased, "")

		void = b.sent(wheel)
		b.stands("it goes after all", wheel, models.StateShipped, "shipped_already")
		lift = b.held(wheel)
		again := b.sent(wheel)
		again()
		void()
		b.stands("sent twice, and never went", wheel, models.StateHeld, "held_back")
		lift()
		b.stands("and lifted", wheel, models.StateReleased, "")
	})
}

// What came back from a shipment that stands goes back to its owner.
func TestAShipmentStandsUnderAHold(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		wheel := b.released(b.Item[models.KindWheel])
		b.sent(wheel)
		lift := b.held(wheel)
		b.Now = b.Now.Add(time.Minute)
		b.sent(wheel)() // A second one, of what came back: that never went.
		lift()
		b.stands("back to its owner", wheel, models.StateShipped, "shipped_already")
	})
}

// A kit that never went, with a wheel in it that is on hold.
func TestAKitIsVoidUnderAHold(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, kit, wheel := t.Context(), b.newKit(), b.released(b.Item[models.KindWheel])
		_, err := b.s.Pack(ctx, b.Owner, *kit.Serial, *wheel.Serial, "")
		b.Must(err)
		void := b.sent(kit)
		lift := b.held(wheel)
		void()
		lift()
		b.stands("lifted", wheel, models.StateReleased, "")
	})
}
