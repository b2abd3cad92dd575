package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

const (
	notLifted = "NOT EXISTS (SELECT 1 FROM hold_lifts WHERE hold_lifts.hold_id = holds.id)"
	// notDisposed leaves out the holds about which something was decided that is
	// being carried out: they stay open until that is done, and the item is where
	// the disposition put it.
	notDisposed = `NOT EXISTS (SELECT 1 FROM nonconformity_holds AS nh JOIN nonconformities AS n ON n.id = nh.nonconformity_id WHERE nh.hold_id = holds.id AND n.state NOT IN ('held', 'closed'))`
)

// holdsWithin finds the holds on an item, on the parts that are in it through all
// levels, and on the lots of all these, those that were mixed into a bin among
// them: through the index of each, where an OR would read every hold there is.
var holdsWithin = asWithin(`
	SELECT h.id FROM within CROSS JOIN holds AS h WHERE h.item_id = within.id
	UNION SELECT h.id FROM within CROSS JOIN fitted_parts AS f CROSS JOIN holds AS h WHERE f.item_id = within.id AND f.out_at IS NULL AND h.lot_id = f.lot_id
	UNION SELECT h.id FROM within CROSS JOIN fitted_parts AS f CROSS JOIN lot_mixes AS m CROSS JOIN holds AS h WHERE f.item_id = within.id AND f.out_at IS NULL AND m.mix_id = f.lot_id AND h.lot_id = m.lot_id
	UNION SELECT h.id FROM within CROSS JOIN block_receipts AS r CROSS JOIN holds AS h WHERE r.item_id = within.id AND h.lot_id = r.lot_id`)

func (s *Store) onItem() string { return "holds.id IN (" + within + holdsWithin[s.dialect] + ")" }

// OpenHolds lists the open holds on an item, on its parts through all levels and
// on the lots built in, oldest first.
func (s *Store) OpenHolds(ctx context.Context, itemID string) ([]models.Hold, error) {
	return list[models.Hold](ctx, s, "list open holds", "raised_at, id", s.onItem()+" AND "+notLifted, sql.Named("from", itemID))
}

// heldSince finds what the open holds reach, and since when.
const heldSince = `WITH RECURSIVE open AS (SELECT item_id, lot_id, raised_at FROM holds WHERE NOT lifted AND ` + notLifted + `), held(id, since) AS (
	SELECT item_id, raised_at FROM open WHERE item_id IS NOT NULL
	UNION SELECT fitted_parts.item_id, open.raised_at FROM open JOIN fitted_parts ON fitted_parts.lot_id = open.lot_id AND fitted_parts.out_at IS NULL
	UNION SELECT fitted_parts.item_id, open.raised_at FROM open JOIN lot_mixes ON lot_mixes.lot_id = open.lot_id JOIN fitted_parts ON fitted_parts.lot_id = lot_mixes.mix_id AND fitted_parts.out_at IS NULL
	UNION SELECT block_receipts.item_id, open.raised_at FROM open JOIN block_receipts ON block_receipts.lot_id = open.lot_id
	UNION SELECT fitted_parts.item_id, held.since FROM held JOIN fitted_parts ON fitted_parts.part_id = held.id AND fitted_parts.out_at IS NULL)
	SELECT CAST(id AS text) AS id, since FROM held`

// ItemsHeld lists the keys of every item that an open hold reaches: its own, on a
// part of it or on a lot in it, through all levels.
func (s *Store) ItemsHeld(ctx context.Context) ([]string, error) {
	var ids []string
	err := s.read.WithContext(ctx).Raw("SELECT DISTINCT id FROM (" + heldSince + ") AS reached").Scan(&ids).Error
	return ids, fault(err, "list what is on hold")
}

// HoldsOf lists every such hold with its lift, newest first; one on a lot names it.
func (s *Store) HoldsOf(ctx context.Context, itemID string) ([]models.HoldView, error) {
	holds, err := list[models.Hold](ctx, s, "list holds", "raised_at DESC, id DESC", s.onItem(), sql.Named("from", itemID))
	if err != nil || len(holds) == 0 {
		return nil, err
	}
	ids, views := make([]string, len(holds)), make([]models.HoldView, len(holds))
	var lotIDs []string
	for i, h := range holds {
		ids[i], views[i].Hold = h.ID, h
		if h.LotID != nil {
			lotIDs = append(lotIDs, *h.LotID)
		}
	}
	lots, err := s.LotsByID(ctx, lotIDs)
	if err != nil {
		return nil, err
	}
	for _, l := range lots {
		for k := range views {
			if on := views[k].LotID; on != nil && *on == l.ID {
				views[k].Lot = l.Code
			}
		}
	}
	lifts, err := list[models.HoldLift](ctx, s, "list lifted holds", "hold_id", "hold_id IN ?", ids)
	for i := range lifts {
		for k := range views {
			if views[k].ID == lifts[i].HoldID {
				views[k].Lift = &lifts[i]
			}
		}
	}
	return views, err
}

// Hold finds one by id.
func (s *Store) Hold(ctx context.Context, id string) (models.Hold, error) {
	return first[models.Hold](ctx, s, "find hold "+id, "id = ?", id)
}

// AddHold raises a hold. An item's state becomes held; the state it had is
// kept with the hold, and under a second hold the one it had before the first. An
// item that waits for something already, or is gone, keeps its state beside it.
func (s *Store) AddHold(ctx context.Context, stamp models.Stamp, h models.Hold) (models.Hold, error) {
	settleHold(&h, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error { return s.raise(tx, stamp, &h) })
	return h, fault(err, "raise hold")
}

// raise is AddHold inside a transaction, of a hold that is settled.
func (s *Store) raise(tx *gorm.DB, stamp models.Stamp, h *models.Hold) error {
	if h.ItemID != nil {
		item, err := s.lockItem(tx, *h.ItemID)
		if err != nil {
			return err
		}
		if h.StateBefore, err = s.stateBeforeHold(tx, item); err != nil {
			return err
		}
		if event := flow.HoldOf(item.State); event != "" {
			if err := move(tx, item, event); err != nil {
				return err
			}
		}
	}
	if err := add(tx, h); err != nil {
		return err
	}
	return enter(tx, stamp, *h, "")
}

func (s *Store) lockItem(tx *gorm.DB, id string) (models.Item, error) {
	var item models.Item
	err := s.locked(tx).Where("id = ?", id).Take(&item).Error
	return item, err
}

func setState(tx *gorm.DB, itemID, state string) error {
	return tx.Model(&models.Item{}).Where("id = ?", itemID).Update("state", state).Error
}

// move sets the state that an event leads to; one that is none of the item's state
// is models.ErrStale.
func move(tx *gorm.DB, item models.Item, event flow.Event) error {
	next, err := flow.After(item.State, event)
	if err != nil {
		return fmt.Errorf("item %s: %w", item.ID, err)
	}
	return setState(tx, item.ID, next)
}

func (s *Store) stateBeforeHold(tx *gorm.DB, item models.Item) (string, error) {
	if item.State != models.StateHeld {
		return item.State, nil
	}
	var open models.Hold
	err := tx.Where("item_id = ? AND "+notLifted+" AND "+notDisposed, item.ID).Order("raised_at, id").Take(&open).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		err = fmt.Errorf("item %s is held by no hold", item.ID)
	}
	if err != nil {
		return "", err
	}
	return goesOnAs(tx, open)
}

// HeldFrom gives the state that a hold on an item interrupted, or what became of it
// under the hold; of what waits for a disposition, the state before that was decided.
func (s *Store) HeldFrom(ctx context.Context, item models.Item) (string, error) {
	tx := s.read.WithContext(ctx)
	if item.State == models.StateHeld {
		state, err := s.stateBeforeHold(tx, item)
		return state, fault(err, "what the hold on item %s interrupted", item.ID)
	}
	var decided []models.Hold
	err := tx.Where("item_id = ? AND "+notLifted, item.ID).Order("raised_at, id").Limit(1).Find(&decided).Error
	if err != nil || len(decided) == 0 {
		return item.State, fault(err, "what the hold on item %s interrupted", item.ID)
	}
	return decided[0].StateBefore, nil
}

// goesOnAs is backTo, or what an inspection under the hold would have made of it:
// work that was not done when it was held, and whose newest reading came since and
// passes, is conforming.
func goesOnAs(tx *gorm.DB, h models.Hold) (string, error) {
	if h.StateBefore != models.StateInProcess {
		return backTo(tx, h)
	}
	newest, err := newestJudged(tx, *h.ItemID)
	if err != nil || newest == nil || newest.ReceivedAt.Before(h.RaisedAt) || !passing(newest.Verdict) {
		return h.StateBefore, err
	}
	return flow.After(h.StateBefore, flow.InspectPass)
}

// backTo is the state that an item takes up again after a hold: the one it had
// before, or in process where a claim that came in was accepted under the hold. What was
// away by a shipment that is void since is what it was before that.
func backTo(tx *gorm.DB, h models.Hold) (string, error) {
	if !away(h.StateBefore) {
		return h.StateBefore, nil
	}
	var accepted int64
	err := tx.Raw(acceptedUnder, *h.ItemID, models.Moment(h.RaisedAt)).Scan(&accepted).Error
	if accepted > 0 {
		return models.StateInProcess, err
	}
	if err != nil {
		return "", err
	}
	sent, err := neverWent(tx, h)
	if err != nil || sent == nil {
		return h.StateBefore, err
	}
	from, err := leftFrom(tx, *h.ItemID)
	if err != nil {
		return "", err
	}
	return whenItLeft(tx, *h.ItemID, from, *sent)
}

// away says of a state that the item is with its owner.
func away(state string) bool {
	return state == models.StateShipped || state == models.StateRecalled
}

// LiftHold ends a hold. The item goes back to the state before it once no
// other hold on it is open; one whose certificate was voided under the hold is
// conforming or conceded, not released; one that was accepted under a claim meanwhile,
// or taken apart and not read since, is in process; and one that was not done, and
// passed under the hold, is conforming. A hold lifted already is models.ErrConflict; one that ends by what is
// decided about a nonconformity is models.ErrStale.
func (s *Store) LiftHold(ctx context.Context, stamp models.Stamp, l models.HoldLift) error {
	l.LiftedAt, l.LiftedBy = settled(l.LiftedAt, stamp), orActor(l.LiftedBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var bound int64
		err := tx.Model(&models.Nonconformity{}).Where("state <> ? AND "+standsOn, models.NonconformityClosed, []string{l.HoldID}).
			Where("NOT EXISTS (SELECT 1 FROM holds WHERE id = ? AND code IN ?)", l.HoldID, []string{models.HoldRecall, models.HoldOfClaim}).Count(&bound).Error
		if err == nil && bound > 0 {
			err = fmt.Errorf("a nonconformity stands on it: %w", models.ErrStale)
		}
		if err != nil {
			return err
		}
		return s.lift(tx, stamp, l)
	})
	return fault(err, "lift hold %s", l.HoldID)
}

// lift is LiftHold inside a transaction, of a lift that is settled.
func (s *Store) lift(tx *gorm.DB, stamp models.Stamp, l models.HoldLift) error {
	var h models.Hold
	var item models.Item
	err := tx.Where("id = ?", l.HoldID).Take(&h).Error
	if err != nil {
		return err
	}
	if h.ItemID != nil {
		if item, err = s.lockItem(tx, *h.ItemID); err != nil {
			return err
		}
	}
	if err := add(tx, &l); err != nil {
		return err
	}
	if err := tx.Table("holds").Where("id = ?", l.HoldID).Update("lifted", true).Error; err != nil {
		return err
	}
	if err := enter(tx, stamp, l, ""); err != nil {
		return err
	}
	if h.ItemID == nil || item.State != models.StateHeld { // A lot's, or of what went out by concession.
		return nil
	}
	var open int64
	if err := tx.Model(&models.Hold{}).Where("item_id = ? AND "+notLifted+" AND "+notDisposed, *h.ItemID).Count(&open).Error; err != nil {
		return err
	}
	if open > 0 {
		return nil
	}
	if h, err = sayingBefore(tx, h); err != nil {
		return err
	}
	if h.StateBefore == "" {
		return fmt.Errorf("hold %s does not say what the item was before", h.ID)
	}
	state, err := goesOnAs(tx, h)
	if err != nil {
		return err
	}
	if state, err = asItIs(tx, *h.ItemID, state); err != nil {
		return err
	}
	return setState(tx, *h.ItemID, state)
}

// sayingBefore is the hold that says what its item was before: the one that is lifted,
// or, where a nonconformity was settled under it since, the newest that is of none.
func sayingBefore(tx *gorm.DB, lifted models.Hold) (models.Hold, error) {
	var settled int64
	if err := tx.Model(&models.Nonconformity{}).Where(standsOn, []string{lifted.ID}).Count(&settled).Error; err != nil || settled == 0 {
		return lifted, err
	}
	var newest []models.Hold
	err := tx.Where("item_id = ? AND NOT EXISTS (SELECT 1 FROM nonconformity_holds WHERE nonconformity_holds.hold_id = holds.id)", *lifted.ItemID).Order("raised_at DESC, id DESC").Limit(1).Find(&newest).Error
	if err != nil || len(newest) == 0 {
		return lifted, err
	}
	return newest[0], nil
}
