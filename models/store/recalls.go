package store

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// AddRecall numbers a recall and writes it with its first run in one
// transaction with what it does: everything found that is here goes on hold,
// what is shipped is called back, and what is left of the lot goes into quarantine.
func (s *Store) AddRecall(ctx context.Context, stamp models.Stamp, year2 int, r models.Recall, run models.RecallRun) (models.Recall, error) {
	r.ID, r.MadeAt, r.MadeBy = orNewID(r.ID), settled(r.MadeAt, stamp), orActor(r.MadeBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var err error
		if r.Number, err = counted(tx, "recall_counters", "R", year2); err != nil {
			return err
		}
		if err := add(tx, &r); err != nil {
			return err
		}
		if err := enter(tx, stamp, r, ""); err != nil {
			return err
		}
		run.RecallID, run.N = r.ID, 1
		if err := s.runRecall(tx, stamp, r, run); err != nil || r.Scope.Lot == "" {
			return err
		}
		return s.stopLot(tx, stamp, r)
	})
	return r, fault(err, "add a recall")
}

// AddRecallRun asks a recall's question again and does the same to what is new.
// models.ErrConflict says that somebody ran it meanwhile, or that it has ended.
func (s *Store) AddRecallRun(ctx context.Context, stamp models.Stamp, r models.Recall, run models.RecallRun) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var ended int64
		if err := tx.Model(&models.RecallEnd{}).Where("recall_id = ?", r.ID).Count(&ended).Error; err != nil {
			return err
		}
		if ended > 0 {
			return fmt.Errorf("recall %s has ended: %w", r.Number, models.ErrConflict)
		}
		return s.runRecall(tx, stamp, r, run)
	})
	return fault(err, "run recall %s again", r.Number)
}

// runRecall locks what was found before it writes the answer: where each is, is told by
// what it is then, since it may have left, or come back, since it was looked for.
func (s *Store) runRecall(tx *gorm.DB, stamp models.Stamp, r models.Recall, run models.RecallRun) error {
	run.ID, run.RunAt, run.RunBy = orNewID(run.ID), settled(run.RunAt, stamp), orActor(run.RunBy, stamp)
	run.Items = append([]models.RecallItem{}, run.Items...)
	slices.SortFunc(run.Items, func(a, b models.RecallItem) int { return strings.Compare(a.Item, b.Item) })
	items := make([]models.Item, len(run.Items))
	for i := range run.Items {
		var err error
		if items[i], err = s.lockItem(tx, run.Items[i].Item); err != nil {
			return err
		}
		run.Items[i].Where = models.Whereabouts(items[i].State)
	}
	if err := add(tx, &run); err != nil {
		return err
	}
	if err := enter(tx, stamp, run, ""); err != nil {
		return err
	}
	for _, item := range items {
		var err error
		switch {
		case flow.Allows(item.State, flow.Recall):
			err = move(tx, item, flow.Recall)
		case !gone(item.State):
			err = s.holdFor(tx, stamp, r, item)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// stopLot puts the lot of a recall into quarantine, where nobody set it aside
// before. A later run leaves what an inspector decided about it since.
func (s *Store) stopLot(tx *gorm.DB, stamp models.Stamp, r models.Recall) error {
	var stopped []models.Lot
	if err := tx.Where("id = ? AND "+lotStopped("lots.id"), r.Scope.Lot).Find(&stopped).Error; err != nil || len(stopped) > 0 {
		return err
	}
	return s.addLotDecision(tx, stamp, models.LotDecision{ID: models.NewID(), LotID: r.Scope.Lot, Decision: models.LotQuarantine, Reason: r.Number})
}

// holdFor puts an item on hold for a recall, once.
func (s *Store) holdFor(tx *gorm.DB, stamp models.Stamp, r models.Recall, item models.Item) error {
	var open int64
	if err := tx.Model(&models.Hold{}).Where("item_id = ? AND code = ? AND reason = ? AND "+notLifted, item.ID, models.HoldRecall, r.Number).Count(&open).Error; err != nil || open > 0 {
		return err
	}
	h := models.Hold{ItemID: &item.ID, Code: models.HoldRecall, Reason: r.Number}
	settleHold(&h, stamp)
	return s.raise(tx, stamp, &h)
}

// holdForRecalls puts an item that was called back and is here after all on hold
// for every open recall that found it; false where there is none.
func (s *Store) holdForRecalls(tx *gorm.DB, stamp models.Stamp, item models.Item) (bool, error) {
	var open []models.Recall
	err := tx.Where(`NOT EXISTS (SELECT 1 FROM recall_ends WHERE recall_ends.recall_id = recalls.id)
		AND EXISTS (SELECT 1 FROM recall_runs WHERE recall_runs.recall_id = recalls.id AND CAST(recall_runs.items AS text) LIKE ?)`, "%"+item.ID+"%").Order("number").Find(&open).Error
	for _, r := range open {
		if err == nil {
			err = s.holdFor(tx, stamp, r, item)
		}
	}
	return len(open) > 0, err
}

// AddRecallResponse keeps what came of calling an item back.
func (s *Store) AddRecallResponse(ctx context.Context, stamp models.Stamp, r models.RecallResponse) error {
	r.ID, r.RespondedAt, r.RespondedBy = orNewID(r.ID), settled(r.RespondedAt, stamp), orActor(r.RespondedBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &r), "add a response to a recall")
}

// EndRecall closes a recall; one that is closed already is models.ErrConflict.
func (s *Store) EndRecall(ctx context.Context, stamp models.Stamp, e models.RecallEnd) error {
	e.EndedAt, e.EndedBy = settled(e.EndedAt, stamp), orActor(e.EndedBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &e), "end a recall")
}

// Recalls lists them with all that belongs to each, the newest first.
func (s *Store) Recalls(ctx context.Context) ([]models.RecallView, error) {
	return s.recallViews(ctx, everything)
}

// RecallsOf lists those that found an item in one of their answers, the newest first.
func (s *Store) RecallsOf(ctx context.Context, itemID string) ([]models.RecallView, error) {
	return s.recallViews(ctx, "id IN (SELECT recall_id FROM recall_runs WHERE CAST(items AS text) LIKE ?)", "%"+itemID+"%")
}

// Recall finds one by its key, without its answers.
func (s *Store) Recall(ctx context.Context, id string) (models.Recall, error) {
	return first[models.Recall](ctx, s, "find recall "+id, "id = ?", id)
}

// RecallNumbered finds one by its number.
func (s *Store) RecallNumbered(ctx context.Context, number string) (models.RecallView, error) {
	views, err := s.recallViews(ctx, "number = ?", number)
	if err == nil && len(views) == 0 {
		err = fmt.Errorf("recall %s: %w", number, models.ErrNotFound)
	}
	if err != nil {
		return models.RecallView{}, err
	}
	return views[0], nil
}

func (s *Store) recallViews(ctx context.Context, where string, args ...any) ([]models.RecallView, error) {
	found, err := list[models.Recall](ctx, s, "list recalls", "made_at DESC, number DESC", where, args...)
	if err != nil || len(found) == 0 {
		return nil, err
	}
	ids, views := make([]string, len(found)), make([]models.RecallView, len(found))
	for i, r := range found {
		ids[i], views[i].Recall = r.ID, r
	}
	runs, err := list[models.RecallRun](ctx, s, "list runs of recalls", "recall_id, n", "recall_id IN ?", ids)
	if err != nil {
		return nil, err
	}
	responses, err := list[models.RecallResponse](ctx, s, "list responses to recalls", "recall_id, responded_at, id", "recall_id IN ?", ids)
	if err != nil {
		return nil, err
	}
	ends, err := list[models.RecallEnd](ctx, s, "list ended recalls", "recall_id", "recall_id IN ?", ids)
	if err != nil {
		return nil, err
	}
	for i := range views {
		for _, r := range runs {
			if r.RecallID == views[i].ID {
				views[i].Runs = append(views[i].Runs, r)
			}
		}
		for _, r := range responses {
			if r.RecallID == views[i].ID {
				views[i].Responses = append(views[i].Responses, r)
			}
		}
		for k := range ends {
			if ends[k].RecallID == views[i].ID {
				views[i].End = &ends[k]
			}
		}
	}
	return views, nil
}

// LastShipments maps each item to the last shipment that it went with, by itself
// or in the kit that it lies in; void ones do not count.
func (s *Store) LastShipments(ctx context.Context, itemIDs []string) (map[string]models.Shipment, error) {
	if len(itemIDs) == 0 {
		return nil, nil
	}
	var went []struct{ ItemID, ShipmentID string }
	err := s.read.WithContext(ctx).Raw(`SELECT CAST(item_id AS text) AS item_id, CAST(shipment_id AS text) AS shipment_id FROM shipment_items WHERE item_id IN @items
	UNION SELECT CAST(p.item_id AS text), CAST(si.shipment_id AS text) FROM kit_packings AS p JOIN shipment_items AS si ON si.item_id = p.kit_id WHERE p.item_id IN @items AND p.added
		AND NOT EXISTS (SELECT 1 FROM kit_packings AS q WHERE q.item_id = p.item_id AND q.id > p.id)`, sql.Named("items", itemIDs)).Scan(&went).Error
	if err != nil {
		return nil, fault(err, "list what items went with")
	}
	items := map[string][]string{} // by shipment
	for _, w := range went {
		items[w.ShipmentID] = append(items[w.ShipmentID], w.ItemID)
	}
	shipments, err := list[models.Shipment](ctx, s, "list shipments by key", "shipped_at, id", "id IN ? AND "+notVoided, slices.Collect(maps.Keys(items)))
	last := map[string]models.Shipment{}
	for _, sh := range shipments { // The last one stays.
		for _, id := range items[sh.ID] {
			last[id] = sh
		}
	}
	return last, err
}

// ItemsMeasuredWith lists the keys of what a gauge measured after a moment (zero:
// from the beginning) up to and with another.
func (s *Store) ItemsMeasuredWith(ctx context.Context, instrumentID string, after, until time.Time) ([]string, error) {
	var ids []string
	err := s.read.WithContext(ctx).Raw("SELECT DISTINCT CAST(item_id AS text) FROM inspections WHERE id IN ("+usedIn+") ORDER BY 1", instrumentID, models.Moment(after), models.Moment(until)).Scan(&ids).Error
	return ids, fault(err, "list what instrument %s measured", instrumentID)
}

// PlacesMeasured lists the places that something was measured at from a moment on
// and before another; both zero: ever.
func (s *Store) PlacesMeasured(ctx context.Context, from, before time.Time) ([]string, error) {
	query := s.read.WithContext(ctx).Model(&models.Inspection{}).Distinct("place").Where("place <> ''").Order("place")
	if !before.IsZero() {
		query = query.Where("measured_at >= ? AND measured_at < ?", models.Moment(from), models.Moment(before))
	}
	var places []string
	err := query.Pluck("place", &places).Error
	return places, fault(err, "list places that something was measured at")
}

// ItemsThrough lists the keys of what was measured at one of the places or by a
// person, or both, from a moment on and before another. No place: at any.
func (s *Store) ItemsThrough(ctx context.Context, places []string, personID string, from, before time.Time) ([]string, error) {
	query := s.read.WithContext(ctx).Model(&models.Inspection{}).Distinct("CAST(item_id AS text) AS item_id").Where("measured_at >= ? AND measured_at < ?", models.Moment(from), models.Moment(before)).Order("item_id")
	if len(places) > 0 {
		query = query.Where("place IN ?", places)
	}
	if personID != "" {
		query = query.Where("person_id = ?", personID)
	}
	var ids []string
	err := query.Pluck("item_id", &ids).Error
	return ids, fault(err, "list what passed through a place")
}
