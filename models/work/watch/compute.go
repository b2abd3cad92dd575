package watch

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

const (
	// keptAtOnce charts are stored in one transaction.
	keptAtOnce = 16
	// staleAfter is how old a chart may grow that nothing touched: what is watched,
	// and limits that follow the shop's volume, change with time alone.
	staleAfter = 24 * time.Hour
	// keptWithin bounds the storing of what was computed when a pass was broken off.
	keptWithin = 5 * time.Second
)

// compute brings the stored signals of what was touched up to date. between is
// called after each chart, so that whoever is in a hurry is let by.
func (s *Service) compute(ctx context.Context, between func() error) error {
	due, at := s.touched, s.at.seq
	s.touched = touched{}
	err := s.computeAll(ctx, due, at, between)
	if err != nil {
		s.touched.all = true // What of it was stored is computed once more.
	}
	return err
}

func (s *Service) computeAll(ctx context.Context, due touched, at int64, between func() error) error {
	rules, err := s.rules(ctx)
	if err != nil {
		return fmt.Errorf("what the charts are judged by: %w", err)
	}
	mark, err := s.store.ChartMark(ctx)
	if err != nil {
		return fmt.Errorf("what the charts have taken in: %w", err)
	}
	// Once for each change: two servers of which one is newer do not go on computing
	// against each other.
	others := mark.Rules != rules && (s.judged == nil || *s.judged != rules)
	watched, err := s.charts.Watched(ctx)
	if err != nil {
		return fmt.Errorf("which charts are watched: %w", err)
	}
	kept, err := s.store.KeptCharts(ctx)
	if err != nil {
		return fmt.Errorf("which charts are kept: %w", err)
	}
	known := make(map[models.ChartKey]models.KeptChart, len(kept))
	computed := make(map[models.ChartKey]time.Time, len(kept))
	for _, k := range kept {
		known[k.ChartKey], computed[k.ChartKey] = k, k.ComputedAt
	}
	now := s.now()
	var list []models.ChartKey
	for _, k := range watched {
		was, there := known[k]
		delete(known, k)
		// Another server over the same database may have been faster.
		done := there && at > 0 && was.Seen >= at
		age := now.Sub(was.ComputedAt)
		if !there || others || !done && due.touches(k) || age > staleAfter || age < -staleAfter {
			list = append(list, k)
		}
	}
	// What was computed longest ago comes first, never before all: a pass that does not
	// end within its turn, or the next, comes round to every chart nevertheless.
	slices.SortStableFunc(list, func(a, b models.ChartKey) int { return computed[a].Compare(computed[b]) })
	if err := s.replace(ctx, list, between); err != nil {
		return err
	}
	var gone []models.ChartKey
	for k := range known {
		gone = append(gone, k)
	}
	if len(gone) > 0 {
		if err := s.store.ForgetCharts(ctx, gone); err != nil {
			return fmt.Errorf("forget charts: %w", err)
		}
	}
	if err := s.store.MarkCharts(ctx, models.ChartMark{Seen: at, Rules: rules}); err != nil {
		return fmt.Errorf("mark the charts: %w", err)
	}
	s.judged = &rules
	return nil
}

// replace computes charts and stores their signals, some at a time, and what it has
// when it is broken off.
func (s *Service) replace(ctx context.Context, list []models.ChartKey, between func() error) (err error) {
	var some []models.ChartSignals
	defer func() {
		if err != nil && len(some) > 0 {
			within, cancel := context.WithTimeout(context.WithoutCancel(ctx), keptWithin)
			defer cancel()
			err = errors.Join(err, s.store.KeepSignals(within, some))
		}
	}()
	for n, k := range list {
		// What the log held before the values are read is in them.
		kept := models.KeptChart{ChartKey: k, Seen: s.at.seq, ComputedAt: s.now()}
		signals, err := s.charts.Signals(ctx, k)
		var invalid *models.InvalidError
		if errors.Is(err, models.ErrNotFound) || errors.As(err, &invalid) {
			signals, err = nil, nil // A chart that cannot be drawn any more signals nothing.
		}
		if err != nil {
			return fmt.Errorf("signals of %s of family %s at %q: %w", k.Result, k.FamilyID, k.Place, err)
		}
		some = append(some, models.ChartSignals{KeptChart: kept, Signals: signals})
		if len(some) == keptAtOnce || n == len(list)-1 {
			full := some
			some = nil
			if err := s.store.KeepSignals(ctx, full); err != nil {
				return fmt.Errorf("keep signals: %w", err)
			}
		}
		if err := between(); err != nil {
			return err
		}
	}
	return nil
}

// CatchUp takes in what the log holds by now, at once.
func (s *Service) CatchUp(ctx context.Context) error {
	s.working.Lock()
	defer s.working.Unlock()
	if err := s.follow(ctx); err != nil {
		return err
	}
	return s.compute(ctx, func() error { return ctx.Err() })
}

// Rebuild computes every watched chart anew and puts right whatever was stored,
// which stays readable meanwhile. progress is told how many of how many are done;
// it may be nil.
func (s *Service) Rebuild(ctx context.Context, progress func(done, of int)) error {
	s.working.Lock()
	defer s.working.Unlock()
	if err := s.follow(ctx); err != nil {
		return err
	}
	if err := s.store.DoubtCharts(ctx); err != nil {
		return fmt.Errorf("rebuild the signals: %w", err)
	}
	watched, err := s.charts.Watched(ctx)
	if err != nil {
		return fmt.Errorf("rebuild the signals: %w", err)
	}
	s.touched.all = true
	done := 0
	return s.compute(ctx, func() error {
		done++
		if progress != nil {
			progress(min(done, len(watched)), len(watched))
		}
		return ctx.Err()
	})
}
