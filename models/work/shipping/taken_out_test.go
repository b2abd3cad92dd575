package shipping_test

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/work/shipping"
)

// Of what is with its owner nothing can be taken out; its record can be put right.
func TestNothingIsTakenOutOfWhatIsNotHere(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		lot := b.spoked(b.Item[models.KindWheel], "SP-1")
		wheel := b.released(b.Item[models.KindWheel])
		_, err := b.s.Ship(ctx, b.desk, shipping.NewShipment{Items: []string{*wheel.Serial}})
		b.Must(err)
		if err := b.swapped(wheel, "broken", models.FateScrap, lot); !errors.Is(err, models.ErrStale) {
			t.Errorf("taken out while it is with its owner: %v", err)
		}
		b.Must(b.swapped(wheel, models.RecordedWrongly, models.FateNeverIn, lot))
		came := func() models.Hold {
			h, err := b.Store.AddHold(ctx, models.NewStamp(b.Owner, b.Now), models.Hold{ItemID: &wheel.ID, Code: "W14", Reason: "it came in"})
			b.Must(err)
			return h
		}
		lift := func(h models.Hold) {
			b.Must(b.Store.LiftHold(ctx, models.NewStamp(b.Owner, b.Now), models.HoldLift{HoldID: h.ID, Code: "corrected", Reason: "r"}))
		}
		lift(came())
		b.stands("looked at, and back to its owner", wheel, models.StateShipped, "shipped_already")
		h := came()
		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		lift(h)
		b.stands("rebuilt while it was here", wheel, models.StateInProcess, "not_released rebuilt_unread")
	})
}

// What left rebuilt, by the owner's word, is with its owner again when it was only
// looked at here; taken apart under the hold it is in process.
func TestWhatLeftRebuiltGoesBackToItsOwner(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		wheel := b.Item[models.KindWheel]
		lot := b.spoked(wheel, "SP-1")
		wheel = b.released(wheel)
		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		b.sent(wheel)
		b.held(wheel)()
		b.stands("looked at, and back to its owner", wheel, models.StateShipped, "shipped_already")
		first := b.held(wheel)
		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		second := b.held(wheel)
		first()
		second()
		b.stands("rebuilt while it was here", wheel, models.StateInProcess, "not_released rebuilt_unread")
	})
}
