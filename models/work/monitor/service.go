package monitor

import (
	"context"
	"sync"
	"time"

	"tracewright/models/numbers/spc"
)

// Service draws charts and sums up days.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location

	// The budget of false alarms moves with what the shop makes in months: it is
	// looked at anew each designKept, and a watch is found once for each length.
	mu       sync.Mutex
	design   Design
	designed time.Time
	watches  map[float64]spc.Watch
}

// New returns the service on its store; now is the clock, zone the shop's time
// zone, which decides when a day begins.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone, watches: map[float64]spc.Watch{}}
}
