package store

import (
	"context"
	"time"

	"tracewright/models"
)

// placed is one row of the query below: an item with its family, its product,
// and the ids of the newest specifications.
type placed struct {
	models.Item
	FamilyKind       string
	FamilyName       string
	FamilyCreatedAt  *time.Time
	FamilyCreatedBy  string
	ProductName      *string
	ProductRevision  int
	ProductCreatedAt *time.Time
	ProductCreatedBy string
	OwnSpec          *string
	FamilySpec       *string
}

const placing = `SELECT i.*,
	coalesce(f.kind, '') AS family_kind, coalesce(f.name, '') AS family_name, f.created_at AS family_created_at, coalesce(f.created_by, '') AS family_created_by,
	p.name AS product_name, coalesce(p.revision, 0) AS product_revision, p.created_at AS product_created_at, coalesce(p.created_by, '') AS product_created_by,
	(SELECT s.id FROM specifications AS s WHERE s.product_id = i.product_id ORDER BY s.revision DESC LIMIT 1) AS own_spec,
	(SELECT s.id FROM specifications AS s WHERE s.family_id = i.family_id AND s.product_id IS NULL ORDER BY s.revision DESC LIMIT 1) AS family_spec
FROM items AS i LEFT JOIN families AS f ON f.id = i.family_id LEFT JOIN products AS p ON p.id = i.product_id
WHERE i.serial = ?`

// Place finds an item by its serial with everything that judges it: one query,
// and the form and the specification by their keys.
func (s *Store) Place(ctx context.Context, serial string) (models.Placement, error) {
	var rows []placed
	if err := s.read.WithContext(ctx).Raw(placing, serial).Scan(&rows).Error; err != nil {
		return models.Placement{}, fault(err, "find item %s", serial)
	}
	if len(rows) == 0 {
		return models.Placement{}, fault(models.ErrNotFound, "find item %s", serial)
	}
	row := rows[0]
	p := models.Placement{Item: row.Item}
	if row.FamilyID == nil {
		return p, nil
	}
	p.Family = models.Family{ID: *row.FamilyID, Kind: row.FamilyKind, Name: row.FamilyName, CreatedBy: row.FamilyCreatedBy}
	if row.FamilyCreatedAt != nil {
		p.Family.CreatedAt = *row.FamilyCreatedAt
	}
	var err error
	if row.ProductID != nil && row.ProductName != nil {
		product := models.Product{ID: *row.ProductID, FamilyID: *row.FamilyID, Name: *row.ProductName, Revision: row.ProductRevision, CreatedBy: row.ProductCreatedBy}
		if row.ProductCreatedAt != nil {
			product.CreatedAt = *row.ProductCreatedAt
		}
		p.Product = &product
		if p.Form, err = s.ProductRevision(ctx, product.ID, product.Revision); err != nil {
			return p, err
		}
	}
	spec := row.OwnSpec
	if spec == nil {
		spec = row.FamilySpec
	}
	if spec == nil {
		return p, fault(models.ErrNotFound, "find the specification of %s", serial)
	}
	p.Specification, err = s.Specification(ctx, *spec)
	return p, err
}
