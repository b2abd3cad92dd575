package trace

import (
	"context"

	"tracewright/models"
)

// Store is what this package reads. Every method returns [models.ErrNotFound]
// for a single record that is not there, and an empty list for none of many.
type Store interface {
	Item(ctx context.Context, id string) (models.Item, error)
	ItemBySerial(ctx context.Context, serial string) (models.Item, error)
	// ItemsByTail lists the items whose serial ends with these five characters,
	// newest first.
	ItemsByTail(ctx context.Context, tail string) ([]models.Item, error)
	// ItemsByMakerNumber lists the motors and blocks with this number, of
	// whatever supplier and model.
	ItemsByMakerNumber(ctx context.Context, number string) ([]models.Item, error)

	Family(ctx context.Context, id string) (models.Family, error)
	Product(ctx context.Context, id string) (models.Product, error)
	// ProductForm returns the newest revision of a product's form.
	ProductForm(ctx context.Context, productID string) (models.ProductRevision, error)

	// Parts lists what went into an item, in the order of role and place.
	Parts(ctx context.Context, itemID string) ([]models.FittedPart, error)
	// FittedInto lists where a part went.
	FittedInto(ctx context.Context, partID string) ([]models.FittedPart, error)
	Lot(ctx context.Context, id string) (models.Lot, error)

	// InspectionsOf lists every inspection of an item with its sets and
	// results, oldest first; replaced ones too.
	InspectionsOf(ctx context.Context, itemID string) ([]models.InspectionView, error)
	// HoldsOf lists every hold on an item and on the lots built into it.
	HoldsOf(ctx context.Context, itemID string) ([]models.Hold, error)
	HoldLifts(ctx context.Context, holdIDs []string) ([]models.HoldLift, error)
	// CertificatesOf lists every revision of every certificate of an item,
	// newest first.
	CertificatesOf(ctx context.Context, itemID string) ([]models.Certificate, error)
	CertificateChanges(ctx context.Context, certificateIDs []string) ([]models.CertificateChange, error)
	// TrailCount counts the trail entries that speak of a subject.
	TrailCount(ctx context.Context, subjects []string) (int, error)
	// PersonNames gives the names of people by their ids.
	PersonNames(ctx context.Context) (map[string]string, error)
}
