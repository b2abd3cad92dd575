package store

import (
	"context"
	"errors"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// Specifications lists every revision of a family's and its products'
// specifications: the family's own first, newest revision first; of all
// families, in their order, for "".
func (s *Store) Specifications(ctx context.Context, familyID string) ([]models.Specification, error) {
	if familyID == "" {
		return list[models.Specification](ctx, s, "list specifications", "family_id, product_id IS NOT NULL, product_id, revision DESC", everything)
	}
	return list[models.Specification](ctx, s, "list specifications", "product_id IS NOT NULL, product_id, revision DESC", "family_id = ?", familyID)
}

// SpecificationInForce gives the newest of the product, or of its family where
// the product has none of its own.
func (s *Store) SpecificationInForce(ctx context.Context, familyID string, productID *string) (models.Specification, error) {
	if productID != nil {
		own, err := newest[models.Specification](ctx, s, inForceFor, "revision DESC", "product_id = ?", *productID)
		if !errors.Is(err, models.ErrNotFound) {
			return own, err
		}
	}
	return newest[models.Specification](ctx, s, inForceFor, "revision DESC", "product_id IS NULL AND family_id = ?", familyID)
}

const inForceFor = "find the specification in force"

// SpecificationForStock gives the newest revision of a specification that is newer than
// the one named and applies to stock, whatever came after it; where the one named is the
// family's, also of the product's own. None is models.ErrNotFound.
func (s *Store) SpecificationForStock(ctx context.Context, than, familyID string, productID *string) (models.Specification, error) {
	const newer = `family_id = ? AND applies_to_stock AND EXISTS (SELECT 1 FROM specifications AS than WHERE than.id = ? AND (than.product_id IS NULL AND specifications.product_id = ?
		OR CASE WHEN than.product_id IS NULL THEN specifications.product_id IS NULL ELSE specifications.product_id = than.product_id END AND specifications.revision > than.revision))`
	return newest[models.Specification](ctx, s, "find a specification that applies to stock", "product_id IS NULL, revision DESC", newer, familyID, than, productID)
}

// AddSpecification adds the next revision; models.ErrConflict when another
// came first.
func (s *Store) AddSpecification(ctx context.Context, stamp models.Stamp, spec models.Specification) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		newest := tx.Model(&models.Specification{}).Where("family_id = ? AND product_id IS NULL", spec.FamilyID)
		if spec.ProductID != nil {
			newest = tx.Model(&models.Specification{}).Where("product_id = ?", *spec.ProductID)
		}
		var revision int
		if err := newest.Select("coalesce(max(revision), 0)").Scan(&revision).Error; err != nil {
			return err
		}
		if spec.Revision != revision+1 {
			return fmt.Errorf("revision %d does not follow %d: %w", spec.Revision, revision, models.ErrConflict)
		}
		return addSpecification(tx, stamp, &spec)
	})
	return fault(err, "add specification revision %d", spec.Revision)
}

func addSpecification(tx *gorm.DB, stamp models.Stamp, spec *models.Specification) error {
	spec.CreatedAt, spec.CreatedBy = settled(spec.CreatedAt, stamp), orActor(spec.CreatedBy, stamp)
	if err := add(tx, spec); err != nil {
		return err
	}
	return enter(tx, stamp, *spec, "")
}
