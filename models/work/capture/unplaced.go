package capture

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
)

// keepUnplaced keeps a submission whole that could not be placed.
func (s *Service) keepUnplaced(ctx context.Context, a arrival, cause models.Remark) (Outcome, error) {
	if a.sub.Corrects != "" && cause.Code == "unknown_number" {
		return Outcome{}, models.Invalid("part.number", "unknown_number", "number", cause.Values["number"])
	}
	if a.sub.Corrects != "" && cause.Code == "unknown_serial" {
		return Outcome{}, models.Invalid("serial", "unknown_serial", "serial", cause.Values["serial"])
	}
	if err := checkReadable(a.sub); err != nil {
		return Outcome{}, err
	}
	// The inspection may have been placed since it was first sent: then that
	// is the first answer.
	if stored, err := s.store.Inspection(ctx, a.sub.ID); err == nil {
		if err := sameOrConflict(stored.SentHash, a); err != nil {
			return Outcome{}, err
		}
		return s.stored(ctx, stored)
	} else if !errors.Is(err, models.ErrNotFound) {
		return Outcome{}, fmt.Errorf("look for inspection %s: %w", a.sub.ID, err)
	}
	u := models.Unplaced{ID: a.sub.ID, Content: a.sub, SentHash: a.hash, Cause: cause, PersonID: a.actor.PersonID, DeviceID: device(a.actor),
		OffsetMS: a.offset.Milliseconds(), ReceivedAt: a.received}
	if err := s.store.AddUnplaced(ctx, models.NewStamp(a.actor, a.received), u); err != nil {
		return Outcome{}, fmt.Errorf("keep inspection of %s: %w", a.sub.Serial, err)
	}
	return Outcome{Created: true, Unplaced: &u}, nil
}

func (s *Service) stored(ctx context.Context, inspection models.Inspection) (Outcome, error) {
	view, err := s.store.InspectionView(ctx, inspection.ID)
	if err != nil {
		return Outcome{}, fmt.Errorf("read inspection %s: %w", inspection.ID, err)
	}
	item, err := s.store.Item(ctx, inspection.ItemID)
	if err != nil {
		return Outcome{}, fmt.Errorf("read the item of inspection %s: %w", inspection.ID, err)
	}
	return Outcome{Placed: true, Inspection: view.Inspection, Results: view.Results, Sets: view.Sets, Item: item}, nil
}

// Unplaced lists what waits for a person.
func (s *Service) Unplaced(ctx context.Context) ([]models.Unplaced, error) {
	list, err := s.store.OpenUnplaced(ctx)
	if err != nil {
		return nil, fmt.Errorf("list unplaced inspections: %w", err)
	}
	return list, nil
}

// Place settles an unplaced inspection: it becomes an inspection of the item
// named, recorded as it was sent and by whom it was sent. A clock that could
// not be right leaves the moment of receipt as the moment of measurement.
func (s *Service) Place(ctx context.Context, actor models.Actor, id, serial, reason string) (Outcome, error) {
	reason = models.Trimmed(reason)
	u, err := s.waiting(ctx, id, reason)
	if err != nil {
		return Outcome{}, err
	}
	sub := u.Content
	if serial != "" {
		sub.Serial, sub.Part = serial, models.PartName{}
	}
	found, err := s.place(ctx, sub)
	switch {
	case errors.Is(err, models.ErrNotFound) && sub.Part.Number != "":
		return Outcome{}, models.Invalid("serial", "unknown_number", "number", models.Shortened(sub.Part.Number))
	case errors.Is(err, models.ErrNotFound):
		return Outcome{}, models.Invalid("serial", "unknown_serial", "serial", models.Shortened(sub.Serial))
	case err != nil:
		return Outcome{}, err
	}
	sub.Sets = answersAlone(sub.Sets, found.Specification)
	a := arrival{actor: actor, sub: sub, hash: u.SentHash, received: u.ReceivedAt, offset: time.Duration(u.OffsetMS) * time.Millisecond, dated: true}
	if a.sub.Person == "" {
		a.sub.Person = u.PersonID
	}
	// Whose readings they are was settled when they were sent.
	a.actor.PersonID = a.sub.Person
	if u.DeviceID != nil {
		a.actor.DeviceID = *u.DeviceID
	}
	if u.Cause.Code == "person_left" {
		a.remarks = []models.Remark{models.NewRemark("came_after_leaving")}
	}
	_, strange := a.strangeClock()
	if a.received = models.Moment(s.now()); strange {
		took := sub.FinishedAt.Sub(sub.StartedAt)
		a.sub.FinishedAt, a.sub.StartedAt, a.offset = u.ReceivedAt, u.ReceivedAt.Add(-took), 0
	}
	out, err := s.recordOn(ctx, a, found)
	if err != nil {
		return Outcome{}, err
	}
	settled := models.UnplacedSettlement{UnplacedID: id, InspectionID: &out.Inspection.ID, Reason: reason, SettledBy: actor.String(), SettledAt: models.Moment(s.now())}
	if err := s.store.SettleUnplaced(ctx, models.NewStamp(actor, settled.SettledAt), settled); err != nil {
		return Outcome{}, fmt.Errorf("settle unplaced inspection %s: %w", id, err)
	}
	return out, nil
}

// Dismiss settles an unplaced inspection without placing it; it stays on record. It
// answers with the settlement as kept.
func (s *Service) Dismiss(ctx context.Context, actor models.Actor, id, reason string) (models.UnplacedSettlement, error) {
	reason = models.Trimmed(reason)
	if _, err := s.waiting(ctx, id, reason); err != nil {
		return models.UnplacedSettlement{}, err
	}
	settled := models.UnplacedSettlement{UnplacedID: id, Reason: reason, SettledBy: actor.String(), SettledAt: models.Moment(s.now())}
	if err := s.store.SettleUnplaced(ctx, models.NewStamp(actor, settled.SettledAt), settled); err != nil {
		return models.UnplacedSettlement{}, fmt.Errorf("dismiss unplaced inspection %s: %w", id, err)
	}
	return settled, nil
}

func (s *Service) waiting(ctx context.Context, id, reason string) (models.Unplaced, error) {
	invalid := &models.InvalidError{}
	if invalid.Reason("reason", reason); len(invalid.Problems) > 0 {
		return models.Unplaced{}, invalid
	}
	u, err := s.store.Unplaced(ctx, id)
	if err != nil {
		return models.Unplaced{}, fmt.Errorf("find unplaced inspection %s: %w", id, err)
	}
	return u, nil
}
