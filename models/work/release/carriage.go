package release

import (
	"context"
	"fmt"

	"tracewright/models"
	"tracewright/models/trade/pack"
)

// blockByCarriage holds back a lithium pack whose design has no transport test
// summary on record. UN Manual of Tests and Criteria 38.3: an assembly of tested
// cells needs tests of its own. The maker and the carrier say what holds.
func (s *Service) blockByCarriage(ctx context.Context, c *candidate) error {
	form, err := s.packNow(ctx, c.item)
	if err != nil {
		return err
	}
	if form != nil && !pack.Chemistry(form.Chemistry).LeadAcid() && form.TestSummary == "" {
		c.block("no_test_summary")
	}
	return nil
}

// asCarried is the form that an item was measured by, with the test summary that
// its design has now: it may have come after the readings.
func (s *Service) asCarried(ctx context.Context, item models.Item, measured *models.PackForm) (*models.PackForm, error) {
	now, err := s.packNow(ctx, item)
	if err != nil || measured == nil || now == nil {
		return measured, err
	}
	form := *measured
	form.TestSummary = now.TestSummary
	return &form, nil
}

// packNow is the form of a pack's product in force, nil for what is no pack.
func (s *Service) packNow(ctx context.Context, item models.Item) (*models.PackForm, error) {
	if item.Kind != models.KindPack {
		return nil, nil
	}
	product, err := s.store.Product(ctx, *item.ProductID)
	if err != nil {
		return nil, fmt.Errorf("product of %s: %w", item.Name(), err)
	}
	revision, err := s.store.ProductRevision(ctx, product.ID, product.Revision)
	if err != nil {
		return nil, fmt.Errorf("form of product %s: %w", product.Name, err)
	}
	return revision.Form.Pack, nil
}
