package store

import (
	"context"
	"fmt"
	"slices"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// standsOn finds the nonconformities that stand on one of some holds.
const standsOn = "id IN (SELECT nonconformity_id FROM nonconformity_holds WHERE hold_id IN ?)"

// AddNonconformity numbers a nonconformity and puts its item on hold where it is
// not. What was being worked on is closed as nonconforming by that: its hold ends
// only by a disposition. An item with one that is open already is
// models.ErrConflict, unless it was to be inspected again: then the inspection is
// what failed, and becomes a step of that one; where something else is wrong than
// before, by its code, that is a hold on which it stands too. What is with its owner, or gone, is
// models.ErrStale.
func (s *Store) AddNonconformity(ctx context.Context, stamp models.Stamp, year2 int, n models.Nonconformity, hold models.Hold) (models.NonconformityView, error) {
	n.ID, n.OpenedAt, n.OpenedBy = orNewID(n.ID), settled(n.OpenedAt, stamp), orActor(n.OpenedBy, stamp)
	view := models.NonconformityView{}
	err := s.changing(ctx, func(tx *gorm.DB) error {
		item, err := s.lockItem(tx, n.ItemID)
		if err != nil {
			return err
		}
		open, err := openNonconformity(tx, item.ID)
		switch {
		case err != nil:
			return err
		case open != nil && item.State == models.StateReinspect:
			view = *open
			step := models.NonconformityStep{What: string(flow.InspectFail), InspectionID: n.InspectionID, Severity: n.Severity, Note: n.Note}
			if n.Code != view.Code {
				hold.ItemID = &item.ID
				settleHold(&hold, stamp)
				if err := s.raise(tx, stamp, &hold); err != nil {
					return err
				}
				step.Holds = []string{hold.ID}
			}
			return s.addStep(tx, stamp, &view, item, step)
		case open != nil:
			return fmt.Errorf("nonconformity %s is open: %w", open.Number, models.ErrConflict)
		case gone(item.State):
			return fmt.Errorf("the item is %s: %w", item.State, models.ErrStale)
		case item.State != models.StateHeld:
			hold.ItemID = &item.ID
			settleHold(&hold, stamp)
			if err := s.raise(tx, stamp, &hold); err != nil {
				return err
			}
		}
		if n.Holds, err = openHolds(tx, item.ID); err != nil {
			return err
		}
		n.State = models.StateHeld
		if n.Failed == nil {
			n.Failed = []string{}
		}
		if n.Number, err = counted(tx, "nonconformity_counters", "NC", year2); err != nil {
			return err
		}
		if err := add(tx, &n); err != nil {
			return err
		}
		view.Nonconformity = n
		if err := standOn(tx, n.ID, n.Holds); err != nil {
			return err
		}
		return enter(tx, stamp, n, "")
	})
	return view, fault(err, "add a nonconformity")
}

// openHolds lists the open holds that an item has itself.
func openHolds(tx *gorm.DB, itemID string) ([]string, error) {
	ids := []string{}
	err := tx.Model(&models.Hold{}).Where("item_id = ? AND "+notLifted, itemID).Order("raised_at, id").Pluck("id", &ids).Error
	return ids, err
}

// nonconformityHold is a row of the index of the holds.
type nonconformityHold struct{ HoldID, NonconformityID string }

func standOn(tx *gorm.DB, id string, holds []string) error {
	for _, hold := range holds {
		if err := add(tx, &nonconformityHold{HoldID: hold, NonconformityID: id}); err != nil {
			return err
		}
	}
	return nil
}

// openNonconformity is the one of an item that is not closed, with its steps; nil
// for none.
func openNonconformity(tx *gorm.DB, itemID string) (*models.NonconformityView, error) {
	var found []models.Nonconformity
	if err := tx.Where("item_id = ? AND state <> 'closed'", itemID).Find(&found).Error; err != nil || len(found) == 0 {
		return nil, err
	}
	view := models.NonconformityView{Nonconformity: found[0]}
	err := tx.Where("nonconformity_id = ?", view.ID).Order("id").Find(&view.Steps).Error
	return &view, err
}

// AddNonconformityStep adds a step to a nonconformity and moves its item as package
// flow says; a step that is none of the item's state is models.ErrStale. With the
// last of them it is closed, and the holds that it stands on end, but for those of
// a recall or a claim. A certificate in force of what is scrapped or went back to its
// supplier is void by that, for the number of the nonconformity.
func (s *Store) AddNonconformityStep(ctx context.Context, stamp models.Stamp, id string, step models.NonconformityStep) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var n models.Nonconformity
		if err := tx.Where("id = ?", id).Take(&n).Error; err != nil {
			return err
		}
		item, err := s.lockItem(tx, n.ItemID)
		if err != nil {
			return err
		}
		view, err := openNonconformity(tx, item.ID)
		if err != nil {
			return err
		}
		if view == nil || view.ID != id {
			return fmt.Errorf("nonconformity %s is closed: %w", n.Number, models.ErrStale)
		}
		return s.addStep(tx, stamp, view, item, step)
	})
	return fault(err, "add to nonconformity %s", id)
}

// addStep is AddNonconformityStep inside a transaction, the item locked.
func (s *Store) addStep(tx *gorm.DB, stamp models.Stamp, view *models.NonconformityView, item models.Item, step models.NonconformityStep) error {
	settleStep(&step, view.ID, stamp)
	state := view.State
	if event := flow.Event(step.What); step.What != models.NonconformityNoted {
		next, err := flow.After(item.State, event)
		if err == nil {
			err = setState(tx, item.ID, next)
		}
		if err != nil {
			return err
		}
		if state = next; flow.Settles(event) {
			state = models.NonconformityClosed
		}
		if next == models.StateScrapped || next == models.StateReturned {
			if err := endCertificate(tx, stamp, item.ID, view.Number); err != nil {
				return err
			}
		}
		if slices.Contains(flow.Dispositions, event) {
			if step.Holds, err = raisedSince(tx, *view); err != nil {
				return err
			}
		}
	}
	if err := add(tx, &step); err != nil {
		return err
	}
	if err := standOn(tx, view.ID, step.Holds); err != nil {
		return err
	}
	view.Steps = append(view.Steps, step)
	if view.State = state; state == models.NonconformityClosed {
		if err := s.liftDisposed(tx, stamp, *view); err != nil {
			return err
		}
	}
	if err := tx.Model(&models.Nonconformity{}).Where("id = ?", view.ID).Update("state", state).Error; err != nil {
		return err
	}
	return enter(tx, stamp, step, "")
}

func settleStep(step *models.NonconformityStep, id string, stamp models.Stamp) {
	step.ID, step.NonconformityID, step.MadeAt, step.MadeBy = orNewID(step.ID), id, settled(step.MadeAt, stamp), orActor(step.MadeBy, stamp)
	for _, list := range []*[]string{&step.Results, &step.Again, &step.Holds} {
		if *list == nil {
			*list = []string{}
		}
	}
}

// raisedSince lists the open holds of its item that a nonconformity does not stand on
// yet.
func raisedSince(tx *gorm.DB, view models.NonconformityView) ([]string, error) {
	open, err := openHolds(tx, view.ItemID)
	known := view.AllHolds()
	return slices.DeleteFunc(open, func(id string) bool { return slices.Contains(known, id) }), err
}

// liftDisposed ends the holds that a nonconformity stood on.
func (s *Store) liftDisposed(tx *gorm.DB, stamp models.Stamp, view models.NonconformityView) error {
	var open []models.Hold
	if err := tx.Where("id IN ? AND "+notLifted, view.AllHolds()).Order("raised_at, id").Find(&open).Error; err != nil {
		return err
	}
	for _, h := range open {
		if h.OfAnother() {
			continue
		}
		if err := s.lift(tx, stamp, liftOf(view.Number, h.ID, stamp)); err != nil {
			return err
		}
	}
	return nil
}

func liftOf(number, holdID string, stamp models.Stamp) models.HoldLift {
	return models.HoldLift{HoldID: holdID, Code: models.LiftDisposed, Reason: number, LiftedBy: stamp.By.String(), LiftedAt: models.Moment(stamp.At)}
}
