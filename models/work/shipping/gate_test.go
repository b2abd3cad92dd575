package shipping_test

import (
	"errors"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/shipping"
	"tracewright/models/work/worktest"
)

// What may go into a kit and what the gate says, item by item.
func TestTheGateOfAKit(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		kit, other := b.newKit(), b.newKit()
		wheel, second := b.released(b.Item[models.KindWheel]), b.released(b.AnotherWheel())
		bare, held, stale := b.AnotherWheel(), b.released(b.AnotherWheel()), b.released(b.Item[models.KindPack])
		_, err := b.Store.AddHold(ctx, models.NewStamp(b.Owner, b.Now), models.Hold{ItemID: &held.ID, Code: "W14", Reason: "step", RaisedBy: b.Owner.PersonID})
		b.Must(err)
		b.until[stale.ID] = b.Now.AddDate(0, 0, -1)
		for _, c := range []struct {
			name   string
			who    models.Actor
			kit    models.Item
			item   string
			reason string
			want   string
		}{
			{"not measured", b.Operator, kit, *bare.Serial, "", "not_released"},
			{"on hold", b.Operator, kit, *held.Serial, "", "held_back"},
			{"past the day of its charge", b.Operator, kit, *stale.Serial, "", "past_ready"},
			{"a kit in a kit", b.Operator, kit, *other.Serial, "", "not_packable"},
			{"a word of blanks", b.Owner, kit, *held.Serial, "  ", "held_back"},
			{"the operator’s word", b.Operator, kit, *held.Serial, "it is urgent", "held_back"},
			{"as it should be", b.Operator, kit, *wheel.Serial, "", ""},
			{"again", b.Operator, kit, *wheel.Serial, "", "in_this_kit"},
			{"into another", b.Owner, other, *wheel.Serial, "I say so", "in_a_kit"},
			{"a second wheel", b.Operator, kit, *second.Serial, "", "not_in_kit"},
			{"the owner’s word", b.Owner, other, *held.Serial, "the step is within what was agreed", ""},
		} {
			t.Run(c.name, func(t *testing.T) {
				_, err := b.s.Pack(ctx, c.who, *c.kit.Serial, c.item, c.reason)
				if got := refusals(err); got != c.want {
					t.Errorf("refused by %q, want %q", got, c.want)
				}
			})
		}
		_, err = b.s.Pack(ctx, b.Operator, *kit.Serial, "W31-99999-9", "")
		var invalid *models.InvalidError
		if !errors.As(err, &invalid) {
			t.Errorf("a serial nobody has: %v", err)
		}
		if k, err := b.s.Kit(ctx, *other.Serial); err != nil || len(k.Let) != 1 || k.Let[0].Against[0].Code != "held_back" || len(k.Against) != 0 {
			t.Errorf("what the owner let in: %+v, %v", k, err)
		}
		// The owner's word was about that hold and about no later one.
		_, err = b.Store.AddHold(ctx, models.NewStamp(b.Owner, b.Now), models.Hold{ItemID: &held.ID, Code: "W09", Reason: "a spoke is cracked", RaisedBy: b.Owner.PersonID})
		b.Must(err)
		if k, err := b.s.Kit(ctx, *other.Serial); err != nil || len(k.Against) != 1 || k.Against[0].Values["code"] != "W09" {
			t.Errorf("a second hold: against %+v, %v", k.Against, err)
		}
	})
}

// A lot that is set aside after the certificate keeps what holds it from
// leaving, until its pieces are out.
func TestALotSetAsideKeepsWhatHoldsIt(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		stamp := models.NewStamp(b.Owner, b.Now)
		lot := models.Lot{ID: models.NewID(), Code: "SP-1", Material: "spokes", Quantity: 500}
		b.Must(b.Store.AddLot(ctx, stamp, lot))
		wheel := b.AnotherWheel()
		sub := b.Extremes()
		sub.Serial, sub.Parts = *wheel.Serial, []models.SentPart{{Role: "spokes_a", Lot: lot.Code, Quantity: 18}}
		b.MustRecord(sub)
		gate := func(want string) {
			t.Helper()
			item, err := b.Store.Item(ctx, wheel.ID)
			b.Must(err)
			against, err := b.s.Gate(ctx, item)
			b.Must(err)
			if got := refusals(&models.RefusedError{Reasons: against}); got != want {
				t.Errorf("the gate says %q, want %q", got, want)
			}
		}
		wheel = b.released(wheel)
		gate("")
		b.Must(b.Store.AddLotDecision(ctx, stamp, models.LotDecision{ID: models.NewID(), LotID: lot.ID, Decision: models.LotQuarantine, Reason: "two broke"}))
		gate("lot_in_quarantine")
		parts, err := b.Store.Parts(ctx, wheel.ID)
		b.Must(err)
		b.Must(b.Store.ChangeParts(ctx, stamp, wheel.ID, []models.PartRemoval{{FittedID: parts[0].ID, Quantity: 18, Code: "other", Reason: "of that lot", Fate: models.FateScrap}}, nil))
		gate("not_released rebuilt_unread") // It is to be measured again; the lot is no longer in it.
	})
}

// A numbered part that was set aside keeps what it is in; and what lost its
// certificate under a hold is not kept by the hold alone.
func TestAPartSetAsideAndALostCertificate(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, stamp := t.Context(), models.NewStamp(b.Owner, b.Now)
		motor, err := receive.New(b.Store, b.Clock, worktest.Zone).AddPart(ctx, b.Operator, receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: "N9-1"})
		b.Must(err)
		wheel := b.AnotherWheel()
		b.Must(b.Store.ChangeParts(ctx, stamp, wheel.ID, nil, []models.FittedPart{{Role: models.KindMotor, PartID: &motor.ID, Quantity: 1}}))
		wheel = b.released(wheel)
		gate := func(want string) {
			t.Helper()
			item, err := b.Store.Item(ctx, wheel.ID)
			b.Must(err)
			against, err := b.s.Gate(ctx, item)
			b.Must(err)
			if got := refusals(&models.RefusedError{Reasons: against}); got != want {
				t.Errorf("the gate says %q, want %q", got, want)
			}
		}
		gate("")
		b.Must(b.Store.AddDispositions(ctx, stamp, []models.Disposition{{ItemID: motor.ID, Decision: models.Quarantine, Code: "damaged"}}))
		gate("part_set_aside")
		_, err = b.Store.AddHold(ctx, stamp, models.Hold{ItemID: &wheel.ID, Code: "W14", Reason: "step"})
		b.Must(err)
		gate("held_back part_set_aside")
		certificate, err := b.Store.CertificateInForce(ctx, wheel.ID)
		b.Must(err)
		b.Must(b.Store.VoidCertificate(ctx, stamp, models.CertificateChange{CertificateID: certificate.ID, State: models.Void, Reason: "r"}))
		gate("held_back no_certificate part_set_aside")
	})
}

// A box that is on hold stays, with all that is in it; the owner's word for it is
// kept with what it went against.
func TestAKitOnHoldStays(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, kit := t.Context(), b.newKit()
		for _, item := range []models.Item{b.released(b.Item[models.KindWheel]), b.released(b.Item[models.KindPack])} {
			_, err := b.s.Pack(ctx, b.Operator, *kit.Serial, *item.Serial, "")
			b.Must(err)
		}
		_, err := b.s.Tick(ctx, b.Operator, *kit.Serial, "torque arm", true)
		b.Must(err)
		_, err = b.Store.AddHold(ctx, models.NewStamp(b.Owner, b.Now), models.Hold{ItemID: &kit.ID, Code: "K04", Reason: "the box is crushed", RaisedBy: b.Owner.PersonID})
		b.Must(err)
		k, err := b.s.Kit(ctx, *kit.Serial)
		b.Must(err)
		if !k.Whole || refusals(&models.RefusedError{Reasons: k.Against}) != "held_back" {
			t.Errorf("the kit: whole %v, against it %+v", k.Whole, k.Against)
		}
		ship := func(who models.Actor, reason string) (shipping.Shipment, error) {
			return b.s.Ship(ctx, who, shipping.NewShipment{Items: []string{*kit.Serial}, Reason: reason})
		}
		if _, err := ship(b.desk, "it is urgent"); refusals(err) != "held_back" {
			t.Errorf("shipped by the desk: %v", err)
		}
		// Raised after the gate was asked, it is found where the kit is locked.
		if _, err := b.Store.AddShipment(ctx, models.NewStamp(b.Owner, b.Now), 31, models.Shipment{Items: []string{kit.ID}}); !errors.Is(err, models.ErrStale) {
			t.Errorf("shipped behind the gate: %v", err)
		}
		sent, err := ship(b.Owner, "packed anew")
		b.Must(err)
		if len(sent.Against) != 1 || sent.Against[0].Values["reason"] != "the box is crushed" || sent.Against[0].Values["serial"] != *kit.Serial {
			t.Errorf("it went against %+v", sent.Against)
		}
	})
}

// By hand the end of a serial is enough; a lot's code that looks like one is no
// item, and what a scanner read is whole.
func TestTheEndOfASerialPacks(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, kit, wheel := t.Context(), b.newKit(), b.released(b.Item[models.KindWheel])
		end := (*wheel.Serial)[4:]
		b.Must(b.Store.AddLot(ctx, models.NewStamp(b.Owner, b.Now), models.Lot{ID: models.NewID(), Code: "SP-0214", Material: "spokes"}))
		for typed, want := range map[string]string{"]C0" + end: "item: serial_form", "ZZZZZ": "item: serial_tail_unknown", "SP-0214": "item: scan_lot", "]C0SP-0214": "item: scan_lot"} {
			_, err := b.s.Pack(ctx, b.Operator, *kit.Serial, typed, "")
			worktest.WantProblems(t, err, want)
		}
		got, err := b.s.Pack(ctx, b.Operator, *kit.Serial, strings.ToLower(end), "")
		b.Must(err)
		if got.Item.ID != wheel.ID {
			t.Errorf("%s packs %s", end, got.Item.Name())
		}
	})
}
