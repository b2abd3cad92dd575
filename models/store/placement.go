package store

import (
	"context"

	"tracewright/models"
)

// Place finds an item by its serial with everything that judges it.
func (s *Store) Place(ctx context.Context, serial string) (models.Placement, error) {
	item, err := s.ItemBySerial(ctx, serial)
	if err != nil {
		return models.Placement{}, err
	}
	p := models.Placement{Item: item}
	if item.FamilyID == nil {
		return p, nil
	}
	if p.Family, err = s.Family(ctx, *item.FamilyID); err != nil {
		return p, err
	}
	if item.ProductID != nil {
		product, err := s.Product(ctx, *item.ProductID)
		if err != nil {
			return p, err
		}
		p.Product = &product
		if p.Form, err = s.ProductRevision(ctx, product.ID, product.Revision); err != nil {
			return p, err
		}
	}
	p.Specification, err = s.SpecificationInForce(ctx, *item.FamilyID, item.ProductID)
	return p, err
}
