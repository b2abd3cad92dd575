package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// Families lists them by name.
func (s *Store) Families(ctx context.Context) ([]models.Family, error) {
	return list[models.Family](ctx, s, "list families", "name", everything)
}

// Family finds one by id.
func (s *Store) Family(ctx context.Context, id string) (models.Family, error) {
	return first[models.Family](ctx, s, "find family "+id, "id = ?", id)
}

// AddFamily adds a family with its first specification.
func (s *Store) AddFamily(ctx context.Context, stamp models.Stamp, f models.Family, spec models.Specification) error {
	f.CreatedAt, f.CreatedBy = settled(f.CreatedAt, stamp), orActor(f.CreatedBy, stamp)
	spec.FamilyID = f.ID
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := add(tx, &f); err != nil {
			return err
		}
		if err := enter(tx, stamp, f, ""); err != nil {
			return err
		}
		return addSpecification(tx, stamp, &spec)
	})
	return fault(err, "add family %s", f.Name)
}

// Products lists those of a family by name, or all.
func (s *Store) Products(ctx context.Context, familyID string) ([]models.Product, error) {
	if familyID == "" {
		return list[models.Product](ctx, s, "list products", "name", everything)
	}
	return list[models.Product](ctx, s, "list products", "name", "family_id = ?", familyID)
}

// Product finds one by id.
func (s *Store) Product(ctx context.Context, id string) (models.Product, error) {
	return first[models.Product](ctx, s, "find product "+id, "id = ?", id)
}

// ProductRevisions lists every revision of a product's form, newest first.
func (s *Store) ProductRevisions(ctx context.Context, productID string) ([]models.ProductRevision, error) {
	return list[models.ProductRevision](ctx, s, "list revisions of product "+productID, "revision DESC", "product_id = ?", productID)
}

// ProductForm gives the newest revision of a product's form.
func (s *Store) ProductForm(ctx context.Context, productID string) (models.ProductRevision, error) {
	return newest[models.ProductRevision](ctx, s, "find the form of product "+productID, "revision DESC", "product_id = ?", productID)
}

// AddProduct adds a product with the first revision of its form.
func (s *Store) AddProduct(ctx context.Context, stamp models.Stamp, p models.Product, r models.ProductRevision) error {
	p.CreatedAt, p.CreatedBy, p.Revision = settled(p.CreatedAt, stamp), orActor(p.CreatedBy, stamp), 1
	r.ProductID, r.Revision = p.ID, 1
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := add(tx, &p); err != nil {
			return err
		}
		if err := enter(tx, stamp, p, ""); err != nil {
			return err
		}
		return addRevision(tx, stamp, &r)
	})
	return fault(err, "add product %s", p.Name)
}

// AddProductRevision adds the next revision of a product's form;
// models.ErrConflict when another came first.
func (s *Store) AddProductRevision(ctx context.Context, stamp models.Stamp, r models.ProductRevision) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		done := tx.Model(&models.Product{}).Where("id = ? AND revision = ?", r.ProductID, r.Revision-1).Update("revision", r.Revision)
		if done.Error != nil {
			return done.Error
		}
		if done.RowsAffected == 0 {
			return fmt.Errorf("revision %d does not follow the newest: %w", r.Revision, models.ErrConflict)
		}
		return addRevision(tx, stamp, &r)
	})
	return fault(err, "revise product %s", r.ProductID)
}

func addRevision(tx *gorm.DB, stamp models.Stamp, r *models.ProductRevision) error {
	r.CreatedAt, r.CreatedBy = settled(r.CreatedAt, stamp), orActor(r.CreatedBy, stamp)
	if err := add(tx, r); err != nil {
		return err
	}
	return enter(tx, stamp, *r, "")
}
