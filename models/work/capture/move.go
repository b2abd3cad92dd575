package capture

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// Move takes the readings of an inspection to the item they were really taken
// on: a correction with a reason. They stay the readings of who took them, at
// the time they were taken, and are judged by what the other item asks for. The
// item they were recorded for is as it was without them.
func (s *Service) Move(ctx context.Context, actor models.Actor, id, serial, reason string) (Outcome, error) {
	invalid := &models.InvalidError{}
	if serial == "" {
		invalid.Add("serial", "missing")
	}
	if reason == "" {
		invalid.Add("reason", "reason_needed")
	}
	if len(reason) > mostText {
		invalid.Add("reason", "too_long", "most", fmt.Sprint(mostText))
	}
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
	hash, err := sub.Digest()
	if err != nil {
		return Outcome{}, fmt.Errorf("digest of the moved inspection: %w", err)
	}
	return s.recordOn(ctx, arrival{actor: actor, sub: sub, hash: hash, received: models.Moment(s.now()), by: view.Inspection.PersonID}, found)
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
