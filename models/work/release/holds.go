package release

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// HoldRequest names what is to be held: an item by serial or id, or a lot by
// its code.
type HoldRequest struct {
	Item   string
	Lot    string
	Code   string
	Reason string
}

// RaiseHold stops an item, or everything of a lot, from being released.
func (s *Service) RaiseHold(ctx context.Context, actor models.Actor, r HoldRequest) (models.Hold, error) {
	invalid := &models.InvalidError{}
	if (r.Item == "") == (r.Lot == "") {
		invalid.Add("item", "item_or_lot")
	}
	defects, err := s.store.Defects(ctx)
	if err != nil {
		return models.Hold{}, fmt.Errorf("codes of defects: %w", err)
	}
	if !defects.Offered(r.Code) {
		invalid.Add("code", "unknown_code", "code", r.Code)
	}
	r.Reason = models.Trimmed(r.Reason)
	invalid.Reason("reason", r.Reason)
	if err := invalid.OrNil(); err != nil {
		return models.Hold{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	hold := models.Hold{ID: models.NewID(), Code: r.Code, Reason: r.Reason, RaisedBy: actor.String(), RaisedAt: stamp.At}
	if r.Lot != "" {
		lots, err := s.store.LotsByCode(ctx, []string{r.Lot})
		if err != nil {
			return models.Hold{}, fmt.Errorf("find lot %s: %w", r.Lot, err)
		}
		if len(lots) == 0 {
			return models.Hold{}, models.Invalid("lot", "unknown_lot", "lot", r.Lot)
		}
		hold.LotID = &lots[0].ID
	} else {
		item, err := s.find(ctx, r.Item)
		if err != nil {
			return models.Hold{}, err
		}
		hold.ItemID, hold.StateBefore = &item.ID, item.State
	}
	raised, err := s.store.AddHold(ctx, stamp, hold)
	if err != nil {
		return models.Hold{}, fmt.Errorf("raise hold: %w", err)
	}
	return raised, nil
}

// LiftHold ends a hold with a reason and a code; the item goes back to the
// state it had before, once no other hold is open. It answers with the lift as kept.
func (s *Service) LiftHold(ctx context.Context, actor models.Actor, holdID, code, reason string) (models.HoldLift, error) {
	invalid := &models.InvalidError{}
	if !slices.Contains(models.HoldLiftCodes, code) {
		invalid.Add("code", "unknown_code", "code", code)
	}
	reason = models.Trimmed(reason)
	invalid.Reason("reason", reason)
	if err := invalid.OrNil(); err != nil {
		return models.HoldLift{}, err
	}
	switch v, err := s.store.NonconformityOn(ctx, holdID); {
	case errors.Is(err, models.ErrNotFound):
	case err != nil:
		return models.HoldLift{}, fmt.Errorf("what stands on hold %s: %w", holdID, err)
	default:
		if h, err := s.store.Hold(ctx, holdID); err != nil || !h.OfAnother() {
			return models.HoldLift{}, errors.Join(err, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("hold_needs_disposition", "number", v.Number)}})
		}
	}
	stamp := models.NewStamp(actor, s.now())
	lift := models.HoldLift{HoldID: holdID, Code: code, Reason: reason, LiftedBy: actor.String(), LiftedAt: stamp.At}
	err := s.store.LiftHold(ctx, stamp, lift)
	if errors.Is(err, models.ErrConflict) {
		err = errors.Join(err, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("already_lifted")}})
	}
	if err != nil {
		return models.HoldLift{}, fmt.Errorf("lift hold %s: %w", holdID, err)
	}
	return lift, nil
}

func (s *Service) find(ctx context.Context, serialOrID string) (models.Item, error) {
	if serial, err := ident.Normalise(serialOrID); err == nil {
		item, err := s.store.ItemBySerial(ctx, serial)
		if errors.Is(err, models.ErrNotFound) {
			return item, models.Invalid("item", "unknown_serial", "serial", serial)
		}
		if err != nil {
			return item, fmt.Errorf("find item %s: %w", serial, err)
		}
		return item, nil
	}
	item, err := s.store.Item(ctx, serialOrID)
	if errors.Is(err, models.ErrNotFound) {
		return item, models.Invalid("item", "unknown_item", "item", serialOrID)
	}
	if err != nil {
		return item, fmt.Errorf("find item %s: %w", serialOrID, err)
	}
	return item, nil
}
