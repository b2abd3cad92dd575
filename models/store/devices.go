package store

import (
	"context"

	"gorm.io/gorm"

	"tracewright/models"
)

// Devices lists the enrolled tablets by name, revoked ones too.
func (s *Store) Devices(ctx context.Context) ([]models.Device, error) {
	return list[models.Device](ctx, s, "list devices", "name, id", everything)
}

// Device finds one by id.
func (s *Store) Device(ctx context.Context, id string) (models.Device, error) {
	return first[models.Device](ctx, s, "find device "+id, "id = ?", id)
}

// DeviceByKeyHash finds a device by the hash of its key, revoked or not.
func (s *Store) DeviceByKeyHash(ctx context.Context, hash string) (models.Device, error) {
	return first[models.Device](ctx, s, "find a device by its key", "key_hash = ?", hash)
}

// AddDevice enrols a tablet.
func (s *Store) AddDevice(ctx context.Context, stamp models.Stamp, d models.Device) error {
	d.EnrolledAt, d.EnrolledBy = settled(d.EnrolledAt, stamp), orActor(d.EnrolledBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &d), "enrol device %s", d.Name)
}

// RevokeDevice ends a device's key, and the sessions at it; a second time changes
// nothing.
func (s *Store) RevokeDevice(ctx context.Context, stamp models.Stamp, id string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var d models.Device
		if err := s.locked(tx).Where("id = ?", id).Take(&d).Error; err != nil {
			return err
		}
		if d.RevokedAt != nil {
			return nil
		}
		at, by := models.Moment(stamp.At), stamp.By.String()
		d.RevokedAt, d.RevokedBy = &at, &by
		if err := tx.Model(&models.Device{}).Where("id = ?", id).Select("RevokedAt", "RevokedBy").Updates(&d).Error; err != nil {
			return err
		}
		if err := tx.Where("device_id = ?", id).Delete(&models.Session{}).Error; err != nil {
			return err
		}
		return enter(tx, stamp, d, "revoked")
	})
	return fault(err, "revoke device %s", id)
}
