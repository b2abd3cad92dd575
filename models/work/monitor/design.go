package monitor

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

// Design is how often the charts may cry wolf, and what follows from that.
type Design struct {
	Alarms float64 // false alarms a month that the owner is ready for, all charts together
	Charts int     // that are watched
	Points float64 // a month, on all of them
	// RunLength is how many points apart the false alarms of one statistic of a
	// chart are: points times two statistics over alarms, and up to the next round
	// number so that limits do not breathe with the order book.
	RunLength float64
	Watch     spc.Watch
}

const (
	// weight of the newest value in the smoothed mean. The smoothed mean is there for
	// what single points do not show: a lasting change of half a sigma or less. At a run
	// length of 5,000 points 0.05 sees half a sigma after 50 points on average, 0.1 after
	// 69 and 0.2 after 136; of one sigma 0.1 tells a single point sooner, after 15, and
	// larger ones the points show themselves (run lengths of numbers/spc, by the chain of
	// Lucas and Saccucci, Technometrics 32, 1990, who print 31.3 and 10.3 for 0.1 at 500).
	// Less than 0.05 would still remember what was a hundred points ago.
	weight = 0.05
	// statistics of a chart: the point, and the smoothed mean.
	statistics = 2
	// shortest run length: limits nearer than 2.8 sigma leave nothing to expect.
	shortest, longest = 200, 1_000_000

	volumeDays  = 90
	daysOfMonth = 365.25 / 12
	designKept  = 10 * time.Minute
)

// Design gives the budget and the watch that follows from it.
func (s *Service) Design(ctx context.Context) (Design, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.designed.IsZero() && s.now().Sub(s.designed).Abs() < designKept {
		return s.design, nil
	}
	d := Design{Alarms: models.UsualChartAlarms}
	text, err := s.store.Setting(ctx, models.SettingChartAlarms)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return d, fmt.Errorf("budget of false alarms: %w", err)
	}
	if x, err := strconv.ParseFloat(text, 64); err == nil && x >= models.FewestChartAlarms && x <= models.MostChartAlarms {
		d.Alarms = x
	}
	charts, err := s.watched(ctx, true)
	if err != nil {
		return d, err
	}
	for _, c := range charts {
		d.Charts++
		d.Points += float64(c.items) / volumeDays * daysOfMonth
	}
	d.RunLength = roundUp(min(max(d.Points*statistics/d.Alarms, shortest), longest))
	watch, known := s.watches[d.RunLength]
	if !known {
		if watch, err = spc.WatchFor(weight, d.RunLength); err != nil {
			return d, fmt.Errorf("limits for one false alarm in %.0f points: %w", d.RunLength, err)
		}
		s.watches[d.RunLength] = watch
	}
	d.Watch = watch
	s.design, s.designed = d, s.now()
	return d, nil
}

// Reconsider has the budget looked at anew, once the owner set another.
func (s *Service) Reconsider() {
	s.mu.Lock()
	s.designed = time.Time{}
	s.mu.Unlock()
}

// roundUp gives the next of 1, 2 and 5 times a power of ten.
func roundUp(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, step := range []float64{1, 2, 5} {
		if x <= step*power*(1+1e-9) {
			return step * power
		}
	}
	return 10 * power
}
