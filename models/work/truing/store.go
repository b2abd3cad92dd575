package truing

import (
	"context"
	"time"

	"tracewright/models"
)

// Store is what truing asks of the database.
type Store interface {
	InspectionView(ctx context.Context, id string) (models.InspectionView, error)
	Inspection(ctx context.Context, id string) (models.Inspection, error)
	// InspectionsOf gives every inspection of an item, newest first, replaced
	// ones among them.
	InspectionsOf(ctx context.Context, itemID string) ([]models.Inspection, error)
	Item(ctx context.Context, id string) (models.Item, error)
	Product(ctx context.Context, id string) (models.Product, error)
	// ProductForm gives the newest revision of a product's form,
	// ProductRevision the one named.
	ProductForm(ctx context.Context, productID string) (models.ProductRevision, error)
	ProductRevision(ctx context.Context, productID string, revision int) (models.ProductRevision, error)
	People(ctx context.Context) ([]models.Person, error)

	// TurnList gives the newest list made from an inspection, or
	// models.ErrNotFound.
	TurnList(ctx context.Context, inspectionID string) (models.TurnList, error)
	TurnListByID(ctx context.Context, id string) (models.TurnList, error)
	// TurnsDone lists what was turned of a list and taken back, in order.
	TurnsDone(ctx context.Context, listID string) ([]models.TurnDone, error)
	// TurnsOf lists it of an item, by every list.
	TurnsOf(ctx context.Context, itemID string) ([]models.TurnDone, error)
	TurnListState(ctx context.Context, l models.TurnList) (models.TurnListState, error)
	// TurnStop gives the comparison of an inspection's readings, with the newest
	// answer where it was a stop, or models.ErrNotFound.
	TurnStop(ctx context.Context, inspectionID string) (models.TurnStop, error)
	// TurnRoundsThatTeach lists the newest standing rounds on a type of rim and
	// spoke that contradicted nothing.
	TurnRoundsThatTeach(ctx context.Context, rimType string, limit int) ([]models.TurnRound, error)

	// AddTurnList adds a list; one with its number made meanwhile is
	// models.ErrConflict.
	AddTurnList(ctx context.Context, stamp models.Stamp, l models.TurnList) error
	// AddTurnDone adds what decide answers with, the item locked: it is given
	// what was done of the list so far, and how it stands. A turn that comes after
	// the readings that followed it settles their comparison.
	AddTurnDone(ctx context.Context, stamp models.Stamp, l models.TurnList, decide func(done []models.TurnDone, stands models.TurnListState) (*models.TurnDone, error)) error
	// AddTurnRound adds a comparison, once an inspection: models.ErrConflict
	// when it is there already. Without a stop the item's list is closed.
	AddTurnRound(ctx context.Context, stamp models.Stamp, r models.TurnRound) error
	// AddTurnAnswer adds an answer to a stop.
	AddTurnAnswer(ctx context.Context, stamp models.Stamp, a models.TurnAnswer) error
}

// Service makes turn lists and compares rounds.
type Service struct {
	store Store
	now   func() time.Time
}

// New makes the service; now is the server's clock.
func New(store Store, now func() time.Time) *Service { return &Service{store: store, now: now} }
