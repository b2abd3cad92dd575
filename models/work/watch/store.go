package watch

import (
	"context"
	"time"

	"tracewright/models"
)

// Charts are drawn by another service.
type Charts interface {
	// Watched lists the charts that count, each once.
	Watched(ctx context.Context) ([]models.ChartKey, error)
	// Signals gives what the chart of a key signals by the rules that are on.
	Signals(ctx context.Context, key models.ChartKey) ([]models.ChartSignal, error)
}

// Store is what this package needs of the database.
type Store interface {
	// TrailHead is models.ErrNotFound where no log has begun.
	TrailHead(ctx context.Context) (models.TrailHead, error)
	// SealedEntries lists the chain from a number on, in its order.
	SealedEntries(ctx context.Context, from int64, limit int) ([]models.TrailEntry, error)
	// UnsealedSince lists entries that no sealer has taken, in the order of their ids,
	// those after one.
	UnsealedSince(ctx context.Context, after string, limit int) ([]models.TrailEntry, error)
	// UnsealedCount is how many no sealer has taken.
	UnsealedCount(ctx context.Context) (int, error)
	// ChartsTouched lists where values of these inspections, and of all others of
	// the same items, lie.
	ChartsTouched(ctx context.Context, inspections []string) ([]models.ChartKey, error)
	// ChartsNamed lists which charts baselines and causes belong to, and where
	// events of charts stand.
	ChartsNamed(ctx context.Context, records []string) ([]models.ChartKey, error)
	Family(ctx context.Context, id string) (models.Family, error)
	Specification(ctx context.Context, id string) (models.Specification, error)

	KeptCharts(ctx context.Context) ([]models.KeptChart, error)
	// KeepSignals replaces the signals of charts in one transaction, but not those
	// that were computed of a longer log.
	KeepSignals(ctx context.Context, charts []models.ChartSignals) error
	ForgetCharts(ctx context.Context, keys []models.ChartKey) error
	// DoubtCharts lets every chart be replaced, whatever it has seen.
	DoubtCharts(ctx context.Context) error
	// ChartMark is what all charts have taken in; MarkCharts never takes back how
	// much of the log that is.
	ChartMark(ctx context.Context) (models.ChartMark, error)
	MarkCharts(ctx context.Context, mark models.ChartMark) error

	// OpenSignals lists those without a cause, newest first.
	OpenSignals(ctx context.Context, limit int) ([]models.ChartSignal, error)
	// SignalsBetween lists those of points measured in from <= t < to, oldest first.
	SignalsBetween(ctx context.Context, from, to time.Time, limit int) ([]models.ChartSignal, error)
	// SignalsLeft lists those of points measured before a moment that have no cause
	// today, oldest first.
	SignalsLeft(ctx context.Context, before time.Time, limit int) ([]models.ChartSignal, error)
	SignalsOf(ctx context.Context, key models.ChartKey) ([]models.ChartSignal, error)
	// MeasuredBetween says whether an inspection was measured in from <= t < to.
	MeasuredBetween(ctx context.Context, from, to time.Time) (bool, error)
}
