package shipping_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/work/shipping"
)

// boxed puts a wheel and a pack into a new kit by the owner's word, and the small
// parts: the kit is whole.
func (b *bay) boxed(wheel models.Item, reason string) models.Item {
	b.Helper()
	kit := b.newKit()
	for item, why := range map[string]string{*wheel.Serial: reason, *b.released(b.Item[models.KindPack]).Serial: ""} {
		_, err := b.s.Pack(b.Context(), b.Owner, *kit.Serial, item, why)
		b.Must(err)
	}
	_, err := b.s.Tick(b.Context(), b.Owner, *kit.Serial, "torque arm", true)
	b.Must(err)
	return kit
}

// goes sends a kit off as the desk does, and asks what keeps it.
func (b *bay) goes(step string, kit models.Item, want string) (number string) {
	b.Helper()
	sent, err := b.s.Ship(b.Context(), b.desk, shipping.NewShipment{Items: []string{*kit.Serial}})
	if got := refusals(err); got != want {
		b.Errorf("%s: the desk is refused by %q, want %q", step, got, want)
	}
	return sent.Number
}

// A kit with a wheel in it that the owner let in unreleased goes by that word: the
// list says it, and the wheel is conforming again when the shipment is void.
func TestAKitGoesWithWhatWasLetInUnreleased(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		b.MustRecord(b.Extremes())
		wheel := b.Item[models.KindWheel]
		kit := b.boxed(wheel, "its paper follows")
		number := b.goes("whole", kit, "")
		b.stands("gone", wheel, models.StateShipped, "shipped_already")
		list, err := b.s.PackingList(t.Context(), b.Owner, number)
		b.Must(err)
		if c := list.Concessions; len(c) != 1 || c[0].Reason != "its paper follows" || models.Codes(c[0].Against) != "not_released" || c[0].Serial != *wheel.Serial {
			t.Errorf("the list says %+v", c)
		}
		b.Must(b.s.Void(t.Context(), b.Owner, number, "not fetched"))
		b.stands("here again", wheel, models.StateConforming, "not_released")
	})
}
