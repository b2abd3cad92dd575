package shipping_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/release"
	"tracewright/models/work/shipping"
	"tracewright/models/work/worktest"
)

// lastMoment does something in the shop between the gate of a shipment and its lock.
type lastMoment struct {
	shipping.Store
	do func()
}

func (l lastMoment) AddShipment(ctx context.Context, stamp models.Stamp, year2 int, sh models.Shipment) (models.Shipment, error) {
	l.do()
	return l.Store.AddShipment(ctx, stamp, year2, sh)
}

// What comes after the gate was asked is found where everything is locked: nothing
// leaves that the gate would keep, nor with a paper that nobody was asked about.
func TestWhatComesBeforeTheLockOfAShipment(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(b *bay, kit, wheel models.Item, lot models.Lot)
		then string // what the gate says when it is asked again
	}{
		{"nothing", func(*bay, models.Item, models.Item, models.Lot) {}, ""},
		{"a hold on a lot in it", func(b *bay, _, _ models.Item, lot models.Lot) {
			_, err := b.Store.AddHold(b.Context(), models.NewStamp(b.Owner, b.Now), models.Hold{LotID: &lot.ID, Code: "W14", Reason: "soft"})
			b.Must(err)
		}, "held_back"},
		{"a lot in it set aside", func(b *bay, _, _ models.Item, lot models.Lot) {
			b.Must(b.Store.AddLotDecision(b.Context(), models.NewStamp(b.Owner, b.Now), models.LotDecision{ID: models.NewID(), LotID: lot.ID, Decision: models.LotQuarantine, Reason: "soft"}))
		}, "lot_in_quarantine"},
		{"its certificate revised", func(b *bay, _, wheel models.Item, _ models.Lot) {
			r := release.New(b.Store, b.Clock, worktest.Zone, nil)
			r.SealBy(worktest.NewSigner())
			_, err := r.Issue(b.Context(), b.Owner, wheel.ID, "a name was wrong")
			b.Must(err)
		}, ""},
		{"taken out of the box", func(b *bay, kit, wheel models.Item, _ models.Lot) {
			_, err := b.s.TakeOut(b.Context(), b.Owner, *kit.Serial, *wheel.Serial, "for another")
			b.Must(err)
		}, "kit_lacks"},
		{"a small part taken out of the box", func(b *bay, kit, _ models.Item, _ models.Lot) {
			_, err := b.s.Tick(b.Context(), b.Owner, *kit.Serial, "torque arm", false)
			b.Must(err)
		}, "kit_lacks"},
	} {
		t.Run(c.name, func(t *testing.T) {
			each(t, func(t *testing.T, b *bay) {
				ctx, kit := t.Context(), b.newKit()
				lot := models.Lot{ID: models.NewID(), Code: "L-77", Material: "spokes"}
				b.Must(b.Store.AddLot(ctx, models.NewStamp(b.Owner, b.Now), lot))
				b.Must(b.Store.ChangeParts(ctx, models.NewStamp(b.Owner, b.Now), b.Item[models.KindWheel].ID, nil, []models.FittedPart{{Role: "spokes_a", LotID: &lot.ID, Quantity: 4}}))
				wheel := b.released(b.Item[models.KindWheel])
				for _, item := range []models.Item{wheel, b.released(b.Item[models.KindPack])} {
					_, err := b.s.Pack(ctx, b.Operator, *kit.Serial, *item.Serial, "")
					b.Must(err)
				}
				_, err := b.s.Tick(ctx, b.Operator, *kit.Serial, "torque arm", true)
				b.Must(err)
				slow := shipping.New(lastMoment{b.Store, func() { c.do(b, kit, wheel, lot) }}, func(context.Context, string) (time.Time, error) { return time.Time{}, nil }, b.Clock, worktest.Zone)
				in := shipping.NewShipment{Items: []string{*kit.Serial}}
				_, err = slow.Ship(ctx, b.desk, in)
				if c.name == "nothing" {
					b.Must(err)
					return
				}
				if !errors.Is(err, models.ErrStale) {
					t.Errorf("shipped: %v, want it stale", err)
				}
				if sent, err := b.s.Ship(ctx, b.desk, in); refusals(err) != c.then || err == nil && sent.Number != "S31-00001" {
					t.Errorf("asked again: %s, %v; want %q", sent.Number, err, c.then)
				}
			})
		})
	}
}
