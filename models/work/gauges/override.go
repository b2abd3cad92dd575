package gauges

import (
	"context"
	"fmt"

	"tracewright/models"
)

// JudgeAnyway lets readings of an instrument that is out of use be judged, with
// the note that says why; without a note they are judged no longer. It is the
// owner's to say, and ends when the instrument comes back into use.
func (s *Service) JudgeAnyway(ctx context.Context, actor models.Actor, code, note string) error {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return err
	}
	code = v.Instrument.Code
	if actor.Role != models.Owner {
		return fmt.Errorf("judge readings of %s: %w", code, models.ErrForbidden)
	}
	_, err = s.store.ChangeInstrument(ctx, models.NewStamp(actor, s.now()), v.Instrument.ID, func(i *models.Instrument) error {
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
