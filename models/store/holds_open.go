package store

import (
	"context"
	"fmt"

	"tracewright/models"
)

// heldItems are the holds that nobody has lifted, with what each is on. holds_open
// finds them; hold_lifts decides.
const heldItems = `SELECT CAST(holds.id AS text), CAST(holds.item_id AS text), CAST(holds.lot_id AS text), holds.code, holds.reason, holds.state_before, CAST(holds.raised_by AS text), holds.raised_at,
	coalesce(i.kind, ''), coalesce(i.serial, ''), coalesce(i.supplier || ' ' || i.model || ' ' || i.maker_number, ''), coalesce(i.state, ''), coalesce(l.code, '')
	FROM holds LEFT JOIN items AS i ON i.id = holds.item_id LEFT JOIN lots AS l ON l.id = holds.lot_id
	WHERE NOT holds.lifted AND ` + notLifted

// oldestFirst is the order of every list of them.
const oldestFirst = " ORDER BY holds.raised_at, holds.id"

// toLift leaves those that wait for a person and are told by nothing else: not those
// of a recall or a claim while that is open, since the list has it itself, nor those
// that an open nonconformity stands on.
const toLift = ` AND NOT (holds.code = '` + models.HoldRecall + `' AND EXISTS (SELECT 1 FROM recalls AS r WHERE r.number = holds.reason AND NOT EXISTS (SELECT 1 FROM recall_ends AS e WHERE e.recall_id = r.id)))
	AND NOT (holds.code = '` + models.HoldOfClaim + `' AND EXISTS (SELECT 1 FROM claims AS c WHERE c.number = holds.reason AND c.state = '` + models.ClaimOpen + `'))
	AND NOT EXISTS (SELECT 1 FROM nonconformity_holds AS nh JOIN nonconformities AS n ON n.id = nh.nonconformity_id WHERE nh.hold_id = holds.id AND n.state <> 'closed')`

// HoldsWaiting lists the open holds that wait for a person to lift them, oldest
// first, without those that an open recall, claim or nonconformity tells of.
func (s *Store) HoldsWaiting(ctx context.Context) ([]models.HeldItem, error) {
	return s.held(ctx, "list the holds that wait", heldItems+toLift+oldestFirst)
}

// AllOpenHolds lists every open hold, oldest first.
func (s *Store) AllOpenHolds(ctx context.Context) ([]models.HeldItem, error) {
	return s.held(ctx, "list open holds", heldItems+oldestFirst)
}

// OpenHoldsAfter lists open holds, oldest first, behind the hold of this id, which may
// have been lifted meanwhile; from the oldest on where it is empty. At most limit.
func (s *Store) OpenHoldsAfter(ctx context.Context, after string, limit int) ([]models.HeldItem, error) {
	if after == "" {
		return s.held(ctx, "list open holds", heldItems+oldestFirst+" LIMIT ?", limit)
	}
	return s.held(ctx, "list open holds", heldItems+" AND (holds.raised_at, holds.id) > (SELECT raised_at, id FROM holds WHERE id = ?)"+oldestFirst+" LIMIT ?", after, limit)
}

// CountOpenHolds counts the open holds.
func (s *Store) CountOpenHolds(ctx context.Context) (int, error) {
	var n int64
	err := s.read.WithContext(ctx).Model(&models.Hold{}).Where("NOT lifted AND " + notLifted).Count(&n).Error
	return int(n), fault(err, "count open holds")
}

// OpenHold finds one that nobody has lifted, by id.
func (s *Store) OpenHold(ctx context.Context, id string) (models.HeldItem, error) {
	found, err := s.held(ctx, "find open hold", heldItems+" AND holds.id = ?", id)
	if err == nil && len(found) == 0 {
		err = fmt.Errorf("open hold %.40q: %w", id, models.ErrNotFound)
	}
	if err != nil {
		return models.HeldItem{}, err
	}
	return found[0], nil
}

func (s *Store) held(ctx context.Context, doing, text string, args ...any) ([]models.HeldItem, error) {
	var list []models.HeldItem
	err := s.ask(ctx, question{text, args, func(scan func(...any) error) error {
		var h models.HeldItem
		if err := scan(&h.ID, &h.ItemID, &h.LotID, &h.Code, &h.Reason, &h.StateBefore, &h.RaisedBy, &h.RaisedAt, &h.Kind, &h.Serial, &h.Maker, &h.State, &h.Lot); err != nil {
			return err
		}
		h.RaisedAt = h.RaisedAt.UTC()
		list = append(list, h)
		return nil
	}})
	return list, fault(err, "%s", doing)
}

// HeldLots lists the keys of the lots with an open hold.
func (s *Store) HeldLots(ctx context.Context) ([]string, error) {
	var ids []string
	err := s.read.WithContext(ctx).Model(&models.Hold{}).Distinct("CAST(lot_id AS text)").Where("lot_id IS NOT NULL AND NOT lifted AND " + notLifted).Scan(&ids).Error
	return ids, fault(err, "list the lots on hold")
}
