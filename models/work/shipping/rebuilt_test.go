package shipping_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/flow"
	"tracewright/models/work/shipping"
)

// spoked fits four spokes of a new lot into an item.
func (b *bay) spoked(item models.Item, code string) models.Lot {
	b.Helper()
	lot := models.Lot{ID: models.NewID(), Code: code, Material: "spokes", Quantity: 100}
	b.Must(b.Store.AddLot(b.Context(), models.NewStamp(b.Owner, b.Now), lot))
	b.Must(b.Store.ChangeParts(b.Context(), models.NewStamp(b.Owner, b.Now), item.ID, nil, []models.FittedPart{{Role: "spokes_a", LotID: &lot.ID, Quantity: 4}}))
	b.Now = b.Now.Add(time.Minute)
	return lot
}

// swapped takes what is in an item out an hour later and puts as many of a lot in.
func (b *bay) swapped(item models.Item, code, fate string, lot models.Lot) error {
	b.Helper()
	b.Now = b.Now.Add(time.Hour)
	parts, err := b.Store.Parts(b.Context(), item.ID)
	b.Must(err)
	in := models.Present(parts)[0]
	return b.Store.ChangeParts(b.Context(), models.NewStamp(b.Owner, b.Now), item.ID, []models.PartRemoval{{FittedID: in.ID, Quantity: in.Left(), Code: code, Fate: fate}},
		[]models.FittedPart{{Role: in.Role, LotID: &lot.ID, Quantity: in.Left()}})
}

// stands asks what state an item is in and what the gate says about it.
func (b *bay) stands(step string, item models.Item, state, against string) {
	b.Helper()
	now, err := b.Store.Item(b.Context(), item.ID)
	b.Must(err)
	found, err := b.s.Gate(b.Context(), now)
	b.Must(err)
	if got := refusals(&models.RefusedError{Reasons: found}); now.State != state || got != against {
		b.Errorf("%s: %s, against it %q; want %s, %q", step, now.State, got, state, against)
	}
}

// What is rebuilt under a hold is read anew before it leaves, whatever lifts the hold.
func TestRebuiltUnderAHold(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		lot := b.spoked(b.Item[models.KindWheel], "SP-1")
		wheel := b.released(b.Item[models.KindWheel])
		b.stands("released", wheel, models.StateReleased, "")
		hold := func() models.Hold {
			h, err := b.Store.AddHold(ctx, models.NewStamp(b.Owner, b.Now), models.Hold{ItemID: &wheel.ID, Code: "W14", Reason: "a spoke is cracked"})
			b.Must(err)
			return h
		}
		lift := func(h models.Hold) {
			b.Must(b.Store.LiftHold(ctx, models.NewStamp(b.Owner, b.Now), models.HoldLift{HoldID: h.ID, Code: "corrected", Reason: "new spokes"}))
		}
		h := hold()
		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		b.stands("swapped", wheel, models.StateHeld, "held_back rebuilt_unread")
		lift(h)
		b.stands("lifted", wheel, models.StateInProcess, "not_released rebuilt_unread")
		if _, err := b.s.Ship(ctx, b.desk, shipping.NewShipment{Items: []string{*wheel.Serial}}); refusals(err) != "not_released rebuilt_unread" {
			t.Errorf("the desk ships it: %v", err)
		}
		b.Now = b.Now.Add(time.Hour)
		wheel = b.released(wheel)
		b.stands("read and certified again", wheel, models.StateReleased, "")

		// A hold under which nothing was taken out gives back what was there; one under
		// which it was read after, the state of what passed and is not certified yet.
		lift(hold())
		b.stands("nothing taken out", wheel, models.StateReleased, "")
		h = hold()
		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		b.Now = b.Now.Add(time.Hour)
		sub := b.Extremes()
		sub.Serial = *wheel.Serial
		b.MustRecord(sub)
		lift(h)
		b.stands("read under the hold", wheel, models.StateConforming, "not_released")
	})
}

// A shipment that did not go gives back the state from before it.
func TestAVoidShipmentGivesTheStateBack(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		lot := b.spoked(b.Item[models.KindWheel], "SP-1")
		wheel := b.released(b.Item[models.KindWheel])
		ship := func(reason string) models.Shipment {
			sent, err := b.s.Ship(ctx, b.Owner, shipping.NewShipment{Items: []string{*wheel.Serial}, Reason: reason})
			b.Must(err)
			return sent.Shipment
		}
		void := func(sent models.Shipment) { b.Must(b.s.Void(ctx, b.Owner, sent.Number, "the carrier did not come")) }
		void(ship(""))
		b.stands("released", wheel, models.StateReleased, "")

		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		void(ship("I say so"))
		b.stands("rebuilt", wheel, models.StateInProcess, "not_released rebuilt_unread")

		b.Now = b.Now.Add(time.Hour)
		wheel = b.released(wheel)
		stamp := models.NewStamp(b.Owner, b.Now)
		n, err := b.Store.AddNonconformity(ctx, stamp, 31, models.Nonconformity{ItemID: wheel.ID, Code: "W14", Note: "a step", Severity: "major"}, models.Hold{Code: "W14", Reason: "a step"})
		b.Must(err)
		void(ship("I say so"))
		b.stands("held", wheel, models.StateHeld, "held_back")
		b.Must(b.Store.AddNonconformityStep(ctx, stamp, n.ID, models.NonconformityStep{What: string(flow.Rework), Note: "true it"}))
		void(ship("I say so"))
		b.stands("in rework", wheel, models.StateRework, "held_back not_released")
		b.Must(b.Store.AddNonconformityStep(ctx, stamp, n.ID, models.NonconformityStep{What: string(flow.ReworkDone), Note: "trued"}))
	})
}

// What became of an item while it counted as gone is not lost when its shipment is void.
func TestWhatHappenedUnderAVoidShipment(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, wheel := t.Context(), b.released(b.Item[models.KindWheel])
		send := func() string {
			sent, err := b.s.Ship(ctx, b.Owner, shipping.NewShipment{Items: []string{*wheel.Serial}, Reason: "I say so"})
			b.Must(err)
			return sent.Number
		}
		h, err := b.Store.AddHold(ctx, models.NewStamp(b.Owner, b.Now), models.Hold{ItemID: &wheel.ID, Code: "W14", Reason: "a step"})
		b.Must(err)
		number := send()
		b.Must(b.Store.LiftHold(ctx, models.NewStamp(b.Owner, b.Now), models.HoldLift{HoldID: h.ID, Code: "no_fault_found", Reason: "none"}))
		b.Must(b.s.Void(ctx, b.Owner, number, "not fetched"))
		b.stands("its hold was lifted", wheel, models.StateReleased, "")

		number = send()
		certificate, err := b.Store.CertificateInForce(ctx, wheel.ID)
		b.Must(err)
		b.Must(b.Store.VoidCertificate(ctx, models.NewStamp(b.Owner, b.Now), models.CertificateChange{CertificateID: certificate.ID, State: models.Void, Reason: "r"}))
		b.Must(b.s.Void(ctx, b.Owner, number, "not fetched"))
		b.stands("its certificate was voided", wheel, models.StateConforming, "not_released")

		number = send()
		b.Must(b.s.Void(ctx, b.Owner, number, "not fetched"))
		b.stands("as it was", wheel, models.StateConforming, "not_released")
	})
}
