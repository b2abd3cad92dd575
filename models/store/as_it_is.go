package store

import (
	"context"
	"fmt"
	"slices"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// asItIs is what becomes of a state that an item takes up again, after a hold or a
// shipment that did not go: what was taken apart since its readings is in process
// until it is read, also where it had come back to be held and was taken apart here, one that was read since and passes is conforming, and what has no
// certificate in force any more is not released.
func asItIs(tx *gorm.DB, itemID, state string) (string, error) {
	if !away(state) && !flow.Allows(state, flow.Opened) {
		return state, nil
	}
	certificate, err := inForceOf(tx, itemID)
	if err != nil {
		return "", err
	}
	if state == models.StateReleased && certificate == nil {
		if state, err = withoutCertificate(tx, itemID); err != nil {
			return "", err
		}
	}
	var removed []models.PartRemoval
	if err := tx.Where("item_id = ?", itemID).Find(&removed).Error; err != nil || len(removed) == 0 {
		return state, err
	}
	if away(state) { // It went as it was: what is done to it while it is here makes it work again.
		sent, err := lastSent(tx, itemID, notVoided)
		if err != nil {
			return "", err
		}
		if sent != nil {
			removed = slices.DeleteFunc(removed, func(r models.PartRemoval) bool {
				return r.RemovedAt.Before(sent.ShippedAt) || r.RemovedAt.Equal(sent.ShippedAt) && r.ID < sent.ID
			})
		}
	}
	newest, err := newestJudged(tx, itemID)
	if err != nil {
		return "", err
	}
	read, err := readFirst(tx, newest)
	if err != nil {
		return "", err
	}
	if models.RebuiltSince(removed, read) {
		return models.StateInProcess, nil
	}
	if state != models.StateReleased {
		return state, nil
	}
	shown, err := inspection(tx, certificate.InspectionID)
	if err == nil {
		read, err = readFirst(tx, &shown)
	}
	if err != nil || !models.RebuiltSince(removed, read) {
		return state, err
	}
	if !passing(newest.Verdict) {
		return models.StateInProcess, nil
	}
	return models.StateConforming, nil
}

// newestJudged is the newest inspection of an item that stands and judges it; nil for
// none.
func newestJudged(tx *gorm.DB, itemID string) (*models.Inspection, error) {
	var newest []models.Inspection
	err := tx.Where("item_id = ? AND superseded_by IS NULL AND stage <> ?", itemID, models.BeforeRelief).Order("measured_at DESC, id DESC").Limit(1).Find(&newest).Error
	if err != nil || len(newest) == 0 {
		return nil, err
	}
	return &newest[0], nil
}

func inspection(tx *gorm.DB, id string) (i models.Inspection, err error) {
	err = tx.Where("id = ?", id).Take(&i).Error
	return i, err
}

// readFirst is models.FirstRead inside a transaction; zero for no inspection.
func readFirst(tx *gorm.DB, i *models.Inspection) (time.Time, error) {
	if i == nil {
		return time.Time{}, nil
	}
	return models.FirstRead(tx.Statement.Context, *i, func(_ context.Context, id string) (models.Inspection, error) { return inspection(tx, id) })
}

// withoutCertificate is what an item is that was released under the certificate which
// it had last: conceded where that names a concession, otherwise conforming.
func withoutCertificate(tx *gorm.DB, itemID string) (string, error) {
	var last []models.Certificate
	err := tx.Where("item_id = ?", itemID).Order("issued_at DESC, revision DESC").Limit(1).Find(&last).Error
	if err != nil || len(last) == 0 {
		return models.StateConforming, err
	}
	how, err := voidOf(last[0])
	if err != nil {
		return "", err
	}
	return flow.After(models.StateReleased, how)
}

// leave moves an item that goes out, and keeps the state that it goes from.
func leave(tx *gorm.DB, item models.Item, event flow.Event) error {
	next, err := flow.After(item.State, event)
	if err != nil {
		return fmt.Errorf("item %s: %w", item.ID, err)
	}
	return tx.Model(&models.Item{}).Where("id = ?", item.ID).Updates(map[string]any{"state": next, "left_from": item.State}).Error
}

// beforeShipment is the state that an item takes up again whose shipment did not go:
// the one that it went from, or what became of it meanwhile. What went under a hold that
// is open still is on hold.
func beforeShipment(tx *gorm.DB, item models.Item, sent models.Shipment) (string, error) {
	from, err := leftFrom(tx, item.ID)
	if err != nil {
		return "", err
	}
	if from == models.StateHeld {
		var open int64
		if err := tx.Model(&models.Hold{}).Where("item_id = ? AND "+notLifted+" AND "+notDisposed, item.ID).Count(&open).Error; err != nil || open > 0 {
			return from, err
		}
	}
	return whenItLeft(tx, item.ID, from, sent)
}

// leftFrom is the state that an item left from last, "" where that was not kept.
func leftFrom(tx *gorm.DB, itemID string) (string, error) {
	var from *string
	err := tx.Table("items").Select("left_from").Where("id = ?", itemID).Scan(&from).Error
	if err != nil || from == nil {
		return "", err
	}
	return *from, nil
}

// whenItLeft is what an item is by the state that a shipment took it from, and what
// became of it since. Where that was not kept, or was a hold that came later, an open
// nonconformity tells it, otherwise the certificate.
func whenItLeft(tx *gorm.DB, itemID, from string, sent models.Shipment) (string, error) {
	before := &models.Hold{ID: sent.ID, ItemID: &itemID, StateBefore: from, RaisedAt: sent.ShippedAt}
	if from == models.StateHeld {
		var err error
		if before, err = lastHold(tx, itemID, sent); err != nil {
			return "", err
		}
	}
	if before == nil || from == "" {
		open, err := openNonconformity(tx, itemID)
		if err != nil {
			return "", err
		}
		if open != nil {
			return open.State, nil
		}
		certificate, err := inForceOf(tx, itemID)
		if err != nil || certificate == nil {
			return models.StateInProcess, err
		}
		return asItIs(tx, itemID, models.StateReleased)
	}
	state, err := goesOnAs(tx, *before)
	if err == nil && away(state) {
		state = models.StateInProcess // It is here, and nothing holds it.
	}
	if err == nil {
		state, err = certifiedAway(tx, itemID, state, sent.ShippedAt)
	}
	if err != nil {
		return "", err
	}
	return asItIs(tx, itemID, state)
}

// certifiedAway is the state of what a shipment took: released where a certificate in
// force was issued while it counted as gone, otherwise as it was.
func certifiedAway(tx *gorm.DB, itemID, state string, shippedAt time.Time) (string, error) {
	if !slices.Contains([]string{models.StateInProcess, models.StateConforming, models.StateConceded}, state) {
		return state, nil
	}
	certificate, err := inForceOf(tx, itemID)
	if err != nil || certificate == nil || certificate.IssuedAt.Before(shippedAt) {
		return state, err
	}
	return models.StateReleased, nil
}

// lastHold is the newest hold on an item before a shipment, nil for none. In one
// millisecond the keys tell, which sort by the moment.
func lastHold(tx *gorm.DB, itemID string, sent models.Shipment) (*models.Hold, error) {
	var last []models.Hold
	at := models.Moment(sent.ShippedAt)
	err := tx.Where("item_id = ? AND (raised_at < ? OR raised_at = ? AND id < ?)", itemID, at, at, sent.ID).Order("raised_at DESC, id DESC").Limit(1).Find(&last).Error
	if err != nil || len(last) == 0 {
		return nil, err
	}
	return &last[0], nil
}

// neverWent finds the shipment by which the item of a hold was away when that was
// raised, where it is void: it did not go. Nil where it went.
func neverWent(tx *gorm.DB, h models.Hold) (*models.Shipment, error) {
	at := models.Moment(h.RaisedAt)
	last, err := lastSent(tx, *h.ItemID, "(shipped_at < ? OR shipped_at = ? AND id < ?)", at, at, h.ID)
	if err != nil || last == nil {
		return nil, err
	}
	var voids int64
	if err := tx.Model(&models.ShipmentVoid{}).Where("shipment_id = ?", last.ID).Count(&voids).Error; err != nil || voids == 0 {
		return nil, err
	}
	return last, nil
}

// lastSent is the newest shipment that an item went with, of those that a condition
// holds for; nil for none.
func lastSent(tx *gorm.DB, itemID, where string, values ...any) (*models.Shipment, error) {
	var last []models.Shipment
	err := tx.Where("id IN ("+wentWith+")", itemID, itemID).Where(where, values...).Order("shipped_at DESC, id DESC").Limit(1).Find(&last).Error
	if err != nil || len(last) == 0 {
		return nil, err
	}
	return &last[0], nil
}
