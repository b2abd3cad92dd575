package store

import (
	"context"

	"gorm.io/gorm"

	"tracewright/models"
)

// AddGaugeCheck adds a short check of an instrument.
func (s *Store) AddGaugeCheck(ctx context.Context, stamp models.Stamp, c models.GaugeCheck) (models.GaugeCheck, error) {
	c.ID, c.AddedAt, c.AddedBy = orNewID(c.ID), settled(c.AddedAt, stamp), orActor(c.AddedBy, stamp)
	return c, fault(addRecorded(ctx, s, stamp, &c), "add a check of instrument %s", c.InstrumentID)
}

// EndGaugeCheck ends a short check: it is no longer asked for. One that has ended
// is models.ErrNotFound.
func (s *Store) EndGaugeCheck(ctx context.Context, stamp models.Stamp, id string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var c models.GaugeCheck
		if err := tx.Where("id = ? AND ended_at IS NULL", id).Take(&c).Error; err != nil {
			return err
		}
		at, by := models.Moment(stamp.At), stamp.By.String()
		c.EndedAt, c.EndedBy = &at, &by
		done := tx.Model(&models.GaugeCheck{}).Where("id = ? AND ended_at IS NULL", id).Select("EndedAt", "EndedBy").Updates(&c)
		if err := changedOne(done, "check"); err != nil {
			return err
		}
		return enter(tx, stamp, c, "ended")
	})
	return fault(err, "end check %.40q", id)
}

// GaugeChecks lists the short checks of instruments, ended ones too, in the order
// in which they were added.
func (s *Store) GaugeChecks(ctx context.Context, instrumentIDs []string) ([]models.GaugeCheck, error) {
	if len(instrumentIDs) == 0 {
		return nil, nil
	}
	return list[models.GaugeCheck](ctx, s, "list checks of instruments", "added_at, id", "instrument_id IN ?", instrumentIDs)
}

// GaugeCheck finds one by its key.
func (s *Store) GaugeCheck(ctx context.Context, id string) (models.GaugeCheck, error) {
	return first[models.GaugeCheck](ctx, s, "find a check of an instrument", "id = ?", id)
}

// AddGaugeReading adds one short check as it was done; models.ErrConflict when its
// key is known.
func (s *Store) AddGaugeReading(ctx context.Context, stamp models.Stamp, r models.GaugeReading) error {
	r.ReadAt, r.ReadBy = settled(r.ReadAt, stamp), orActor(r.ReadBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &r), "add a reading of a check")
}

// GaugeReading finds one by its key.
func (s *Store) GaugeReading(ctx context.Context, id string) (models.GaugeReading, error) {
	return first[models.GaugeReading](ctx, s, "find a reading of a check", "id = ?", id)
}

// GaugeReadings gives the newest readings of a check, oldest first.
func (s *Store) GaugeReadings(ctx context.Context, checkID string, limit int) ([]models.GaugeReading, error) {
	var found []models.GaugeReading
	err := s.read.WithContext(ctx).Where("check_id = ?", checkID).Order("read_at DESC, id DESC").Limit(limit).Find(&found).Error
	for i, j := 0, len(found)-1; i < j; i, j = i+1, j-1 {
		found[i], found[j] = found[j], found[i]
	}
	return found, fault(err, "list readings of a check")
}

// LastGaugeReadings gives the newest reading of each of some checks that was done.
func (s *Store) LastGaugeReadings(ctx context.Context, checkIDs []string) ([]models.GaugeReading, error) {
	if len(checkIDs) == 0 {
		return nil, nil
	}
	newest := "id = (SELECT r.id FROM gauge_readings r WHERE r.check_id = gauge_checks.id ORDER BY r.read_at DESC, r.id DESC LIMIT 1)"
	var found []models.GaugeReading
	err := s.read.WithContext(ctx).Raw("SELECT gauge_readings.* FROM gauge_checks JOIN gauge_readings ON gauge_readings."+newest+" WHERE gauge_checks.id IN ?", checkIDs).Scan(&found).Error
	return found, fault(err, "list the last readings of checks")
}

// LastGoodReading gives the last reading of a check before a moment that was
// good, or models.ErrNotFound.
func (s *Store) LastGoodReading(ctx context.Context, before models.GaugeReading) (models.GaugeReading, error) {
	var found models.GaugeReading
	err := s.read.WithContext(ctx).Where("check_id = ? AND read_at < ? AND good", before.CheckID, before.ReadAt).Order("read_at DESC, id DESC").Take(&found).Error
	return found, fault(err, "find the last good reading of a check")
}
