package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// InstrumentStates lists the states that instruments were put into, each one's oldest
// first.
func (s *Store) InstrumentStates(ctx context.Context, instrumentIDs []string) ([]models.InstrumentState, error) {
	if len(instrumentIDs) == 0 {
		return nil, nil
	}
	return list[models.InstrumentState](ctx, s, "list states of instruments", "instrument_id, n", "instrument_id IN ?", instrumentIDs)
}

// statesOf are those of one instrument that its change has locked, oldest first.
func statesOf(tx *gorm.DB, instrumentID string) (states []models.InstrumentState, err error) {
	err = tx.Where("instrument_id = ?", instrumentID).Order("n").Find(&states).Error
	return states, err
}

// keepState adds the state that an instrument carries now, unless it is the newest of
// those it was in. It counts from a moment, but not from before that one: then from
// now.
func keepState(tx *gorm.DB, stamp models.Stamp, before []models.InstrumentState, i models.Instrument, from time.Time) error {
	next := models.InstrumentState{InstrumentID: i.ID, N: len(before) + 1, State: i.State, OutNote: i.OutNote, Since: models.Moment(from), EnteredAt: models.Moment(stamp.At), EnteredBy: stamp.By.String()}
	if n := len(before); n > 0 {
		last := before[n-1]
		if last.State == next.State && last.OutNote == next.OutNote {
			return nil
		}
		if next.Since.Before(last.Since) {
			next.Since = next.EnteredAt
		}
	}
	return add(tx, &next)
}
