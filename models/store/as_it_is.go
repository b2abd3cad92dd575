package store

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// asItIs is what becomes of a state that an item takes up again, after a hold or a
// shipment that did not go: what was taken apart since its readings is in process
// until it is read, also where it had come back to be held, one that was read since and passes is conforming, and what has no
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
// the one that it went from, or what became of it meanwhile. Of what went before that
// was kept, an open nonconformity tells it, otherwise the certificate.
func beforeShipment(tx *gorm.DB, item models.Item, shippedAt time.Time) (string, error) {
	var from *string
	if err := tx.Table("items").Select("left_from").Where("id = ?", item.ID).Scan(&from).Error; err != nil {
		return "", err
	}
	if from == nil {
		open, err := openNonconformity(tx, item.ID)
		if err != nil {
			return "", err
		}
		if open != nil {
			return open.State, nil
		}
		certificate, err := inForceOf(tx, item.ID)
		if err != nil || certificate == nil {
			return models.StateInProcess, err
		}
		return asItIs(tx, item.ID, models.StateReleased)
	}
	before := models.Hold{ItemID: &item.ID, StateBefore: *from, RaisedAt: shippedAt}
	if *from == models.StateHeld {
		held, err := lastHold(tx, item.ID, shippedAt)
		if err != nil || held == nil {
			return *from, err
		}
		before = *held
	}
	state, err := goesOnAs(tx, before)
	if err != nil || !away(state) {
		if err == nil {
			state, err = asItIs(tx, item.ID, state)
		}
		return state, err
	}
	return models.StateInProcess, nil // It is here, and nothing holds it.
}

// lastHold is the newest hold on an item before a moment, once none that holds it is
// open; nil while one is.
func lastHold(tx *gorm.DB, itemID string, before time.Time) (*models.Hold, error) {
	var open int64
	if err := tx.Model(&models.Hold{}).Where("item_id = ? AND "+notLifted+" AND "+notDisposed, itemID).Count(&open).Error; err != nil || open > 0 {
		return nil, err
	}
	var last []models.Hold
	err := tx.Where("item_id = ? AND raised_at <= ?", itemID, models.Moment(before)).Order("raised_at DESC, id DESC").Limit(1).Find(&last).Error
	if err != nil || len(last) == 0 {
		return nil, err
	}
	return &last[0], nil
}
