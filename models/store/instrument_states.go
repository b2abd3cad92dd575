package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// tracedSince finds the reverse traces that were made at a moment or later. When the failure
// was does not matter: what was held against the failed instrument is suspect beyond it.
const tracedSince = "SELECT CAST(id AS text) FROM gauge_traces WHERE made_at >= ? ORDER BY made_at, id"

// HowGaugesStood gives what was known of instruments at any time, and which reverse traces
// were made since readings of a moment.
func (s *Store) HowGaugesStood(ctx context.Context, instrumentIDs []string, measured time.Time) (known models.GaugesStood, err error) {
	if len(instrumentIDs) == 0 {
		return known, nil
	}
	ids := []any{instrumentIDs}
	err = s.ask(ctx,
		s.question("SELECT instrument_id, n, calibrated_on, due_on, certificate_number, reported, entered_at, entered_by FROM calibrations WHERE instrument_id IN ? ORDER BY instrument_id, n", ids, func(scan func(...any) error) error {
			var c models.Calibration
			err := scan(&c.InstrumentID, &c.N, &c.CalibratedOn, &c.DueOn, &c.CertificateNumber, &c.Reported, &c.EnteredAt, &c.EnteredBy)
			c.EnteredAt = c.EnteredAt.UTC()
			known.Calibrations = append(known.Calibrations, c)
			return err
		}),
		s.question("SELECT instrument_id, n, state, out_note, since, entered_at, entered_by FROM instrument_states WHERE instrument_id IN ? ORDER BY instrument_id, n", ids, func(scan func(...any) error) error {
			var x models.InstrumentState
			err := scan(&x.InstrumentID, &x.N, &x.State, &x.OutNote, &x.Since, &x.EnteredAt, &x.EnteredBy)
			x.Since, x.EnteredAt = x.Since.UTC(), x.EnteredAt.UTC()
			known.States = append(known.States, x)
			return err
		}),
		s.question(tracedSince, []any{models.Moment(measured)}, func(scan func(...any) error) error {
			var id string
			err := scan(&id)
			known.Traced = append(known.Traced, id)
			return err
		}))
	return known, fault(err, "list how instruments stood")
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
