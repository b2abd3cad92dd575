package specify

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// OwnGrade marks a specification whose limits are the shop's own and follow no
// grade.
const OwnGrade = "own"

// SpecificationChange is the next specification of a family or, with ProductID,
// of one product.
type SpecificationChange struct {
	FamilyID  string
	ProductID *string
	// From is the revision that the change was made on: the newest of the same
	// owner, 0 where a product has none of its own yet.
	From            int
	Grade           string
	Rule            string // simple (the default) or guarded
	GuardFactor     string // of a guarded rule; empty is 1
	AppliesToStock  bool
	Characteristics []models.Characteristic
	Reason          string
}

// ReviseSpecification adds the next specification. A family's gives those of its
// products that it does not fit one of their own. When there is a newer one
// than From meanwhile the error is [models.ErrStale].
func (s *Service) ReviseSpecification(ctx context.Context, actor models.Actor, in SpecificationChange) (models.Specification, error) {
	family, err := s.familyNamed(ctx, in.FamilyID)
	if err != nil {
		return models.Specification{}, err
	}
	kind, known := kinds.Named(family.Kind)
	if !known {
		return models.Specification{}, fmt.Errorf("family %s is of the unknown kind %q", family.Name, family.Kind)
	}
	form, newest, err := s.owner(ctx, family, in.ProductID)
	if err != nil {
		return models.Specification{}, err
	}
	if in.From != newest { // Said before the problems: what stands now may have none.
		return models.Specification{}, fmt.Errorf("revise specification %d of %s, the newest is %d: %w", in.From, family.Name, newest, models.ErrStale)
	}
	c := &checker{}
	c.reason(&in.Reason)
	if in.Grade != OwnGrade && !slices.Contains(kind.Grades, in.Grade) {
		c.Add("grade", "unknown_grade", "grade", models.Shortened(in.Grade))
	}
	if err := c.characteristics(kind, form, in.Characteristics); err != nil {
		return models.Specification{}, err
	}
	if err := c.notLooser(kind, form, in.Grade, in.Characteristics); err != nil {
		return models.Specification{}, err
	}
	if err := s.budgets(ctx, c, family.ID, in.Characteristics); err != nil {
		return models.Specification{}, err
	}
	c.rules(&in)
	if err := c.OrNil(); err != nil {
		return models.Specification{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	next := models.Specification{ID: models.NewID(), FamilyID: family.ID, ProductID: in.ProductID, Revision: newest + 1, Grade: in.Grade, Rule: in.Rule,
		GuardFactor: in.GuardFactor, AppliesToStock: in.AppliesToStock, Characteristics: in.Characteristics, Reason: in.Reason,
		CreatedAt: stamp.At, CreatedBy: actor.String()}
	if err := s.store.AddSpecification(ctx, stamp, next); err != nil {
		if errors.Is(err, models.ErrConflict) {
			err = fmt.Errorf("%w: %w", models.ErrStale, err)
		}
		return models.Specification{}, fmt.Errorf("add specification %d of %s: %w", next.Revision, family.Name, err)
	}
	if in.ProductID == nil {
		if err := s.ownLimitsOfAll(ctx, stamp, family); err != nil {
			return models.Specification{}, err
		}
	}
	return next, nil
}

// owner returns the form to check a specification against and the newest
// revision of the same owner, 0 for none.
func (s *Service) owner(ctx context.Context, family models.Family, productID *string) (models.ProductForm, int, error) {
	var form models.ProductForm
	if productID != nil {
		v, err := s.Product(ctx, *productID)
		if errors.Is(err, models.ErrNotFound) || err == nil && v.Product.FamilyID != family.ID {
			return form, 0, models.Invalid("product", "unknown_product", "product", models.Shortened(*productID))
		}
		if err != nil {
			return form, 0, err
		}
		form = v.Form.Form
	}
	inForce, err := s.store.SpecificationInForce(ctx, family.ID, productID)
	if err != nil {
		return form, 0, fmt.Errorf("specification of %s in force: %w", family.Name, err)
	}
	if (productID == nil) != (inForce.ProductID == nil) {
		return form, 0, nil // The family's: the product has none of its own.
	}
	return form, inForce.Revision, nil
}
