package specify

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
)

// Service keeps families, products and specifications.
type Service struct {
	store Store
	now   func() time.Time
}

// New returns the service on its store; now is the clock.
func New(store Store, now func() time.Time) *Service { return &Service{store: store, now: now} }

// FamilyView is a family with what belongs to it.
type FamilyView struct {
	Family         models.Family
	Products       []models.Product
	Specifications []models.Specification // of the family and of its products, the newest first
	// InForce is the family's own specification in force.
	InForce models.Specification
}

// ProductView is a product with its forms.
type ProductView struct {
	Product   models.Product
	Family    models.Family
	Form      models.ProductRevision   // the newest
	Revisions []models.ProductRevision // the newest first
	// InForce is what its items are judged by; Own says whether it is the
	// product's own and not its family's.
	InForce models.Specification
	Own     bool
}

// Families lists every family.
func (s *Service) Families(ctx context.Context) ([]models.Family, error) {
	families, err := s.store.Families(ctx)
	if err != nil {
		return nil, fmt.Errorf("families: %w", err)
	}
	return families, nil
}

// Family returns one family with its products and specifications.
func (s *Service) Family(ctx context.Context, id string) (FamilyView, error) {
	family, err := s.store.Family(ctx, id)
	if err != nil {
		return FamilyView{}, fmt.Errorf("family %.40q: %w", id, err)
	}
	v := FamilyView{Family: family}
	if v.Products, err = s.store.Products(ctx, id); err != nil {
		return FamilyView{}, fmt.Errorf("products of %s: %w", family.Name, err)
	}
	if v.Specifications, err = s.store.Specifications(ctx, id); err != nil {
		return FamilyView{}, fmt.Errorf("specifications of %s: %w", family.Name, err)
	}
	if v.InForce, err = s.store.SpecificationInForce(ctx, id, nil); err != nil {
		return FamilyView{}, fmt.Errorf("specification of %s in force: %w", family.Name, err)
	}
	return v, nil
}

// Products lists the products of a family, of all families for "".
func (s *Service) Products(ctx context.Context, familyID string) ([]models.Product, error) {
	if err := s.known(ctx, familyID); err != nil {
		return nil, err
	}
	products, err := s.store.Products(ctx, familyID)
	if err != nil {
		return nil, fmt.Errorf("products: %w", err)
	}
	return products, nil
}

// known refuses a filter by a family that is not there: an empty list would
// say that it is, and has nothing.
func (s *Service) known(ctx context.Context, familyID string) error {
	if familyID == "" {
		return nil
	}
	if _, err := s.store.Family(ctx, familyID); err != nil {
		return fmt.Errorf("family %.40q: %w", familyID, err)
	}
	return nil
}

// Product returns one product with its forms.
func (s *Service) Product(ctx context.Context, id string) (ProductView, error) {
	product, err := s.store.Product(ctx, id)
	if err != nil {
		return ProductView{}, fmt.Errorf("product %.40q: %w", id, err)
	}
	v := ProductView{Product: product}
	if v.Family, err = s.store.Family(ctx, product.FamilyID); err != nil {
		return ProductView{}, fmt.Errorf("family of product %s: %w", product.Name, err)
	}
	if v.Revisions, err = s.store.ProductRevisions(ctx, id); err != nil {
		return ProductView{}, fmt.Errorf("forms of product %s: %w", product.Name, err)
	}
	if len(v.Revisions) == 0 {
		return ProductView{}, fmt.Errorf("form of product %s: %w", product.Name, models.ErrNotFound)
	}
	v.Form = v.Revisions[0]
	if v.InForce, err = s.store.SpecificationInForce(ctx, product.FamilyID, &product.ID); err != nil {
		return ProductView{}, fmt.Errorf("specification of product %s: %w", product.Name, err)
	}
	v.Own = v.InForce.ProductID != nil
	return v, nil
}

// Specifications lists those of a family and of its products, the newest
// first; of all families for "".
func (s *Service) Specifications(ctx context.Context, familyID string) ([]models.Specification, error) {
	if err := s.known(ctx, familyID); err != nil {
		return nil, err
	}
	specifications, err := s.store.Specifications(ctx, familyID)
	if err != nil {
		return nil, fmt.Errorf("specifications: %w", err)
	}
	return specifications, nil
}

// Specification returns one revision.
func (s *Service) Specification(ctx context.Context, id string) (models.Specification, error) {
	specification, err := s.store.Specification(ctx, id)
	if err != nil {
		return models.Specification{}, fmt.Errorf("specification %.40q: %w", id, err)
	}
	return specification, nil
}

// InForce returns what items of a product are judged by; of a one-off item of
// the family when productID is nil.
func (s *Service) InForce(ctx context.Context, familyID string, productID *string) (models.Specification, error) {
	specification, err := s.store.SpecificationInForce(ctx, familyID, productID)
	if err != nil {
		return models.Specification{}, fmt.Errorf("specification in force: %w", err)
	}
	return specification, nil
}
