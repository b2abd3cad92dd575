package capture

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
)

// Move takes the readings of an inspection to the item they were really taken
// on: a correction with a reason. They stay the readings of who took them, at
// the time they were taken, and are judged by what the other item asks for. The
// item they were recorded for is as it was without them. Parts that were named
// with them were in hand too and go along.
func (s *Service) Move(ctx context.Context, actor models.Actor, id, serial, reason string) (Outcome, error) {
	invalid := &models.InvalidError{}
	if serial == "" {
		invalid.Add("serial", "missing")
	}
	reason = models.Trimmed(reason)
	invalid.Reason("reason", reason)
	if err := invalid.OrNil(); err != nil {
		return Outcome{}, err
	}
	view, err := s.store.InspectionView(ctx, id)
	if err != nil {
		return Outcome{}, fmt.Errorf("read the inspection to move: %w", err)
	}
	sub := sentAgain(view)
	sub.Serial, sub.Corrects, sub.Reason = serial, id, reason
	found, err := s.place(ctx, sub)
	switch {
	case errors.Is(err, models.ErrNotFound):
		return Outcome{}, models.Invalid("serial", "unknown_serial", "serial", models.Shortened(serial))
	case err != nil:
		return Outcome{}, err
	case found.Item.ID == view.Inspection.ItemID:
		return Outcome{}, models.Invalid("serial", "recorded_for_it", "serial", found.Item.Name())
	}
	sub.Sets = answersAlone(sub.Sets, found.Specification)
	hash, err := sub.Digest()
	if err != nil {
		return Outcome{}, fmt.Errorf("digest of the moved inspection: %w", err)
	}
	return s.recordOn(ctx, arrival{actor: actor, sub: sub, hash: hash, received: models.Moment(s.now()), by: view.Inspection.PersonID}, found)
}

// partsOf lists the parts that were named with an inspection and are in its item
// still: they were fitted at the moment at which it came in.
func (s *Service) partsOf(ctx context.Context, i models.Inspection) ([]models.PartView, error) {
	parts, err := s.store.Parts(ctx, i.ItemID)
	if err != nil {
		return nil, fmt.Errorf("parts named with inspection %s: %w", i.ID, err)
	}
	return slices.DeleteFunc(models.Present(parts), func(p models.PartView) bool { return !p.FittedAt.Equal(i.ReceivedAt) }), nil
}

// partsAgain settles the parts of an inspection that is corrected: it gives what
// is fitted now and what never was in the item that it is taken from. Where the
// correction names the same again nothing changes; what it names otherwise at
// the same place was never in. Moved to another item, the rest goes along.
func (s *Service) partsAgain(ctx context.Context, a arrival, t target, corrected *models.Inspection, sent []models.FittedPart) ([]models.FittedPart, []models.PartRemoval, error) {
	if corrected == nil {
		return sent, nil, nil
	}
	before, err := s.partsOf(ctx, *corrected)
	if err != nil {
		return nil, nil, err
	}
	moves, fitted := corrected.ItemID != t.Item.ID, slices.Clone(sent)
	var never []models.PartRemoval
	for _, p := range before {
		at := slices.IndexFunc(sent, func(x models.FittedPart) bool { return sameSpot(x, p.FittedPart) })
		switch {
		case at < 0 && !moves:
			continue
		case at >= 0 && !moves && samePart(sent[at], p.FittedPart):
			fitted = slices.DeleteFunc(fitted, func(x models.FittedPart) bool { return x.ID == sent[at].ID })
			continue
		case at < 0:
			moved := p.FittedPart
			moved.ID, moved.ItemID, moved.Quantity, moved.TakenOut, moved.FittedAt = models.NewID(), t.Item.ID, p.Left(), 0, a.received
			fitted = append(fitted, moved)
		}
		never = append(never, models.PartRemoval{ID: models.NewID(), FittedID: p.ID, ItemID: p.ItemID, Quantity: p.Left(), Code: models.RecordedWrongly, Reason: a.sub.Reason, Fate: models.FateNeverIn,
			RemovedAt: a.received, RemovedBy: a.actor.String()})
	}
	return fitted, never, nil
}

// sameSpot says whether two fittings speak of the same spot, or of the same part.
func sameSpot(a, b models.FittedPart) bool {
	if a.PartID != nil && b.PartID != nil && *a.PartID == *b.PartID {
		return true
	}
	return a.Role == b.Role && a.Place == b.Place && (a.LotID == nil) == (b.LotID == nil)
}

func samePart(a, b models.FittedPart) bool {
	same := func(x, y *string) bool { return (x == nil) == (y == nil) && (x == nil || *x == *y) }
	return a.Role == b.Role && a.Place == b.Place && a.Quantity == b.Left() && same(a.LotID, b.LotID) && same(a.PartID, b.PartID)
}

// sentAgain is an inspection as it would be sent today, under a new id.
func sentAgain(view models.InspectionView) models.Submission {
	codes := map[string]string{}
	for _, i := range view.Instruments {
		codes[i.ID] = i.Code
	}
	i := view.Inspection
	sub := models.Submission{ID: models.NewID(), Stage: i.Stage, Place: i.Place, StartedAt: i.StartedAt, FinishedAt: i.MeasuredAt, Conditions: i.Conditions}
	for _, set := range view.Sets {
		sent := models.SentSet{Characteristic: set.Code, Method: set.Method, Unit: set.Unit, Manner: set.Manner, Values: set.Values, Index: set.Index, Moments: set.Moments, Masks: set.Masks}
		if set.InstrumentID != nil {
			sent.Instrument = codes[*set.InstrumentID]
		}
		sub.Sets = append(sub.Sets, sent)
	}
	return sub
}

// answersAlone leaves of points that are ticked or chosen their answers: they have no
// place and are read with no gauge, but were once kept with what was sent of either.
func answersAlone(sets []models.SentSet, spec models.Specification) []models.SentSet {
	sets = slices.Clone(sets)
	for i := range sets {
		if c, ok := spec.Characteristic(sets[i].Characteristic); ok && (c.Form == models.Ticked || c.Form == models.Chosen) {
			sets[i].Index, sets[i].Instrument = nil, ""
		}
	}
	return sets
}
