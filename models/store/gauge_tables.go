package store

import (
	"context"

	"gorm.io/gorm"

	"tracewright/models"
)

// GaugeTables lists every table of some instruments, newest first for each
// spoke.
func (s *Store) GaugeTables(ctx context.Context, instrumentIDs []string) ([]models.GaugeTable, error) {
	if len(instrumentIDs) == 0 {
		return nil, nil
	}
	return list[models.GaugeTable](ctx, s, "list gauge tables", "instrument_id, spoke_type, n DESC", "instrument_id IN ?", instrumentIDs)
}

// AddGaugeTable adds the next table of an instrument for a spoke and returns it
// with its number. models.ErrConflict says that somebody added one meanwhile.
func (s *Store) AddGaugeTable(ctx context.Context, stamp models.Stamp, t models.GaugeTable) (models.GaugeTable, error) {
	t.EnteredAt, t.EnteredBy = settled(t.EnteredAt, stamp), orActor(t.EnteredBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var last models.GaugeTable
		if err := tx.Where("instrument_id = ? AND spoke_type = ?", t.InstrumentID, t.SpokeType).Order("n DESC").Limit(1).Find(&last).Error; err != nil {
			return err
		}
		t.N = last.N + 1
		if err := add(tx, &t); err != nil {
			return err
		}
		return enter(tx, stamp, t, "")
	})
	return t, fault(err, "add a table of instrument %s", t.InstrumentID)
}
