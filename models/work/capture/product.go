package capture

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
)

// Try judges submissions as if each were of a new item of one product, and
// stores nothing: what is wrong with each, nil where it could be recorded. A list
// of blocks is tried whole before the first of them is taken in.
func (s *Service) Try(ctx context.Context, actor models.Actor, productID string, subs []models.Submission) ([]error, error) {
	var all models.Submission
	for _, sub := range subs {
		all.Sets = append(all.Sets, sub.Sets...)
	}
	t, err := s.instance(ctx, productID, gauges(all))
	if err != nil {
		return nil, err
	}
	problems := make([]error, len(subs))
	for i, sub := range subs {
		a := arrival{actor: actor, sub: sub, received: models.Moment(s.now())}
		if problems[i] = checkEnvelope(sub, a.received); problems[i] != nil {
			continue
		}
		_, err := s.make(ctx, a, t)
		var invalid *models.InvalidError
		if err != nil && !errors.As(err, &invalid) {
			return nil, err
		}
		problems[i] = err
	}
	return problems, nil
}

// instance is the target that a new item of a product would be.
func (s *Service) instance(ctx context.Context, productID string, instruments []string) (target, error) {
	t := target{tried: true}
	product, err := s.store.Product(ctx, productID)
	if err != nil {
		return target{}, fmt.Errorf("product %.40q: %w", productID, err)
	}
	t.Product = &product
	if t.Family, err = s.store.Family(ctx, product.FamilyID); err != nil {
		return target{}, fmt.Errorf("family of product %s: %w", product.Name, err)
	}
	if t.Form, err = s.store.ProductRevision(ctx, product.ID, product.Revision); err != nil {
		return target{}, fmt.Errorf("form of product %s: %w", product.Name, err)
	}
	if t.Specification, err = s.store.SpecificationInForce(ctx, product.FamilyID, &product.ID); err != nil {
		return target{}, fmt.Errorf("specification of product %s: %w", product.Name, err)
	}
	if len(instruments) > 0 {
		if t.Instruments, err = s.store.InstrumentsByCode(ctx, instruments); err != nil {
			return target{}, fmt.Errorf("instruments for product %s: %w", product.Name, err)
		}
	}
	t.Item = models.Item{ID: models.NewID(), Kind: t.Family.Kind, FamilyID: &product.FamilyID, ProductID: &product.ID, State: models.StateInProcess}
	return aim(t)
}

// RecordOne is Record for the use case that takes lists in, which has looked at
// when they were read: the inspection as stored, and whether it was new.
func (s *Service) RecordOne(ctx context.Context, actor models.Actor, sub models.Submission, sentAt time.Time) (models.Inspection, bool, error) {
	out, err := s.arrive(ctx, arrival{actor: actor, sub: sub, received: models.Moment(s.now()), dated: true}, sentAt)
	if err == nil && !out.Placed {
		err = fmt.Errorf("inspection %s has no item: %w", sub.ID, models.ErrNotFound)
	}
	return out.Inspection, out.Created, err
}
