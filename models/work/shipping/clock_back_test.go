package shipping_test

import (
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/shipping"
)

// A clock that was set back between the bench and the door takes nothing out of the
// box: what went stands on the list with its certificate, and what came back of it
// knows the hold that it left under.
func TestTheClockIsSetBackBeforeAShipment(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, kit, wheel := t.Context(), b.newKit(), b.released(b.Item[models.KindWheel])
		b.Now = b.Now.Add(time.Minute)
		_, err := b.s.Pack(ctx, b.Owner, *kit.Serial, *wheel.Serial, "")
		b.Must(err)
		_, err = b.s.Tick(ctx, b.Owner, *kit.Serial, "torque arm", true)
		b.Must(err)
		packed := b.Now
		b.Now = b.Now.Add(-3 * time.Minute)
		sent, err := b.s.Ship(ctx, b.Owner, shipping.NewShipment{Items: []string{*kit.Serial}, Reason: "the rest follows"})
		b.Must(err)
		list, inside := b.onList(sent.Number)
		if inside != *wheel.Serial || !strings.Contains(list, *wheel.Serial+" C31-00001-1") || !strings.Contains(list, "2 torque arm") {
			t.Errorf("the list names %q, the boxes hold %q", list, inside)
		}
		if of, err := b.s.ShipmentsOf(ctx, wheel.ID); err != nil || len(of) != 1 || of[0].ShippedAt.Before(packed) {
			t.Errorf("the wheel went with %+v, %v; want the shipment, after its packing", of, err)
		}
		b.Must(b.s.Void(ctx, b.Owner, sent.Number, "not fetched"))
		b.stands("here again", wheel, models.StateReleased, "")

		loose := b.released(b.AnotherWheel())
		lift := b.held(loose)
		b.Now = b.Now.Add(-3 * time.Minute)
		void := b.sent(loose)
		lift()
		void()
		b.stands("its hold was lifted while it was away", loose, models.StateReleased, "")
		b.held(loose)
		b.stands("held once more", loose, models.StateHeld, "held_back")
	})
}
