package monitor

import (
	"context"
	"time"

	"tracewright/models"
)

// Store is what this package reads. A single record that is not there is
// [models.ErrNotFound]; none of many is an empty list.
type Store interface {
	Family(ctx context.Context, id string) (models.Family, error)
	Product(ctx context.Context, id string) (models.Product, error)
	// Products lists the products of a family.
	Products(ctx context.Context, familyID string) ([]models.Product, error)
	// SpecificationInForce returns the newest specification of the product, or
	// of its family where the product has none of its own.
	SpecificationInForce(ctx context.Context, familyID string, productID *string) (models.Specification, error)
	Specification(ctx context.Context, id string) (models.Specification, error)
	Instruments(ctx context.Context) ([]models.Instrument, error)
	Inspection(ctx context.Context, id string) (models.Inspection, error)
	Setting(ctx context.Context, name string) (string, error)
	// Series returns the newest values of one result, or the oldest, oldest first,
	// without those of inspections that another one replaced.
	Series(ctx context.Context, query models.SeriesQuery) ([]models.SeriesPoint, error)

	ChartBaselines(ctx context.Context, key models.ChartKey) ([]models.ChartBaseline, error)
	ChartsWithBaseline(ctx context.Context) ([]models.ChartKey, error)
	SignalCauses(ctx context.Context, key models.ChartKey) ([]models.SignalCause, error)
	// Happenings lists what a chart shows beside its points.
	Happenings(ctx context.Context, familyID, place string, from, to time.Time, limit int) ([]models.Happening, error)
	// ChartVolumes counts the items first measured since a moment.
	ChartVolumes(ctx context.Context, since time.Time) ([]models.ChartVolume, error)
	AddChartBaseline(ctx context.Context, stamp models.Stamp, b models.ChartBaseline) error
	AddSignalCause(ctx context.Context, stamp models.Stamp, c models.SignalCause) error
	AddChartEvent(ctx context.Context, stamp models.Stamp, e models.ChartEvent) error

	// InWork lists the wheels and packs in the house, oldest first, at most limit.
	InWork(ctx context.Context, limit int) ([]models.InWork, error)
	// DayCounts counts the inspections measured in from <= t < to.
	DayCounts(ctx context.Context, from, to time.Time) ([]models.DayCount, error)
	// RecentInspections lists the last ones received, newest first.
	RecentInspections(ctx context.Context, limit int) ([]models.RecentInspection, error)
	// OpenDrafts lists the drafts neither submitted nor set aside.
	OpenDrafts(ctx context.Context) ([]models.Draft, error)
	// OpenUnplaced lists the inspections still waiting for a place.
	OpenUnplaced(ctx context.Context) ([]models.Unplaced, error)
	// AllOpenHolds lists the holds that nobody has lifted, oldest first.
	AllOpenHolds(ctx context.Context) ([]models.HeldItem, error)
	// OpenHoldsAfter lists at most limit of them, behind the hold of an id.
	OpenHoldsAfter(ctx context.Context, after string, limit int) ([]models.HeldItem, error)
	CountOpenHolds(ctx context.Context) (int, error)
	OpenHold(ctx context.Context, id string) (models.HeldItem, error)
	// HeldLots lists the keys of the lots with such a hold.
	HeldLots(ctx context.Context) ([]string, error)
}
