package capture

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
)

// blocksOverdue says whether the shop lets no reading of an overdue gauge be
// judged.
func (s *Service) blocksOverdue(ctx context.Context) (bool, error) {
	values, err := s.store.Settings(ctx)
	if err != nil {
		return false, fmt.Errorf("settings of the shop: %w", err)
	}
	return values[models.SettingBlockOverdue] == "yes", nil
}

// blockOverdue marks the sets of overdue gauges where the shop wants it: they are
// kept, and nothing is judged by them.
func (s *Service) blockOverdue(ctx context.Context, sets []parsed) error {
	overdue := func(p parsed) bool { return hasRemark(p.remarks, "instrument_overdue") }
	if !slices.ContainsFunc(sets, overdue) {
		return nil
	}
	block, err := s.blocksOverdue(ctx)
	if err != nil || !block {
		return err
	}
	for i := range sets {
		if overdue(sets[i]) {
			sets[i].remarks = append(sets[i].remarks, models.NewRemark("overdue_blocked", "instrument", sets[i].instrument.Code))
		}
	}
	return nil
}
