package monitor

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
)

// Service draws charts and sums up days.
type Service struct {
	store Store
	now   func() time.Time
}

// New returns the service on its store; now is the clock.
func New(store Store, now func() time.Time) *Service { return &Service{store: store, now: now} }

// zone is the shop's time zone, UTC until one is set.
func (s *Service) zone(ctx context.Context) (*time.Location, error) {
	name, err := s.store.Setting(ctx, models.SettingTimeZone)
	if errors.Is(err, models.ErrNotFound) {
		return time.UTC, nil
	}
	if err != nil {
		return nil, fmt.Errorf("time zone of the shop: %w", err)
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, fmt.Errorf("time zone of the shop: %w", err)
	}
	return zone, nil
}
