package gauges

import (
	"cmp"
	"context"
	"fmt"

	"tracewright/models"
)

// JudgeAnyway lets readings of an instrument that is out of use be judged, with
// the note that says why; without a note they are judged no longer. It is the
// owner's to say, and ends when the instrument comes back into use. from is the digest of
// the instrument that it was said of, models.ErrStale when that was changed or calibrated
// meanwhile; nil does not ask.
func (s *Service) JudgeAnyway(ctx context.Context, actor models.Actor, code string, from *string, note string) error {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return err
	}
	code = v.Instrument.Code
	if actor.Role != models.Owner {
		return fmt.Errorf("judge readings of %s: %w", code, models.ErrForbidden)
	}
	_, err = s.store.ChangeInstrument(ctx, models.NewStamp(actor, s.now()), v.Instrument.ID, func(i *models.Instrument) error {
		if digest, err := models.Digest(*i); err != nil || from != nil && *from != digest {
			return cmp.Or(err, models.ErrStale)
		}
		invalid := &models.InvalidError{}
		i.OutNote = text(invalid, "out_note", note, longestNote, false)
		if i.State != models.InstrumentOut {
			invalid.Add("out_note", "instrument_not_out", "instrument", code)
		}
		return invalid.OrNil()
	})
	if err != nil {
		return fmt.Errorf("judge readings of %s: %w", code, err)
	}
	return nil
}
