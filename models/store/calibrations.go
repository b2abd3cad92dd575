package store

import (
	"context"

	"gorm.io/gorm"

	"tracewright/models"
)

// CalibrationsOf lists the calibrations of instruments, each one's oldest
// first.
func (s *Store) CalibrationsOf(ctx context.Context, instrumentIDs []string) ([]models.Calibration, error) {
	if len(instrumentIDs) == 0 {
		return nil, nil
	}
	return list[models.Calibration](ctx, s, "list calibrations", "instrument_id, n", "instrument_id IN ?", instrumentIDs)
}

// noted is the calibration that an instrument carries.
func noted(i models.Instrument) models.Calibration {
	return models.Calibration{InstrumentID: i.ID, CalibratedOn: i.CalibratedOn, DueOn: i.DueOn, CertificateNumber: i.CertificateNumber}
}

// addCalibration numbers a calibration and adds it.
func addCalibration(tx *gorm.DB, stamp models.Stamp, c models.Calibration) (models.Calibration, error) {
	var last models.Calibration
	if err := tx.Where("instrument_id = ?", c.InstrumentID).Order("n DESC").Limit(1).Find(&last).Error; err != nil {
		return c, err
	}
	c.N, c.EnteredAt, c.EnteredBy = last.N+1, models.Moment(stamp.At), stamp.By.String()
	return c, add(tx, &c)
}
