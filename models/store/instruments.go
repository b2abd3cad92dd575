package store

import (
	"context"

	"gorm.io/gorm"

	"tracewright/models"
)

// Instruments lists them by code, retired ones too.
func (s *Store) Instruments(ctx context.Context) ([]models.Instrument, error) {
	return list[models.Instrument](ctx, s, "list instruments", "code", everything)
}

// InstrumentsByCode gives those that exist of the codes asked for; of a code that none
// has, the one that alone has it but for capitals.
func (s *Store) InstrumentsByCode(ctx context.Context, codes []string) ([]models.Instrument, error) {
	if len(codes) == 0 {
		return nil, nil
	}
	found, err := list[models.Instrument](ctx, s, "find instruments by code", "code", "code IN ?", codes)
	if err != nil {
		return nil, err
	}
	return withAlike(found, codes, func(left []string) ([]models.Instrument, error) {
		return list[models.Instrument](ctx, s, "find instruments of like codes", "code", "lower(code) IN ?", inSmall(left))
	})
}

// AddInstrument adds one; models.ErrConflict when its code is taken.
func (s *Store) AddInstrument(ctx context.Context, stamp models.Stamp, i models.Instrument) error {
	i.CreatedAt, i.CreatedBy = settled(i.CreatedAt, stamp), orActor(i.CreatedBy, stamp)
	i.ChangedAt = models.Moment(stamp.At)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := add(tx, &i); err != nil {
			return err
		}
		if _, err := addCalibration(tx, stamp, noted(i)); err != nil {
			return err
		}
		if err := keepState(tx, stamp, nil, i, i.CreatedAt); err != nil {
			return err
		}
		return enter(tx, stamp, i, "")
	})
	return fault(err, "add instrument %s", i.Code)
}

// ChangeInstrument lets change decide about an instrument as it stands now, and writes
// what it leaves; code and kind stay. Of two such changes at the same moment the second
// sees the first. An error of change leaves all as it was.
func (s *Store) ChangeInstrument(ctx context.Context, stamp models.Stamp, id string, change func(*models.Instrument) error) (models.Instrument, error) {
	var i models.Instrument
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.lockedNamed(tx).Where("id = ?", id).Take(&i).Error; err != nil {
			return err
		}
		states, err := statesOf(tx, id)
		if err != nil {
			return err
		}
		before := noted(i)
		if err := change(&i); err != nil {
			return err
		}
		if noted(i) != before {
			if _, err := addCalibration(tx, stamp, noted(i)); err != nil {
				return err
			}
		}
		if err := keepState(tx, stamp, states, i, stamp.At); err != nil {
			return err
		}
		return updateInstrument(tx, stamp, &i)
	})
	return i, fault(err, "change instrument %s", id)
}

func updateInstrument(tx *gorm.DB, stamp models.Stamp, i *models.Instrument) error {
	i.ChangedAt = models.Moment(stamp.At)
	done := tx.Model(&models.Instrument{}).Where("id = ?", i.ID).Select("Name", "Place", "Unit", "RangeLow", "RangeHigh", "Resolution", "Uncertainty",
		"CalibratedOn", "DueOn", "CertificateNumber", "State", "OutNote", "ChangedAt").Updates(i)
	if err := changedOne(done, "instrument"); err != nil {
		return err
	}
	return enterStored[models.Instrument](tx, stamp, i.ID, "")
}
