package shipping

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
)

// sinceRead says that a pack is on a charger, or was charged or emptied since it was
// last read: a refresh is a charge and then a reading, which may be a provisional
// one.
func (s *Service) sinceRead(ctx context.Context, pack models.Item) ([]models.Remark, error) {
	charges, err := s.store.ChargesReaching(ctx, pack.ID)
	if err != nil || len(charges) == 0 {
		return nil, err
	}
	read, err := s.lastRead(ctx, pack.ID)
	if err != nil {
		return nil, fmt.Errorf("when %s was last read: %w", pack.Name(), err)
	}
	switch what, discharge := models.SinceRead(charges, pack.ID, read); what {
	case models.NothingSinceRead:
		return nil, nil
	case models.EmptiedSince:
		return []models.Remark{models.NewRemark(what, "date", discharge.End.EndedAt.In(s.zone(ctx)).Format(time.DateOnly))}, nil
	default:
		return []models.Remark{models.NewRemark(what)}, nil
	}
}

// lastRead is when the newest readings that stand and passed, if provisionally,
// were first taken; zero for none.
func (s *Service) lastRead(ctx context.Context, itemID string) (time.Time, error) {
	list, err := s.store.InspectionsOf(ctx, itemID)
	if err != nil {
		return time.Time{}, err
	}
	var last time.Time
	for _, i := range list {
		if i.SupersededBy != nil || i.Verdict != models.VerdictPass && i.Verdict != models.VerdictProvisional {
			continue
		}
		read, err := models.FirstRead(ctx, i, s.store.Inspection)
		if err != nil {
			return time.Time{}, err
		}
		if read.After(last) {
			last = read
		}
	}
	return last, nil
}
