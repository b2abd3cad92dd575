package trace

import (
	"context"

	"tracewright/models"
)

// Store is what this package reads. Every method returns [models.ErrNotFound]
// for a single record that is not there, and an empty list for none of many.
type Store interface {
	// Together has parts of one question read at the same time; none may write.
	Together(ctx context.Context, parts ...func(context.Context) error) error

	Item(ctx context.Context, id string) (models.Item, error)
	ItemBySerial(ctx context.Context, serial string) (models.Item, error)
	// ItemsByTail lists the items whose serial ends with these five characters,
	// newest first, at most limit.
	ItemsByTail(ctx context.Context, tail string, limit int) ([]models.Item, error)
	// ItemsByMakerNumber lists the motors and blocks with this number, capitals
	// aside, of whatever supplier and model: those written just so first.
	ItemsByMakerNumber(ctx context.Context, number string, limit int) ([]models.Item, error)

	// RollFor finds the printed roll that a counter of a letter and year lies on.
	RollFor(ctx context.Context, letter string, year, counter int) (models.SerialRoll, error)

	Family(ctx context.Context, id string) (models.Family, error)
	Product(ctx context.Context, id string) (models.Product, error)
	// ProductForm returns the newest revision of a product's form.
	ProductForm(ctx context.Context, productID string) (models.ProductRevision, error)

	// Parts lists what went into an item, in the order of role and place.
	Parts(ctx context.Context, itemID string) ([]models.PartView, error)
	// RemovalsOf lists what was taken out of an item, oldest first.
	RemovalsOf(ctx context.Context, itemID string) ([]models.PartRemoval, error)
	// FittedInto lists where a part went.
	FittedInto(ctx context.Context, partID string) ([]models.FittedPart, error)
	// OutputsOfLot and OutputsOfPart follow a lot or a part into everything that
	// holds it, SourcesOf an item back to everything in it, through all levels.
	OutputsOfLot(ctx context.Context, lotID string) (models.Traced, error)
	OutputsOfPart(ctx context.Context, partID string) (models.Traced, error)
	SourcesOf(ctx context.Context, itemID string) (models.Traced, error)
	// KitPackings lists what was put into a kit and taken out, oldest first.
	KitPackings(ctx context.Context, kitID string) ([]models.KitPacking, error)
	// LotsByCode gives those that exist of the codes asked for.
	LotByCode(ctx context.Context, code string) (models.Lot, error)
	// LotsByID and ItemsByID give those that exist of the keys asked for.
	LotsByID(ctx context.Context, ids []string) ([]models.Lot, error)
	ItemsByID(ctx context.Context, ids []string) ([]models.Item, error)

	// LotsMixedInto lists by bin the lots that were put into it, also with another
	// bin, by their codes.
	LotsMixedInto(ctx context.Context, bins []string) (map[string][]models.Lot, error)

	// ViewsOf lists every inspection of an item with its sets and results, the
	// newest first; replaced ones too.
	ViewsOf(ctx context.Context, itemID string) ([]models.InspectionView, error)
	// GlanceOf is ViewsOf with readings and results of the newest standing
	// inspection and of the one named alone.
	GlanceOf(ctx context.Context, itemID, open string) ([]models.InspectionView, error)
	// InspectionView finds one by id.
	InspectionView(ctx context.Context, id string) (models.InspectionView, error)
	// HoldsOf lists every hold on an item and on the lots built into it, with
	// its lift, newest first.
	HoldsOf(ctx context.Context, itemID string) ([]models.HoldView, error)
	// NonconformitiesOf lists those of an item with their steps, oldest first.
	NonconformitiesOf(ctx context.Context, itemID string) ([]models.NonconformityView, error)
	// CertificatesOf lists every revision of every certificate of an item with
	// its present state, newest first.
	CertificatesOf(ctx context.Context, itemID string) ([]models.CertificateView, error)
	CertificateByNumber(ctx context.Context, number string, revision int) (models.Certificate, error)
	// LabelPrintsOf lists the prints of some items or certificates, oldest first.
	LabelPrintsOf(ctx context.Context, subjects []string) ([]models.LabelPrint, error)
	// TrailCount counts the trail entries that speak of one of the subjects.
	TrailCount(ctx context.Context, subjects []string) (int, error)
	People(ctx context.Context) ([]models.Person, error)
}
