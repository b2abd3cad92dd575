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

// TurnsDone lists what was turned of a list and taken back, in order.
func (s *Store) TurnsDone(ctx context.Context, listID string) ([]models.TurnDone, error) {
	return list[models.TurnDone](ctx, s, "list the turns done of "+listID, "done_at, id", "turn_list_id = ?", listID)
}

// itsLists are the turn lists of an item: those made from its standing
// inspections, and from the readings that these replaced, on whatever item they
// stood then. What was turned was turned on the wheel that was at the stand.
const itsLists = `SELECT turn_lists.id FROM turn_lists WHERE inspection_id IN (
	WITH RECURSIVE past(id) AS (
		SELECT id FROM inspections WHERE item_id = ? AND superseded_by IS NULL
		UNION SELECT inspections.supersedes FROM past JOIN inspections ON inspections.id = past.id WHERE inspections.supersedes IS NOT NULL)
	SELECT id FROM past)`

// TurnsOf lists what was turned of an item and taken back, by every list, in
// order.
func (s *Store) TurnsOf(ctx context.Context, itemID string) ([]models.TurnDone, error) {
	return list[models.TurnDone](ctx, s, "list the turns done of item "+itemID, "done_at, id", "turn_list_id IN ("+itsLists+")", itemID)
}

// TurnStop gives the comparison of an inspection's readings with the list
// before it, and the newest answer.
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
// spoke that contradicted nothing and that no turn came too late for, newest
// first.
func (s *Store) TurnRoundsThatTeach(ctx context.Context, rimType string, limit int) ([]models.TurnRound, error) {
	var rounds []models.TurnRound
	err := s.read.WithContext(ctx).Where("rim_type = ? AND teaches AND NOT EXISTS (SELECT 1 FROM turn_answers WHERE turn_answers.inspection_id = turn_rounds.inspection_id) AND "+standingRound, rimType).Order(newestRound).Limit(limit).Find(&rounds).Error
	return rounds, fault(err, "list what was learned of %s", rimType)
}

// AddTurnList adds a list made from an inspection. Another with its number is
// models.ErrConflict: somebody made it meanwhile.
func (s *Store) AddTurnList(ctx context.Context, stamp models.Stamp, l models.TurnList) error {
	l.MadeAt, l.MadeBy = settled(l.MadeAt, stamp), orActor(l.MadeBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &l), "add turn list of inspection %s", l.InspectionID)
}

// AddTurnDone records a turn of a list, with the item locked, so that two
// tablets cannot begin both lists of one prescription. decide is given what
// was done so far and how the list stands, and answers with what to add, nil
// for nothing. A turn that comes after the readings that followed it settles
// their comparison, which did not know of it.
func (s *Store) AddTurnDone(ctx context.Context, stamp models.Stamp, l models.TurnList, decide func(done []models.TurnDone, stands models.TurnListState) (*models.TurnDone, error)) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		item, err := s.lockItem(tx, l.ItemID)
		if err != nil {
			return err
		}
		var done []models.TurnDone
		if err := tx.Where("turn_list_id = ?", l.ID).Order("done_at, id").Find(&done).Error; err != nil {
			return err
		}
		state, err := listState(tx, item.ID, l)
		if err != nil {
			return err
		}
		next, err := decide(done, state)
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
		if err := settleLate(tx, stamp, l, *next); err != nil {
			return err
		}
		return reckonTurnsOpen(tx, item.ID)
	})
	return fault(err, "record a turn of list %s", l.ID)
}

// TurnListState says how a list stands.
func (s *Store) TurnListState(ctx context.Context, l models.TurnList) (models.TurnListState, error) {
	state, err := listState(s.read.WithContext(ctx), l.ItemID, l)
	return state, fault(err, "how turn list %s stands", l.ID)
}

func listState(tx *gorm.DB, itemID string, l models.TurnList) (state models.TurnListState, err error) {
	for _, x := range []struct {
		holds *bool
		rows  *gorm.DB
	}{
		{&state.MadeAgain, tx.Model(&models.TurnList{}).Where("inspection_id = ? AND n > ?", l.InspectionID, l.N)},
		{&state.Replaced, tx.Model(&models.Inspection{}).Where("id = ? AND superseded_by IS NOT NULL", l.InspectionID)},
		{&state.Compared, tx.Model(&models.TurnRound{}).Where("turn_list_id = ? AND "+standingRound, l.ID)},
		{&state.LaterBegun, tx.Model(&models.TurnList{}).Where("id = (SELECT turns_open FROM items WHERE id = ?) AND id <> ? AND made_at > ?", itemID, l.ID, l.MadeAt)},
	} {
		var n int64
		if err = x.rows.Count(&n).Error; err != nil {
			return state, err
		}
		*x.holds = n > 0
	}
	return state, nil
}

// settleLate answers the comparisons that did not know of a turn.
func settleLate(tx *gorm.DB, stamp models.Stamp, l models.TurnList, late models.TurnDone) error {
	var rounds []models.TurnRound
	err := tx.Where("turn_list_id = ? AND "+standingRound+" AND NOT EXISTS (SELECT 1 FROM turn_answers WHERE turn_answers.inspection_id = turn_rounds.inspection_id AND settles)", l.ID).Find(&rounds).Error
	for _, r := range rounds {
		if err != nil {
			break
		}
		a := models.TurnAnswer{ID: models.NewID(), InspectionID: r.InspectionID, Cause: models.LateTurns, Settles: true, AnsweredBy: late.DoneBy, AnsweredAt: stamp.At}
		if err = add(tx, &a); err == nil {
			err = enter(tx, stamp, a, "")
		}
	}
	return err
}

// openTurns is what an item's turns_open is to be: of its lists the newest with
// a turn that stands, unless that was compared with readings that stand, and
// settled where these contradict it.
const openTurns = `UPDATE items SET turns_open = (
	SELECT CASE WHEN EXISTS (SELECT 1 FROM turn_rounds JOIN inspections ON inspections.id = turn_rounds.inspection_id
		WHERE turn_rounds.turn_list_id = newest.id AND inspections.superseded_by IS NULL
		AND (NOT turn_rounds.stop OR EXISTS (SELECT 1 FROM turn_answers WHERE turn_answers.inspection_id = turn_rounds.inspection_id AND turn_answers.settles)))
	THEN NULL ELSE newest.id END
	FROM turn_lists AS newest WHERE newest.id IN (` + itsLists + `)
	AND EXISTS (SELECT 1 FROM turn_dones AS made WHERE made.turn_list_id = newest.id AND made.turned AND NOT EXISTS (
		SELECT 1 FROM turn_dones AS later WHERE later.turn_list_id = made.turn_list_id AND later.list = made.list AND later.n = made.n
		AND (later.done_at > made.done_at OR later.done_at = made.done_at AND later.id > made.id)))
	ORDER BY newest.made_at DESC, newest.id DESC LIMIT 1)
WHERE id = ?`

func reckonTurnsOpen(tx *gorm.DB, itemID string) error {
	return tx.Exec(openTurns, itemID, itemID).Error
}

// AddTurnRound records what an inspection's readings said about a list, once:
// a second time is models.ErrConflict. Without a stop the item's list is no
// longer open.
func (s *Store) AddTurnRound(ctx context.Context, stamp models.Stamp, r models.TurnRound) error {
	r.ComparedAt, r.ComparedBy = settled(r.ComparedAt, stamp), orActor(r.ComparedBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if _, err := s.lockItem(tx, r.ItemID); err != nil {
			return err
		}
		if err := add(tx, &r); err != nil {
			return err
		}
		if err := enter(tx, stamp, r, ""); err != nil {
			return err
		}
		return reckonTurnsOpen(tx, r.ItemID)
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
		if _, err := s.lockItem(tx, round.ItemID); err != nil {
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
		return reckonTurnsOpen(tx, round.ItemID)
	})
	return fault(err, "answer the stop at inspection %s", a.InspectionID)
}
