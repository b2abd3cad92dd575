package release

import (
	"context"
	"fmt"

	"tracewright/models"
)

// GateFor is [Service.Gate] for one person: what keeps the item back and, where
// nothing does, what keeps this person from releasing it.
func (s *Service) GateFor(ctx context.Context, actor models.Actor, itemID string) ([]models.Remark, error) {
	item, err := s.item(ctx, itemID)
	if err != nil {
		return nil, err
	}
	c, err := s.candidate(ctx, item, false)
	if err != nil || len(c.blocking) > 0 {
		return c.blocking, err
	}
	return s.notOwn(ctx, actor, c)
}

// notOwn says who measured what an operator may not release: an operator
// releases own work only. What blocks it has been asked before, so that there is
// an inspection.
func (s *Service) notOwn(ctx context.Context, actor models.Actor, c candidate) ([]models.Remark, error) {
	measured := c.judged.Inspection.PersonID
	if actor.Role != models.Operator || measured == actor.PersonID {
		return nil, nil
	}
	person, err := s.store.Person(ctx, measured)
	if err != nil {
		return nil, fmt.Errorf("who measured %s: %w", c.item.Name(), err)
	}
	return []models.Remark{models.NewRemark("not_own_work", "person", person.Name)}, nil
}
