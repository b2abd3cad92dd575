package shipping_test

import (
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/words"
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

// The owner's word at the packing was about one change: another one of the same kind
// that came since is asked about at the door.
func TestAnotherChangeInTheBoxIsNews(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, wheel := t.Context(), b.Item[models.KindWheel]
		lot := b.spoked(wheel, "SP-1")
		other := models.Lot{ID: models.NewID(), Code: "SP-99", Material: "spokes", Quantity: 100}
		b.Must(b.Store.AddLot(ctx, models.NewStamp(b.Owner, b.Now), other))
		wheel = b.released(wheel)

		b.Must(b.swapped(wheel, models.RecordedWrongly, models.FateNeverIn, other))
		kit := b.boxed(wheel, "the paper follows")
		b.certify(wheel)
		b.stands("its revision", wheel, models.StateReleased, "")
		b.Must(b.swapped(wheel, models.RecordedWrongly, models.FateNeverIn, lot))
		b.goes("the record was put right again", kit, "certificate_parts")
		_, err := b.s.TakeOut(ctx, b.Owner, *kit.Serial, *wheel.Serial, "to be rebuilt")
		b.Must(err)

		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		_, err = b.s.Pack(ctx, b.Owner, *kit.Serial, *wheel.Serial, "it is measured tomorrow")
		b.Must(err)
		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		b.goes("rebuilt once more", kit, "rebuilt_unread")
		b.Now = b.Now.Add(time.Hour)
		wheel = b.released(wheel)
		b.stands("measured and certified", wheel, models.StateReleased, "")
		certificate, err := b.Store.CertificateInForce(ctx, wheel.ID)
		b.Must(err)
		b.Must(b.Store.VoidCertificate(ctx, models.NewStamp(b.Owner, b.Now), models.CertificateChange{CertificateID: certificate.ID, State: models.Void, Reason: "r"}))
		b.goes("its certificate was voided", kit, "not_released")
	})
}

// Whoever lets an item in unreleased is asked again when it was worked on since.
func TestWhatWasRebuiltInTheBoxIsNews(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		wheel := b.Item[models.KindWheel]
		lot := b.spoked(wheel, "SP-1")
		b.MustRecord(b.Extremes())
		kit := b.boxed(wheel, "its paper follows")
		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		b.goes("worked on since", kit, "not_released rebuilt_unread")
	})
}

// At the door each reason tells which item it is about, as the packing list prints it.
func TestTheDoorSaysWhichItem(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		lot := b.spoked(b.Item[models.KindWheel], "SP-1")
		wheel, second := b.released(b.Item[models.KindWheel]), b.released(b.AnotherWheel())
		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		_, err := b.s.Ship(t.Context(), b.desk, shipping.NewShipment{Items: []string{*second.Serial, *wheel.Serial}})
		if refusals(err) != "not_released rebuilt_unread" {
			t.Fatalf("refused by %v", err)
		}
		for _, r := range err.(*models.RefusedError).Reasons {
			if said := words.In("en").Remark(r); !strings.Contains(said, words.Serial(*wheel.Serial)) || strings.Contains(said, "{") {
				t.Errorf("%s says %q", r.Code, said)
			}
		}
	})
}
