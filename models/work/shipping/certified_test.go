package shipping_test

import (
	"testing"
	"time"

	"tracewright/models"
)

// A certified wheel that is turned by its list stays here until it was read again, and
// then until its certificate shows it as it was read; a turn that is taken back was none.
func TestTurnedSinceItsCertificate(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, wheel := t.Context(), b.released(b.Item[models.KindWheel])
		inspections, err := b.Store.InspectionsOf(ctx, wheel.ID)
		b.Must(err)
		list := models.TurnList{ID: models.NewID(), InspectionID: inspections[0].ID, ItemID: wheel.ID, N: 1, Short: 1, RimType: "Fen 26", ContentHash: "h", Content: "{}"}
		b.Must(b.Store.AddTurnList(ctx, models.NewStamp(b.Operator, b.Now), list))
		tick := func(turned bool) {
			t.Helper()
			b.Now = b.Now.Add(time.Hour)
			b.Must(b.Store.AddTurnDone(ctx, models.NewStamp(b.Operator, b.Now), list, func([]models.TurnDone, models.TurnListState) (*models.TurnDone, error) {
				return &models.TurnDone{ID: models.NewID(), List: models.TurnsShort, N: 1, Turned: turned}, nil
			}))
		}
		b.stands("a list, and nothing turned", wheel, models.StateReleased, "")
		tick(true)
		b.stands("turned", wheel, models.StateReleased, "turned_unread")
		tick(false)
		b.stands("taken back", wheel, models.StateReleased, "")
		tick(true)
		b.Now = b.Now.Add(time.Hour)
		sub := b.Extremes()
		sub.Serial = *wheel.Serial
		again := b.MustRecord(sub)
		b.stands("read again", wheel, models.StateReleased, "certificate_before")
		round := models.TurnRound{InspectionID: again.Inspection.ID, TurnListID: list.ID, ItemID: wheel.ID, RimType: "Fen 26", Stop: true, Cause: "other_nipple", Content: "{}", ContentHash: "h"}
		b.Must(b.Store.AddTurnRound(ctx, models.NewStamp(b.Operator, b.Now), round))
		b.stands("its readings contradict the turn", wheel, models.StateReleased, "turns_contradicted")
		answer := func(settles bool) {
			b.Now = b.Now.Add(time.Minute)
			b.Must(b.Store.AddTurnAnswer(ctx, models.NewStamp(b.Operator, b.Now), models.TurnAnswer{InspectionID: again.Inspection.ID, Cause: "other_nipple", Settles: settles}))
		}
		answer(false)
		b.stands("they are to be taken again", wheel, models.StateReleased, "turns_to_repeat")
		answer(true)
		b.certify(wheel)
		b.stands("certified again", wheel, models.StateReleased, "")
	})
}

// A record that is put right leaves the certificate in force, which then names what is
// not in it: its next revision does not.
func TestTheCertificateNamesOtherParts(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		wheel := b.Item[models.KindWheel]
		b.spoked(wheel, "SP-77")
		other := models.Lot{ID: models.NewID(), Code: "SP-99", Material: "spokes", Quantity: 100}
		b.Must(b.Store.AddLot(t.Context(), models.NewStamp(b.Owner, b.Now), other))
		wheel = b.released(wheel)
		b.stands("released", wheel, models.StateReleased, "")
		b.Must(b.swapped(wheel, models.RecordedWrongly, models.FateNeverIn, other))
		b.stands("put right", wheel, models.StateReleased, "certificate_parts")
		b.certify(wheel)
		b.stands("its next revision", wheel, models.StateReleased, "")
		// The same pieces in two rows are the same pieces.
		parts, err := b.Store.Parts(t.Context(), wheel.ID)
		b.Must(err)
		in := models.Present(parts)[0]
		b.Must(b.Store.ChangeParts(t.Context(), models.NewStamp(b.Owner, b.Now), wheel.ID, []models.PartRemoval{{FittedID: in.ID, Quantity: 1, Code: models.RecordedWrongly, Fate: models.FateNeverIn}},
			[]models.FittedPart{{Role: in.Role, LotID: in.LotID, Quantity: 1}}))
		b.stands("in two rows", wheel, models.StateReleased, "")
		b.Must(b.Store.ChangeParts(t.Context(), models.NewStamp(b.Owner, b.Now), wheel.ID, nil, []models.FittedPart{{Role: in.Role, LotID: in.LotID, Quantity: 1}}))
		b.stands("one more put in", wheel, models.StateReleased, "certificate_parts")
	})
}
