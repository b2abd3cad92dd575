package receive

import (
	"context"

	"tracewright/models"
)

// Store is what this package keeps its records in. Each Add writes its trail
// entries in the same transaction, and returns [models.ErrConflict] when the
// code or number of the record is taken.
type Store interface {
	// Lots lists every lot, last received first.
	Lots(ctx context.Context) ([]models.Lot, error)
	// LotsByCode gives those that exist of the codes asked for.
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)
	AddLot(ctx context.Context, s models.Stamp, lot models.Lot) error

	ItemBySerial(ctx context.Context, serial string) (models.Item, error)
	// RollFor finds the roll that a counter of a letter and year lies on.
	RollFor(ctx context.Context, letter string, year, counter int) (models.SerialRoll, error)

	Family(ctx context.Context, id string) (models.Family, error)
	Product(ctx context.Context, id string) (models.Product, error)

	// AddItem adds an item that has a maker's number.
	AddItem(ctx context.Context, s models.Stamp, item models.Item, parts []models.FittedPart) (models.Item, error)
	// AddItemWithSerial adds an item under the next free serial of a kind
	// letter and a two-digit year.
	AddItemWithSerial(ctx context.Context, s models.Stamp, item models.Item, letter string, year int, parts []models.FittedPart) (models.Item, error)
	// AddRoll reserves as many serials as lie from roll.First to roll.Last,
	// beginning with the next free one, and returns the roll with its numbers.
	AddRoll(ctx context.Context, s models.Stamp, roll models.SerialRoll) (models.SerialRoll, error)
	// Rolls lists them, last printed first.
	Rolls(ctx context.Context) ([]models.SerialRoll, error)
}
