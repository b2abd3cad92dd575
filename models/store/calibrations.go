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
	last, err := lastCalibration(tx, i.ID)
	if err != nil {
		return err
	}
	if last.N > 0 && last.CalibratedOn == i.CalibratedOn && last.DueOn == i.DueOn && last.CertificateNumber == i.CertificateNumber {
		return nil
	}
	return addCalibration(tx, stamp, i, last.N+1)
}

func lastCalibration(tx *gorm.DB, instrumentID string) (last models.Calibration, err error) {
	err = tx.Where("instrument_id = ?", instrumentID).Order("n DESC").Limit(1).Find(&last).Error
	return last, err
}

func addCalibration(tx *gorm.DB, stamp models.Stamp, i models.Instrument, n int) error {
	return add(tx, &models.Calibration{InstrumentID: i.ID, N: n, CalibratedOn: i.CalibratedOn, DueOn: i.DueOn, CertificateNumber: i.CertificateNumber,
		EnteredAt: models.Moment(stamp.At), EnteredBy: stamp.By.String()})
}
