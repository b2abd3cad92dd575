package capture

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// correction finds the inspection that a submission replaces, nil when it
// replaces none. Everyone corrects their own; inspector and owner also that of
// others.
func (s *Service) correction(ctx context.Context, a arrival) (*models.Inspection, error) {
	if a.sub.Corrects == "" {
		return nil, nil
	}
	replaced, err := s.store.Inspection(ctx, a.sub.Corrects)
	switch {
	case errors.Is(err, models.ErrNotFound):
		return nil, models.Invalid("corrects", "unknown_inspection", "inspection", models.Shortened(a.sub.Corrects))
	case err != nil:
		return nil, fmt.Errorf("find the inspection to correct: %w", err)
	case replaced.SupersededBy != nil && *replaced.SupersededBy != a.sub.ID:
		return nil, models.Invalid("corrects", "corrected_already", "by", *replaced.SupersededBy)
	case replaced.PersonID != a.actor.PersonID && !a.actor.May(models.ActPlace):
		return nil, fmt.Errorf("correct the inspection of another person: %w", models.ErrForbidden)
	}
	return &replaced, nil
}
