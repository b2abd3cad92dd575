package store

import (
	"context"
	"errors"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
)

// DeviceUse finds the turn of a device; models.ErrNotFound where none was given.
func (s *Store) DeviceUse(ctx context.Context, deviceID string) (models.DeviceUse, error) {
	return first[models.DeviceUse](ctx, s, "find the turn of a device", "device_id = ?", deviceID)
}

// TurnDevice lets next change the turn of a device, as one step; a device without
// one has the zero turn. Where next says no, it stays as it was.
func (s *Store) TurnDevice(ctx context.Context, deviceID string, next func(*models.DeviceUse) bool) error {
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		// Two first turns at once wait for each other at the device's row.
		var d models.Device
		if err := s.locked(tx).Where("id = ?", deviceID).Take(&d).Error; err != nil {
			return err
		}
		use := models.DeviceUse{DeviceID: deviceID}
		if err := tx.Where("device_id = ?", deviceID).Take(&use).Error; err != nil && !errors.Is(err, gorm.ErrRecordNotFound) {
			return err
		}
		if !next(&use) {
			return nil
		}
		use.TurnedAt = models.Moment(use.TurnedAt)
		return tx.Clauses(clause.OnConflict{UpdateAll: true}).Create(&use).Error
	})
	return fault(err, "turn device %s", deviceID)
}

// SeeDevice writes down that a device's key was used, and gives what was known of
// its uses since a moment before that, the last first. Older ones are cleared.
func (s *Store) SeeDevice(ctx context.Context, seen models.DeviceSighting, since time.Time) ([]models.DeviceSighting, error) {
	seen.FirstAt, seen.SeenAt = models.Moment(seen.SeenAt), models.Moment(seen.SeenAt)
	var before []models.DeviceSighting
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if err := tx.Where("device_id = ? AND seen_at < ?", seen.DeviceID, models.Moment(since.Add(-keepSightings))).Delete(&models.DeviceSighting{}).Error; err != nil {
			return err
		}
		if err := tx.Where("device_id = ? AND seen_at >= ?", seen.DeviceID, models.Moment(since)).Order("seen_at DESC").Limit(mostSightings).Find(&before).Error; err != nil {
			return err
		}
		err := tx.Clauses(clause.OnConflict{
			Columns: []clause.Column{{Name: "device_id"}, {Name: "agent"}, {Name: "address"}}, DoUpdates: clause.AssignmentColumns([]string{"seen_at"}),
		}).Create(&seen).Error
		if err != nil || len(before) < mostSightings {
			return err
		}
		// Whoever holds the key may call themselves another with each request.
		return tx.Exec(`DELETE FROM device_sightings WHERE device_id = ? AND seen_at < (SELECT MIN(seen_at) FROM
			(SELECT seen_at FROM device_sightings WHERE device_id = ? ORDER BY seen_at DESC LIMIT ?) AS newest)`, seen.DeviceID, seen.DeviceID, mostSightings).Error
	})
	return before, fault(err, "see device %s", seen.DeviceID)
}

const (
	keepSightings = 90 * 24 * time.Hour
	mostSightings = 50
	mostDoubts    = 10 // open at once, of one kind about one device
)

// DeviceSightings counts what is known of where a device's key was used.
func (s *Store) DeviceSightings(ctx context.Context, deviceID string) (int64, error) {
	var n int64
	err := s.read.WithContext(ctx).Model(&models.DeviceSighting{}).Where("device_id = ?", deviceID).Count(&n).Error
	return n, fault(err, "count the uses of device %s", deviceID)
}

// LastSightings are where each device was last seen, by its key.
func (s *Store) LastSightings(ctx context.Context) (map[string]models.DeviceSighting, error) {
	found, err := list[models.DeviceSighting](ctx, s, "list where devices were seen", "seen_at", everything)
	last := make(map[string]models.DeviceSighting, len(found))
	for _, x := range found {
		last[x.DeviceID] = x
	}
	return last, err
}

// AddDoubt writes down a doubt about a device's key; the same one again is counted
// until somebody settles it, and so is one more than so many under ever new names.
func (s *Store) AddDoubt(ctx context.Context, d models.DeviceDoubt) error {
	at := models.Moment(d.SeenAt)
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		done := tx.Model(&models.DeviceDoubt{}).Where("device_id = ? AND kind = ? AND agent = ? AND address = ? AND settled_at IS NULL", d.DeviceID, d.Kind, d.Agent, d.Address).
			Updates(map[string]any{"seen_at": at, "times": gorm.Expr("times + 1")})
		if done.Error != nil || done.RowsAffected > 0 {
			return done.Error
		}
		var open []models.DeviceDoubt
		if err := tx.Where("device_id = ? AND kind = ? AND settled_at IS NULL", d.DeviceID, d.Kind).Order("first_at DESC, id DESC").Limit(mostDoubts).Find(&open).Error; err != nil {
			return err
		}
		if len(open) == mostDoubts {
			return tx.Model(&models.DeviceDoubt{}).Where("id = ?", open[0].ID).Updates(map[string]any{"seen_at": at, "times": gorm.Expr("times + 1")}).Error
		}
		d.ID, d.FirstAt, d.SeenAt, d.Times = orNewID(d.ID), at, at, 1
		return tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&d).Error // Of two at once one is enough.
	})
	return fault(err, "doubt device %s", d.DeviceID)
}

// OpenDoubts lists those that nobody settled about devices that still open
// something, the oldest first.
func (s *Store) OpenDoubts(ctx context.Context, limit int) ([]models.DeviceDoubt, error) {
	var found []models.DeviceDoubt
	err := s.read.WithContext(ctx).Where("settled_at IS NULL AND device_id IN (SELECT id FROM devices WHERE revoked_at IS NULL)").Order("first_at, id").Limit(limit).Find(&found).Error
	return found, fault(err, "list doubts about devices")
}

// SettleDoubts ends those of a device: somebody said that it was theirs.
func (s *Store) SettleDoubts(ctx context.Context, stamp models.Stamp, deviceID string) error {
	done := s.write.WithContext(ctx).Model(&models.DeviceDoubt{}).Where("device_id = ? AND settled_at IS NULL", deviceID).
		Updates(map[string]any{"settled_at": models.Moment(stamp.At), "settled_by": stamp.By.String()})
	return fault(done.Error, "settle the doubts about device %s", deviceID)
}
