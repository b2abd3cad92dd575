package specify

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// ownLimits gives a product a specification of its own where the one in force
// does not fit its form; see [kinds.Kind.Own]. Its reason says why.
func (s *Service) ownLimits(ctx context.Context, stamp models.Stamp, family models.Family, product models.Product, form, before models.ProductForm) error {
	kind, ok := kinds.Named(family.Kind)
	if !ok {
		return nil
	}
	inForce, err := s.store.SpecificationInForce(ctx, family.ID, &product.ID)
	if errors.Is(err, models.ErrNotFound) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("limits of product %s: %w", product.Name, err)
	}
	first, err := s.firstOfFamily(ctx, family)
	if err != nil {
		return err
	}
	list, needed, err := kind.Own(form, before, inForce, first)
	if err != nil || !needed {
		return err
	}
	own := models.Specification{ID: models.NewID(), FamilyID: family.ID, ProductID: &product.ID, Revision: 1, Grade: inForce.Grade, Rule: inForce.Rule, GuardFactor: inForce.GuardFactor,
		Characteristics: list, Reason: "limits that follow from this product's own rim or blocks", CreatedAt: stamp.At, CreatedBy: stamp.By.String()}
	if inForce.ProductID != nil {
		own.Revision = inForce.Revision + 1
	} else {
		own.AppliesToStock = inForce.AppliesToStock // It stands for the family's here.
	}
	if err := s.store.AddSpecification(ctx, stamp, own); err != nil {
		return fmt.Errorf("limits of product %s: %w", product.Name, err)
	}
	return nil
}

// firstOfFamily is the specification that a family began with.
func (s *Service) firstOfFamily(ctx context.Context, family models.Family) (models.Specification, error) {
	all, err := s.store.Specifications(ctx, family.ID)
	if err != nil {
		return models.Specification{}, fmt.Errorf("specifications of %s: %w", family.Name, err)
	}
	i := slices.IndexFunc(all, func(x models.Specification) bool { return x.ProductID == nil && x.Revision == 1 })
	if i < 0 {
		return models.Specification{}, nil
	}
	return all[i], nil
}

// ownLimitsOfAll gives each product of a family that was judged by the family's
// specification one of its own, where the newest does not fit its form.
func (s *Service) ownLimitsOfAll(ctx context.Context, stamp models.Stamp, family models.Family) error {
	products, err := s.store.Products(ctx, family.ID)
	if err != nil {
		return fmt.Errorf("products of %s: %w", family.Name, err)
	}
	for _, p := range products {
		inForce, err := s.store.SpecificationInForce(ctx, family.ID, &p.ID)
		if err != nil {
			return fmt.Errorf("limits of product %s: %w", p.Name, err)
		}
		if inForce.ProductID != nil {
			continue
		}
		revisions, err := s.store.ProductRevisions(ctx, p.ID)
		if err != nil || len(revisions) == 0 {
			return fmt.Errorf("forms of product %s: %w", p.Name, err)
		}
		if err := s.ownLimits(ctx, stamp, family, p, revisions[0].Form, revisions[0].Form); err != nil {
			return err
		}
	}
	return nil
}

// notLooser refuses a limit of a pack that is looser than its block model's: that
// one is changed in the model's own form, where every pack of it is seen.
func (c *checker) notLooser(kind kinds.Kind, form models.ProductForm, grade string, list []models.Characteristic) error {
	for i, x := range list {
		for j, l := range x.Results {
			low, high, err := kind.LooserThanModel(form, grade, l)
			if err != nil {
				return fmt.Errorf("limits of the block model: %w", err)
			}
			field := fmt.Sprintf("characteristics[%d].results[%d]", i, j)
			if low != "" {
				c.Add(field+".low", "looser_than_model", "result", l.Result, "limit", low, "unit", l.Unit)
			}
			if high != "" {
				c.Add(field+".high", "looser_than_model", "result", l.Result, "limit", high, "unit", l.Unit)
			}
		}
	}
	return nil
}
