package truing

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/wheel"
)

// causes are what may have happened at a stop, and whether the readings then
// hold as they are: where the turns were at fault they do, and a new list comes
// from them; where the readings were, they are taken again first.
var causes = map[string]bool{
	wheel.AsListed:       true,
	wheel.WrongSide:      true,
	wheel.WrongDirection: true,
	wheel.ShiftedSpoke:   true,
	wheel.ReadSwapped:    false,
	wheel.OtherFlank:     false,
	wheel.SlippedGauge:   false,
	wheel.StartedAside:   false,
	notSure:              false,
}

// Answer records what a person says happened at a stop. Where the readings hold
// a new list can be made from them; otherwise the sheet says what to read
// again, and another answer may still be given. An inspection that has no stop
// is models.ErrNotFound; one whose stop is settled is refused, and so is one that
// is not the wheel's newest: its answer would speak for readings it knows
// nothing of.
func (s *Service) Answer(ctx context.Context, actor models.Actor, inspectionID, cause string) (Sheet, error) {
	settles, known := causes[cause]
	if !known {
		return Sheet{}, models.Invalid("cause", "unknown_cause", "typed", models.Shortened(cause))
	}
	of, err := s.subject(ctx, inspectionID)
	if err != nil {
		return Sheet{}, fmt.Errorf("stop at inspection %s: %w", inspectionID, err)
	}
	stop, err := s.store.TurnStop(ctx, inspectionID)
	if err != nil {
		return Sheet{}, err
	}
	if !stop.Round.Stop {
		return Sheet{}, fmt.Errorf("stop at inspection %s: %w", inspectionID, models.ErrNotFound)
	}
	if stop.Answer == nil || stop.Answer.Cause != cause {
		if stop.Answer != nil && stop.Answer.Settles {
			return Sheet{}, refused("stop_settled", "cause", stop.Answer.Cause)
		}
		stamp := models.NewStamp(actor, s.now())
		answer := models.TurnAnswer{ID: models.NewID(), InspectionID: inspectionID, Cause: cause, Settles: settles, AnsweredBy: actor.PersonID, AnsweredAt: stamp.At}
		err := s.store.AddTurnAnswer(ctx, stamp, answer)
		if errors.Is(err, models.ErrConflict) {
			return Sheet{}, refused("read_again_since") // The wheel stands at another comparison.
		}
		if err != nil {
			return Sheet{}, fmt.Errorf("stop at inspection %s: %w", inspectionID, err)
		}
	}
	if settles {
		sheet, _, err := s.Make(ctx, actor, inspectionID, 0)
		return sheet, err
	}
	sheet, _, err := s.sheet(ctx, of)
	return sheet, err
}

// readAgain says what to read again after an answer that does not settle a
// stop.
func readAgain(cause string, stop *Stop) models.Remark {
	switch cause {
	case wheel.ReadSwapped:
		return models.NewRemark("read_sides_again")
	case wheel.OtherFlank:
		return models.NewRemark("read_lateral_again")
	case wheel.SlippedGauge:
		return models.NewRemark("read_run_out_again")
	case wheel.StartedAside:
		return models.NewRemark("read_all_again")
	}
	var spokes []string
	if stop != nil {
		for _, w := range stop.Ways {
			for _, j := range w.Read {
				spokes = append(spokes, fmt.Sprint(j+1))
			}
		}
	}
	return models.NewRemark("read_spokes_again", "spokes", strings.Join(spokes, ", "))
}
