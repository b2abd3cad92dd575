package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// TurnList gives the newest list that was made from an inspection.
func (s *Store) TurnList(ctx context.Context, inspectionID string) (models.TurnList, error) {
	return newest[models.TurnList](ctx, s, "find the turn list of inspection "+inspectionID, "n DESC", "inspection_id = ?", inspectionID)
}

// TurnListByID finds one by its own key.
func (s *Store) TurnListByID(ctx context.Context, id string) (models.TurnList, error) {
	return first[models.TurnList](ctx, s, "find turn list "+id, "id = ?", id)
}

// TurnsDone lists what was turned of a list and taken back, in the order in
// which it came.
func (s *Store) TurnsDone(ctx context.Context, listID string) ([]models.TurnDone, error) {
	return list[models.TurnDone](ctx, s, "list the turns done of "+listID, "id", "turn_list_id = ?", listID)
}

// TurnStop gives the comparison of an inspection's readings with the list
// before it, and the newest answer where it was a stop.
func (s *Store) TurnStop(ctx context.Context, inspectionID string) (models.TurnStop, error) {
	round, err := first[models.TurnRound](ctx, s, "find the comparison of inspection "+inspectionID, "inspection_id = ?", inspectionID)
	if err != nil {
		return models.TurnStop{}, err
	}
	return s.answered(ctx, round)
}

// answered adds the newest answer.
func (s *Store) answered(ctx context.Context, round models.TurnRound) (models.TurnStop, error) {
	stop := models.TurnStop{Round: round}
	if !round.Stop {
		return stop, nil
	}
	answers, err := list[models.TurnAnswer](ctx, s, "list the answers to the stop at inspection "+round.InspectionID, "answered_at, id", "inspection_id = ?", round.InspectionID)
	if len(answers) > 0 {
		stop.Answer = &answers[len(answers)-1]
	}
	return stop, err
}

// standingRound is a comparison whose readings still stand.
const standingRound = "EXISTS (SELECT 1 FROM inspections WHERE inspections.id = turn_rounds.inspection_id AND inspections.superseded_by IS NULL)"

// newestRound is the order of comparisons, newest first.
const newestRound = "compared_at DESC, inspection_id DESC"

// TurnStopOf gives the newest standing comparison of an item, with its answer;
// none is models.ErrNotFound.
func (s *Store) TurnStopOf(ctx context.Context, itemID string) (models.TurnStop, error) {
	round, err := newest[models.TurnRound](ctx, s, "find the newest comparison of item "+itemID, newestRound, "item_id = ? AND "+standingRound, itemID)
	if err != nil {
		return models.TurnStop{}, err
	}
	return s.answered(ctx, round)
}

// TurnRoundsThatTeach lists the newest standing rounds on a type of rim and
// spoke that contradicted nothing, newest first.
func (s *Store) TurnRoundsThatTeach(ctx context.Context, rimType string, limit int) ([]models.TurnRound, error) {
	var rounds []models.TurnRound
	err := s.read.WithContext(ctx).Where("rim_type = ? AND teaches AND "+standingRound, rimType).Order(newestRound).Limit(limit).Find(&rounds).Error
	return rounds, fault(err, "list what was learned of %s", rimType)
}

// newest finds the first record in an order.
func newest[T any](ctx context.Context, s *Store, doing, order, where string, args ...any) (T, error) {
	var record T
	err := s.read.WithContext(ctx).Where(where, args...).Order(order).Take(&record).Error
	return record, fault(err, "%s", doing)
}

// AddTurnList adds a list made from an inspection. Another with its number is
// models.ErrConflict: somebody made it meanwhile.
func (s *Store) AddTurnList(ctx context.Context, stamp models.Stamp, l models.TurnList) error {
	l.MadeAt, l.MadeBy = settled(l.MadeAt, stamp), orActor(l.MadeBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &l), "add turn list of inspection %s", l.InspectionID)
}

// AddTurnDone records a turn of a list, with the item locked, so that two
// tablets cannot begin both lists of one prescription. decide is given what
// was done so far and whether the list is closed, and answers with what to add, nil for nothing. The item's TurnsOpen is the
// list while something of it is turned.
func (s *Store) AddTurnDone(ctx context.Context, stamp models.Stamp, l models.TurnList, decide func(done []models.TurnDone, closed bool) (*models.TurnDone, error)) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		item, err := s.lockItem(tx, l.ItemID)
		if err != nil {
			return err
		}
		var done []models.TurnDone
		if err := tx.Where("turn_list_id = ?", l.ID).Order("id").Find(&done).Error; err != nil {
			return err
		}
		closed, err := closedList(tx, item, l)
		if err != nil {
			return err
		}
		next, err := decide(done, closed)
		if err != nil || next == nil {
			return err
		}
		next.ID, next.TurnListID = orNewID(next.ID), l.ID
		next.DoneAt, next.DoneBy = settled(next.DoneAt, stamp), orActor(next.DoneBy, stamp)
		if err := add(tx, next); err != nil {
			return err
		}
		if err := enter(tx, stamp, *next, ""); err != nil {
			return err
		}
		return setTurnsOpen(tx, item, l.ID, len(models.StandingTurns(append(done, *next))) > 0)
	})
	return fault(err, "record a turn of list %s", l.ID)
}

// closedList says whether a list takes no more turns: it was made again, the
// readings that it was made from were replaced or compared with later ones, or
// turns of a later list of the item are open.
func closedList(tx *gorm.DB, item models.Item, l models.TurnList) (bool, error) {
	for _, reason := range []*gorm.DB{
		tx.Model(&models.TurnList{}).Where("inspection_id = ? AND n > ?", l.InspectionID, l.N),
		tx.Model(&models.TurnRound{}).Where("turn_list_id = ? AND "+standingRound, l.ID),
		tx.Model(&models.Inspection{}).Where("id = ? AND superseded_by IS NOT NULL", l.InspectionID),
		tx.Model(&models.TurnList{}).Where("id = ? AND id <> ? AND made_at > ?", item.TurnsOpen, l.ID, l.MadeAt),
	} {
		var n int64
		if err := reason.Count(&n).Error; err != nil || n > 0 {
			return n > 0, err
		}
	}
	return false, nil
}

// setTurnsOpen writes the item's open list where it changes.
func setTurnsOpen(tx *gorm.DB, item models.Item, listID string, open bool) error {
	was := item.TurnsOpen != nil && *item.TurnsOpen == listID
	var value *string
	if open {
		value = &listID
	}
	if was == open {
		return nil
	}
	return tx.Model(&models.Item{}).Where("id = ?", item.ID).Update("turns_open", value).Error
}

// AddTurnRound records what an inspection's readings said about a list, once:
// a second time is models.ErrConflict. Without a stop the item's list is no
// longer open.
func (s *Store) AddTurnRound(ctx context.Context, stamp models.Stamp, r models.TurnRound) error {
	r.ComparedAt, r.ComparedBy = settled(r.ComparedAt, stamp), orActor(r.ComparedBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		item, err := s.lockItem(tx, r.ItemID)
		if err != nil {
			return err
		}
		if err := add(tx, &r); err != nil {
			return err
		}
		if err := enter(tx, stamp, r, ""); err != nil {
			return err
		}
		if r.Stop {
			return nil
		}
		return setTurnsOpen(tx, item, r.TurnListID, false)
	})
	return fault(err, "compare inspection %s with its turn list", r.InspectionID)
}

// AddTurnAnswer records what a person says happened at the stop that the item
// stands at; at any other inspection it is models.ErrConflict. One that settles
// it closes the list.
func (s *Store) AddTurnAnswer(ctx context.Context, stamp models.Stamp, a models.TurnAnswer) error {
	a.ID = orNewID(a.ID)
	a.AnsweredAt, a.AnsweredBy = settled(a.AnsweredAt, stamp), orActor(a.AnsweredBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var round, newest models.TurnRound
		if err := tx.Where("inspection_id = ?", a.InspectionID).Take(&round).Error; err != nil {
			return err
		}
		item, err := s.lockItem(tx, round.ItemID)
		if err != nil {
			return err
		}
		if err := tx.Where("item_id = ? AND "+standingRound, round.ItemID).Order(newestRound).Limit(1).Find(&newest).Error; err != nil {
			return err
		}
		if !round.Stop || newest.InspectionID != a.InspectionID {
			return fmt.Errorf("no stop stands at inspection %s: %w", a.InspectionID, models.ErrConflict)
		}
		if err := add(tx, &a); err != nil {
			return err
		}
		if err := enter(tx, stamp, a, ""); err != nil {
			return err
		}
		if !a.Settles {
			return nil
		}
		return setTurnsOpen(tx, item, round.TurnListID, false)
	})
	return fault(err, "answer the stop at inspection %s", a.InspectionID)
}
