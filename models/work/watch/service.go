package watch

import (
	"context"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"tracewright/models"
)

// Service keeps signals and tells pages.
type Service struct {
	store  Store
	charts Charts
	now    func() time.Time
	log    *slog.Logger
	sealed func() (<-chan struct{}, func())
	rules  func(context.Context) (string, error)
	zone   func(context.Context) *time.Location

	// One at a time follows the log and computes.
	working sync.Mutex
	at      place
	touched touched
	judged  *string   // the rules that this server last computed all by
	next    time.Time // of the wall clock: no pass begins before
	told    time.Time // of the wall clock: when a failure was last written down

	mu     sync.Mutex
	pages  map[*Page]bool
	closed bool
}

// Options are what a service works with.
type Options struct {
	// Sealed listens to whoever seals the log: a word comes when something was, until
	// the function is called. Nil: it looks each second.
	Sealed func() (<-chan struct{}, func())
	// Rules says what the charts are judged by, in any words: when they change, all
	// are computed anew. Nil: it never changes.
	Rules func(context.Context) (string, error)
	Zone  func(context.Context) *time.Location // of the shop; nil: UTC
	Now   func() time.Time
	Log   *slog.Logger // nil: nowhere
}

// New makes the service.
func New(store Store, charts Charts, o Options) *Service {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Sealed == nil {
		o.Sealed = func() (<-chan struct{}, func()) { return nil, func() {} }
	}
	if o.Zone == nil {
		o.Zone = func(context.Context) *time.Location { return time.UTC }
	}
	if o.Rules == nil {
		o.Rules = func(context.Context) (string, error) { return "", nil }
	}
	return &Service{store: store, charts: charts, rules: o.Rules, zone: o.Zone, now: o.Now, log: o.Log, sealed: o.Sealed, pages: map[*Page]bool{}}
}

// mostOpen is more signals than anybody answers in a week. Of more, the newest
// are given: the older ones come up as these get their causes.
const mostOpen = 200

// Open lists the signals that have no cause yet, newest first, at most 200.
func (s *Service) Open(ctx context.Context) ([]models.ChartSignal, error) {
	open, err := s.store.OpenSignals(ctx, mostOpen)
	if err != nil {
		return nil, fmt.Errorf("signals without a cause: %w", err)
	}
	return open, nil
}

// mostBetween bounds what a period gives.
const mostBetween = 1000

// Between lists the signals of points that were measured in from <= t < to, with
// a cause or without, oldest first, at most 1,000.
func (s *Service) Between(ctx context.Context, from, to time.Time) ([]models.ChartSignal, error) {
	signals, err := s.store.SignalsBetween(ctx, from, to, mostBetween)
	if err != nil {
		return nil, fmt.Errorf("signals of a period: %w", err)
	}
	return signals, nil
}

// Of lists the stored signals of one chart, oldest first.
func (s *Service) Of(ctx context.Context, key models.ChartKey) ([]models.ChartSignal, error) {
	signals, err := s.store.SignalsOf(ctx, key)
	if err != nil {
		return nil, fmt.Errorf("signals of a chart: %w", err)
	}
	return signals, nil
}

// Count is how many charts are watched.
func (s *Service) Count(ctx context.Context) (int, error) {
	kept, err := s.store.KeptCharts(ctx)
	if err != nil {
		return 0, fmt.Errorf("watched charts: %w", err)
	}
	return len(kept), nil
}
