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
	// NewestLots lists at most so many, of one material where it is named.
	NewestLots(ctx context.Context, material string, most int) ([]models.Lot, error)
	// LotsBefore lists those behind one, in the order of NewestLots.
	LotsBefore(ctx context.Context, material string, before models.LotKey, most int) ([]models.Lot, error)
	LotByCode(ctx context.Context, code string) (models.Lot, error)
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)
	// LotsAlike gives the lots whose codes are these, capitals aside.
	LotsAlike(ctx context.Context, codes []string) ([]models.Lot, error)
	LotsByID(ctx context.Context, ids []string) ([]models.Lot, error)
	// AddLot enters the lot's supplier in the register where it is new there.
	AddLot(ctx context.Context, s models.Stamp, lot models.Lot) error

	Materials(ctx context.Context) ([]models.Material, error)
	Material(ctx context.Context, code string) (models.Material, error)
	// AddMaterial adds one; models.ErrConflict when its code is taken.
	AddMaterial(ctx context.Context, s models.Stamp, m models.Material) error
	// ChangeMaterial writes a material anew, as change leaves it, and gives what stands then.
	ChangeMaterial(ctx context.Context, s models.Stamp, code string, change func(*models.Material) error) (models.Material, error)
	Suppliers(ctx context.Context) ([]models.Supplier, error)
	// ItemsByMakerNumbers finds them in capitals or not.
	ItemsByMakerNumbers(ctx context.Context, numbers []string) ([]models.Item, error)

	LotRecords(ctx context.Context, lotID string) (models.LotRecords, error)
	// LotTotals sums up lots by their keys; a lot of which nothing is recorded
	// has none.
	LotTotals(ctx context.Context, lotIDs []string) (map[string]models.LotTotals, error)
	NewestLotDecisions(ctx context.Context, lotIDs []string) (map[string]models.LotDecision, error)
	// LotsLookedAt names those of some lots of which an incoming inspection was finished.
	LotsLookedAt(ctx context.Context, lotIDs []string) ([]string, error)
	LotsInQuarantine(ctx context.Context) ([]models.LotDecision, error)
	LotExplanations(ctx context.Context, lotIDs []string) ([]models.LotExplanation, error)
	UnexplainedCounts(ctx context.Context) ([]models.LotCount, error)
	// LotStops names what keeps each of the lots from being fitted.
	LotStops(ctx context.Context, lotIDs []string) ([]models.LotStop, error)
	// AddLotCheck keeps the decision that follows from it too, nil for none.
	AddLotCheck(ctx context.Context, s models.Stamp, c models.LotCheck, follows *models.LotDecision) error
	AddLotDecision(ctx context.Context, s models.Stamp, d models.LotDecision) error
	AddLotScrap(ctx context.Context, s models.Stamp, x models.LotScrap) error
	AddLotCount(ctx context.Context, s models.Stamp, c models.LotCount) error
	AddLotExplanation(ctx context.Context, s models.Stamp, e models.LotExplanation) error
	// AddLotMixes adds the bin first where it is not nil, and why more of lots was
	// put in than they had.
	AddLotMixes(ctx context.Context, s models.Stamp, bin *models.Lot, mixes []models.LotMix, why ...models.LotExplanation) error

	// Defects are the codes of the shop.
	Defects(ctx context.Context) (models.Defects, error)
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
