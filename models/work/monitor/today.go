package monitor

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
)

// Today is what the first page shows: the day so far, and everything that waits
// for somebody.
type Today struct {
	Day      string // in the shop's zone, YYYY-MM-DD
	Counts   []models.DayCount
	Recent   []models.RecentInspection // newest first
	Drafts   []models.Draft
	Unplaced []models.Unplaced
	Holds    []models.HeldItem // oldest first
	Due      []DueInstrument   // overdue first, then by date
}

// DueInstrument is a gauge in use whose calibration is overdue, or due within
// [DueSoonDays].
type DueInstrument struct {
	Instrument models.Instrument
	Overdue    bool
	Days       int // until the due day; negative when it has passed
}

const (
	// DueSoonDays is how many days ahead a calibration is announced. Common
	// practice, no source.
	DueSoonDays = 14
	// recentShown is how many of the last inspections the first page lists.
	recentShown = 20
)

// Today sums up the day that it now is in the shop.
func (s *Service) Today(ctx context.Context) (Today, error) {
	zone := s.zone(ctx)
	now := s.now().In(zone)
	from, to := models.DayOf(now, 0), models.DayOf(now, 1)
	t := Today{Day: now.Format(time.DateOnly)}
	var err error
	if t.Counts, err = s.store.DayCounts(ctx, from.UTC(), to.UTC()); err != nil {
		return Today{}, fmt.Errorf("count the day's inspections: %w", err)
	}
	if t.Recent, err = s.store.RecentInspections(ctx, recentShown); err != nil {
		return Today{}, fmt.Errorf("recent inspections: %w", err)
	}
	if t.Drafts, err = s.store.OpenDrafts(ctx); err != nil {
		return Today{}, fmt.Errorf("drafts: %w", err)
	}
	if t.Unplaced, err = s.store.OpenUnplaced(ctx); err != nil {
		return Today{}, fmt.Errorf("unplaced inspections: %w", err)
	}
	if t.Holds, err = s.Holds(ctx); err != nil {
		return Today{}, err
	}
	instruments, err := s.store.Instruments(ctx)
	if err != nil {
		return Today{}, fmt.Errorf("instruments: %w", err)
	}
	t.Due = due(instruments, t.Day)
	return t, nil
}
