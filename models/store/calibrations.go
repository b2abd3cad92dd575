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

// keepCalibration adds the calibration that an instrument carries now, unless
// it is the newest already.
func keepCalibration(tx *gorm.DB, stamp models.Stamp, i models.Instrument) error {
	var last models.Calibration
	if err := tx.Where("instrument_id = ?", i.ID).Order("n DESC").Limit(1).Find(&last).Error; err != nil {
		return err
	}
	if last.N > 0 && last.CalibratedOn == i.CalibratedOn && last.DueOn == i.DueOn && last.CertificateNumber == i.CertificateNumber {
		return nil
	}
	return add(tx, &models.Calibration{InstrumentID: i.ID, N: last.N + 1, CalibratedOn: i.CalibratedOn, DueOn: i.DueOn, CertificateNumber: i.CertificateNumber,
		EnteredAt: models.Moment(stamp.At), EnteredBy: stamp.By.String()})
}
