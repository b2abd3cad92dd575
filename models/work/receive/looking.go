package receive

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
)

// toLook is what a material's plan still asks to be looked at of a lot, nil for
// nothing: where no inspection of it was finished, nobody has decided about it, and
// some of it is left. Its size is 0 where that hangs on pieces that nobody counted. A
// bin is looked at by its lots.
func toLook(m models.Material, l Line, came int, finished bool) *Sample {
	if !l.mayWait(m) || finished {
		return nil
	}
	sample, err := Work(m.Plan, came)
	if err != nil { // A plan of all of an unknown number, or one that the tables do not have.
		return &Sample{Plan: m.Plan, Lot: came}
	}
	return &sample
}

// mayWait says whether a lot is to be looked at unless an inspection was finished.
func (l Line) mayWait(m models.Material) bool {
	return m.Plan.Kind != models.PlanNone && !l.Bin && l.Decision == nil && !l.UsedUp()
}

// lookAhead notes at each line what is still to be looked at.
func (s *Service) lookAhead(ctx context.Context, lines []Line, totals map[string]models.LotTotals) error {
	list, err := s.store.Materials(ctx)
	if err != nil {
		return fmt.Errorf("materials: %w", err)
	}
	materials := map[string]models.Material{}
	for _, m := range list {
		materials[m.Code] = m
	}
	var waiting []string
	for _, l := range lines {
		if l.mayWait(materials[l.Material]) {
			waiting = append(waiting, l.ID)
		}
	}
	finished, err := s.store.LotsLookedAt(ctx, waiting)
	if err != nil {
		return err
	}
	for i, l := range lines {
		lines[i].Look = toLook(materials[l.Material], l, totals[l.ID].Came(l.Lot), slices.Contains(finished, l.ID))
	}
	return nil
}

// ToLook gives those of some lots, named by their codes, that are still to be looked at.
func (s *Service) ToLook(ctx context.Context, codes []string) ([]Line, error) {
	lots, err := s.store.LotsAlike(ctx, codes)
	if err != nil {
		return nil, err
	}
	lines, _, err := s.lines(ctx, lots)
	return slices.DeleteFunc(lines, func(l Line) bool { return l.Look == nil }), err
}
