package truing

import (
	"context"
	"fmt"

	"tracewright/models"
)

// Tick records that a turn of a list was made, or with turned false that it was
// taken back; who and when go on record, and what was undone stays there. The
// same again changes nothing. Once a turn of one list is made the other is
// closed until it is taken back: their turns must not be added up. A list
// whose readings came is closed for good.
func (s *Service) Tick(ctx context.Context, actor models.Actor, inspectionID, which string, n int, turned bool) (Sheet, error) {
	of, err := s.subject(ctx, inspectionID)
	if err != nil {
		return Sheet{}, fmt.Errorf("turn list of inspection %s: %w", inspectionID, err)
	}
	list, err := s.store.TurnList(ctx, inspectionID)
	if err != nil {
		return Sheet{}, err
	}
	plan, err := decoded(list)
	if err != nil {
		return Sheet{}, err
	}
	turns, err := plan.named(which)
	if err != nil {
		return Sheet{}, err
	}
	if n < 1 || n > len(turns.Turns) {
		return Sheet{}, fmt.Errorf("turn %d of a list of %d: %w", n, len(turns.Turns), models.ErrNotFound)
	}
	stamp := models.NewStamp(actor, s.now())
	err = s.store.AddTurnDone(ctx, stamp, list, func(done []models.TurnDone, closed bool) (*models.TurnDone, error) {
		stands := standing(done)
		for _, d := range stands {
			if d.List != which {
				return nil, refused("other_list_begun", "list", d.List)
			}
		}
		already := false
		for _, d := range stands {
			already = already || d.N == n
		}
		if already == turned {
			return nil, nil
		}
		if closed {
			return nil, refused("turns_closed")
		}
		return &models.TurnDone{ID: models.NewID(), List: which, N: n, Turned: turned, DoneBy: actor.PersonID, DoneAt: stamp.At}, nil
	})
	if err != nil {
		return Sheet{}, fmt.Errorf("turn %d of inspection %s: %w", n, inspectionID, err)
	}
	sheet, _, err := s.sheet(ctx, of)
	return sheet, err
}

// named finds one of the two lists.
func (p *Plan) named(which string) (List, error) {
	switch which {
	case models.TurnsShort:
		return p.Short, nil
	case models.TurnsAll:
		return p.All, nil
	}
	return List{}, fmt.Errorf("a turn list named %.20q: %w", which, models.ErrNotFound)
}

func refused(code string, values ...string) error {
	return &models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, values...)}}
}
