package store

import (
	"context"
	"fmt"
	"strings"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// AddClaim numbers a claim and keeps it with the customer's words and its first
// events. A customer who is gone is an InvalidError: their words would stay.
func (s *Store) AddClaim(ctx context.Context, stamp models.Stamp, year2 int, c models.Claim, w models.ClaimWords, events []models.ClaimEvent) (models.ClaimView, error) {
	c.ID, c.OpenedAt, c.OpenedBy = orNewID(c.ID), settled(c.OpenedAt, stamp), orActor(c.OpenedBy, stamp)
	c.State, c.ItemID, c.WordsHash, w.ClaimID = models.ClaimOpen, nil, w.Hash(), c.ID
	view := models.ClaimView{Claim: c, Words: &w}
	err := s.changing(ctx, func(tx *gorm.DB) error {
		err := s.keepCustomer(tx, c.Customer)
		if err != nil {
			return err
		}
		if view.Number, err = counted(tx, "claim_counters", "CL", year2); err != nil {
			return err
		}
		if err := add(tx, &view.Claim); err != nil {
			return err
		}
		if err := add(tx, &w); err != nil {
			return err
		}
		if err := enter(tx, stamp, view.Claim, ""); err != nil {
			return err
		}
		return s.addClaimEvents(tx, stamp, &view, events)
	})
	return view, fault(err, "add a claim")
}

// AddClaimEvents adds events to a claim, and does what they bring about: an item
// that came in is held for the claim, and a decision ends that hold. Another item
// than the one named, while nobody decided, lets that one go and holds the right
// one. A claim that is closed takes what it cost alone; anything else, or another item
// for one that was decided, is models.ErrStale, and so is one whose newest event is another than from; nil does not
// ask. A key in HoldID is that of the hold which the event may bring about.
func (s *Store) AddClaimEvents(ctx context.Context, stamp models.Stamp, claimID string, from *string, events []models.ClaimEvent) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		view := models.ClaimView{}
		if err := s.locked(tx).Where("id = ?", claimID).Take(&view.Claim).Error; err != nil {
			return err
		}
		if err := tx.Where("claim_id = ?", claimID).Order("id").Find(&view.Events).Error; err != nil {
			return err
		}
		if from != nil && *from != view.Newest() {
			return models.ErrStale
		}
		return s.addClaimEvents(tx, stamp, &view, events)
	})
	return fault(err, "add to claim %s", claimID)
}

func (s *Store) addClaimEvents(tx *gorm.DB, stamp models.Stamp, view *models.ClaimView, events []models.ClaimEvent) error {
	for _, e := range events {
		e.ID, e.ClaimID, e.MadeAt, e.MadeBy = orNewID(e.ID), view.ID, settled(e.MadeAt, stamp), orActor(e.MadeBy, stamp)
		if e.Answers == nil {
			e.Answers = []models.ClaimAnswer{}
		}
		if view.State == models.ClaimClosed && e.What != models.ClaimCost || e.What == models.ClaimLinked && view.ItemID != nil && (e.Reason == "" || view.State != models.ClaimOpen) {
			return fmt.Errorf("claim %s: %w", view.Number, models.ErrStale)
		}
		var err error
		hold := e.HoldID
		e.HoldID = nil
		switch e.What {
		case models.ClaimLinked:
			if view.ItemID != nil {
				err = s.liftFor(tx, stamp, *view, e, "other")
			}
			view.ItemID = e.ItemID
			if err == nil && view.Last(models.ClaimCameIn) != nil {
				err = s.takeIn(tx, stamp, *view, &e, hold)
			}
		case models.ClaimCameIn:
			err = s.takeIn(tx, stamp, *view, &e, hold)
		case models.ClaimAnswered:
			view.State = models.ClaimDecided
			err = s.letGo(tx, stamp, *view, e)
		case models.ClaimEnded:
			view.State = models.ClaimClosed
		}
		if err != nil {
			return err
		}
		if err := add(tx, &e); err != nil {
			return err
		}
		if err := enter(tx, stamp, e, ""); err != nil {
			return err
		}
		view.Events = append(view.Events, e)
	}
	return tx.Model(&models.Claim{}).Where("id = ?", view.ID).Updates(map[string]any{"item_id": view.ItemID, "state": view.State}).Error
}

// takeIn holds an item that had left the shop and lies in it again, until the
// claim is decided. One that was accepted before it came is worked on at once; a
// day that is only corrected brings it in no second time.
func (s *Store) takeIn(tx *gorm.DB, stamp models.Stamp, c models.ClaimView, e *models.ClaimEvent, key *string) error {
	if c.ItemID == nil {
		return nil
	}
	item, err := s.lockItem(tx, *c.ItemID)
	if err != nil || item.Kind == models.KindKit { // A box is not worked on: what came back of it has claims of its own.
		return err
	}
	before, err := s.stateBeforeHold(tx, item)
	if err != nil || !away(before) {
		return err
	}
	if decided := c.Last(models.ClaimAnswered); decided != nil {
		corrected := e.What == models.ClaimCameIn && c.Last(models.ClaimCameIn) != nil
		if corrected || !decided.Accepts() {
			return nil
		}
		return s.workOn(tx, stamp, item, before)
	}
	if open, err := openHoldsOf(tx, c); err != nil || len(open) > 0 {
		return err
	}
	h := models.Hold{ItemID: c.ItemID, Code: models.HoldOfClaim, Reason: c.Number}
	if key != nil {
		h.ID = *key
	}
	settleHold(&h, stamp)
	if err := s.raise(tx, stamp, &h); err != nil {
		return err
	}
	e.HoldID = &h.ID
	return nil
}

// openHoldsOf lists the keys of the holds that a claim raised and nobody lifted.
func openHoldsOf(tx *gorm.DB, c models.ClaimView) ([]string, error) {
	var raised, open []string
	for _, e := range c.Events {
		if e.HoldID != nil {
			raised = append(raised, *e.HoldID)
		}
	}
	if len(raised) == 0 {
		return nil, nil
	}
	err := tx.Model(&models.Hold{}).Where("id IN ? AND "+notLifted, raised).Order("id").Pluck("id", &open).Error
	return open, err
}

// acceptedUnder counts the claims on an item that were accepted with the item in
// the shop, the last step of it since a moment.
const acceptedUnder = `SELECT count(*) FROM claims AS c WHERE c.item_id = ?
	AND (SELECT e.decision FROM claim_events AS e WHERE e.claim_id = c.id AND e.what = 'decided' ORDER BY e.id DESC LIMIT 1) IN ('accept', 'goodwill')
	AND EXISTS (SELECT 1 FROM claim_events AS e WHERE e.claim_id = c.id AND e.what = 'came_in')
	AND EXISTS (SELECT 1 FROM claim_events AS e WHERE e.claim_id = c.id AND e.what IN ('linked', 'came_in', 'decided') AND e.made_at >= ?)`

// letGo ends the holds of a claim by its decision. An item that is here and was
// accepted is worked on: it is in process and no longer shipped. Any other goes
// back as it came.
func (s *Store) letGo(tx *gorm.DB, stamp models.Stamp, c models.ClaimView, decided models.ClaimEvent) error {
	code := "other"
	if decided.Decision == models.ClaimNoFault {
		code = "no_fault_found"
	}
	if err := s.liftFor(tx, stamp, c, decided, code); err != nil {
		return err
	}
	if c.ItemID == nil || c.Last(models.ClaimCameIn) == nil || !decided.Accepts() {
		return nil
	}
	item, err := s.lockItem(tx, *c.ItemID)
	if err != nil || item.Kind == models.KindKit {
		return err
	}
	before, err := s.stateBeforeHold(tx, item)
	if err != nil || !away(before) {
		return err
	}
	return s.workOn(tx, stamp, item, before)
}

// workOn puts an item in process that came in and was accepted; before is its state
// before any hold. One that is called back is held for that: a claim settles no
// recall. Under a hold, the end of the last one puts it in process (see backTo).
func (s *Store) workOn(tx *gorm.DB, stamp models.Stamp, item models.Item, before string) error {
	if before == models.StateRecalled {
		if held, err := s.holdForRecalls(tx, stamp, item); err != nil || held {
			return err
		}
	}
	if item.State == models.StateHeld {
		return nil
	}
	// It came in, and is not held for it: there is nothing left to decide.
	held, err := flow.After(item.State, flow.ReturnIn)
	if err != nil {
		return err
	}
	open, err := flow.After(held, flow.VoidHold)
	if err != nil {
		return err
	}
	return setState(tx, item.ID, open)
}

// liftFor ends the holds that a claim raised by what became of it, without those
// that an inspector lifted earlier.
func (s *Store) liftFor(tx *gorm.DB, stamp models.Stamp, c models.ClaimView, by models.ClaimEvent, code string) error {
	open, err := openHoldsOf(tx, c)
	if err != nil {
		return err
	}
	for _, hold := range open {
		if err := s.lift(tx, stamp, models.HoldLift{HoldID: hold, Code: code, Reason: c.Number, LiftedAt: settled(by.MadeAt, stamp), LiftedBy: orActor(by.MadeBy, stamp)}); err != nil {
			return err
		}
	}
	return nil
}

// EraseClaimWords removes what a customer said, with its salt; the claim keeps a
// hash that nothing can be recognised by.
func (s *Store) EraseClaimWords(ctx context.Context, stamp models.Stamp, claimID string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var c models.Claim
		if err := tx.Where("id = ?", claimID).Take(&c).Error; err != nil {
			return err
		}
		if err := changedOne(tx.Where("claim_id = ?", claimID).Delete(&models.ClaimWords{}), "words of a claim"); err != nil {
			return err
		}
		return enter(tx, stamp, c, "words_erased")
	})
	if err == nil {
		err = s.forget(ctx)
	}
	return fault(err, "erase the words of claim %s", claimID)
}

// Claim finds one by its key.
func (s *Store) Claim(ctx context.Context, id string) (models.ClaimView, error) {
	return s.oneClaim(ctx, "id = ?", id)
}

// ClaimNumbered finds one by its number.
func (s *Store) ClaimNumbered(ctx context.Context, number string) (models.ClaimView, error) {
	return s.oneClaim(ctx, "number = ?", number)
}

func (s *Store) oneClaim(ctx context.Context, where, key string) (models.ClaimView, error) {
	c, err := first[models.Claim](ctx, s, "find claim "+key, where, key)
	if err != nil {
		return models.ClaimView{}, err
	}
	views, err := s.claimViews(ctx, []models.Claim{c}, nil)
	if err != nil {
		return models.ClaimView{}, err
	}
	return views[0], nil
}

// OpenClaims lists those that are not closed: those that nobody has decided first,
// the oldest first.
func (s *Store) OpenClaims(ctx context.Context, limit int) ([]models.ClaimView, error) {
	var found []models.Claim
	err := s.read.WithContext(ctx).Where("state <> 'closed'").Order("state <> 'open', opened_at, id").Limit(limit).Find(&found).Error
	return s.claimViews(ctx, found, err)
}

// unanswered are the claims about which nobody has decided; its first half is the
// condition of the index that finds them, claims_open.
const unanswered = "state <> 'closed' AND state = '" + models.ClaimOpen + "'"

// CountUnansweredClaims counts the claims about which nobody has decided.
func (s *Store) CountUnansweredClaims(ctx context.Context) (int, error) {
	var n int64
	err := s.read.WithContext(ctx).Model(&models.Claim{}).Where(unanswered).Count(&n).Error
	return int(n), fault(err, "count claims without an answer")
}

// NewestClaims lists the last ones, the newest first.
func (s *Store) NewestClaims(ctx context.Context, limit int) ([]models.ClaimView, error) {
	var found []models.Claim
	err := s.read.WithContext(ctx).Order("opened_at DESC, id DESC").Limit(limit).Find(&found).Error
	return s.claimViews(ctx, found, err)
}

// ClaimsOf lists the claims on some items, the newest first.
func (s *Store) ClaimsOf(ctx context.Context, itemIDs ...string) ([]models.ClaimView, error) {
	found, err := list[models.Claim](ctx, s, "list claims", "opened_at DESC, id DESC", "item_id IN ?", itemIDs)
	return s.claimViews(ctx, found, err)
}

// ClaimsNaming lists the claims that name a motor or an order by this text, in
// whichever case it was typed, the newest first.
func (s *Store) ClaimsNaming(ctx context.Context, text string, limit int) ([]models.ClaimView, error) {
	var found []models.Claim
	err := s.read.WithContext(ctx).Raw("SELECT * FROM claims WHERE motor_number IN @texts AND motor_number <> '' UNION SELECT * FROM claims WHERE order_ref IN @texts AND order_ref <> '' ORDER BY opened_at DESC, id DESC LIMIT @most",
		map[string]any{"texts": []string{text, strings.ToUpper(text), strings.ToLower(text)}, "most": limit}).Scan(&found).Error
	return s.claimViews(ctx, found, err)
}

func (s *Store) claimViews(ctx context.Context, found []models.Claim, err error) ([]models.ClaimView, error) {
	if err != nil || len(found) == 0 {
		return nil, fault(err, "list claims")
	}
	ids, views, at := make([]string, len(found)), make([]models.ClaimView, len(found)), make(map[string]int, len(found))
	for i, c := range found {
		ids[i], views[i].Claim, at[c.ID] = c.ID, c, i
	}
	said, err := list[models.ClaimWords](ctx, s, "list the words of claims", "claim_id", "claim_id IN ?", ids)
	if err != nil {
		return nil, err
	}
	for i := range said {
		views[at[said[i].ClaimID]].Words = &said[i]
	}
	events, err := list[models.ClaimEvent](ctx, s, "list what became of claims", "id", "claim_id IN ?", ids)
	for _, e := range events {
		v := &views[at[e.ClaimID]]
		v.Events = append(v.Events, e)
	}
	return views, err
}
