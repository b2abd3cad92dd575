package specify

import (
	"context"

	"tracewright/models"
)

// Store is what this package keeps its records in. A single record that is not
// there is [models.ErrNotFound]; none of many is an empty list. Each Add writes
// its trail entries in the same transaction.
type Store interface {
	Families(ctx context.Context) ([]models.Family, error)
	Family(ctx context.Context, id string) (models.Family, error)
	// Products lists the products of a family, of all families for "".
	Products(ctx context.Context, familyID string) ([]models.Product, error)
	Product(ctx context.Context, id string) (models.Product, error)
	// ProductRevisions lists the forms of a product, the newest first.
	ProductRevisions(ctx context.Context, productID string) ([]models.ProductRevision, error)
	// Specifications lists those of a family and of its products, the newest
	// first; of all families for "".
	Specifications(ctx context.Context, familyID string) ([]models.Specification, error)
	Specification(ctx context.Context, id string) (models.Specification, error)
	// Budget returns one revision of an uncertainty budget.
	Budget(ctx context.Context, id string) (models.UncertaintyBudget, error)
	// SpecificationInForce returns the newest specification of the product, or
	// of its family where the product has none of its own.
	SpecificationInForce(ctx context.Context, familyID string, productID *string) (models.Specification, error)

	// AddFamily adds a family with its first specification; ErrConflict when
	// the name is taken.
	AddFamily(ctx context.Context, s models.Stamp, family models.Family, first models.Specification) error
	// AddProduct adds a product with its first form; ErrConflict when its
	// family has one of that name.
	AddProduct(ctx context.Context, s models.Stamp, product models.Product, first models.ProductRevision) error
	// AddProductRevision and AddSpecification return ErrConflict when the
	// number of the revision is taken.
	AddProductRevision(ctx context.Context, s models.Stamp, revision models.ProductRevision) error
	AddSpecification(ctx context.Context, s models.Stamp, specification models.Specification) error
}
