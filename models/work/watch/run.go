package watch

import (
	"context"
	"time"
)

const (
	// lookEvery is how often entries of other programs are looked for.
	lookEvery = time.Second
	// betweenLooks is the least time from one look at the log to the next.
	betweenLooks = 100 * time.Millisecond
	// betweenPasses is the least time from one pass over touched charts to the next:
	// while eight stands measure, each chart is drawn once a second and not with
	// every wheel.
	betweenPasses = time.Second
	// passesRest is how many times as long as a pass took is rested after it, so
	// that they take a quarter of one processor at most.
	passesRest = 3
	// longestRest bounds that.
	longestRest = 20 * time.Second
	// sweepEvery is how often it is looked whether something changed that leaves no
	// entry: limits that follow the shop's volume, a chart that fell asleep.
	sweepEvery = 10 * time.Minute
	// turnWithin bounds a turn, so that one which a database never answered ends. What
	// a pass has stored until then the next one need not compute.
	turnWithin = 10 * time.Minute
	// againEvery is how often what fails is written down.
	againEvery = time.Minute
)

// Run follows the log until ctx ends.
func (s *Service) Run(ctx context.Context) {
	sealed, stop := s.sealed()
	defer stop()
	look := time.NewTicker(lookEvery)
	defer look.Stop()
	var swept time.Time
	for {
		within, cancel := context.WithTimeout(ctx, turnWithin)
		s.note(ctx, s.turn(within, &swept))
		cancel()
		if !pause(ctx, betweenLooks) {
			return
		}
		select {
		case <-sealed:
		case <-look.C:
		case <-ctx.Done():
			return
		}
	}
}

// turn looks at the log, and computes when a pass is due.
func (s *Service) turn(ctx context.Context, swept *time.Time) error {
	s.working.Lock()
	defer s.working.Unlock()
	if err := s.follow(ctx); err != nil {
		return err
	}
	began := time.Now()
	if began.Before(s.next) || s.touched.none() && began.Sub(*swept) < sweepEvery {
		return nil
	}
	*swept = began
	looked, busy, resumed := began, time.Duration(0), began
	err := s.compute(ctx, func() error {
		busy += time.Since(resumed)
		if !pause(ctx, time.Since(resumed)) { // As long as the chart took: whoever measures goes first.
			return ctx.Err()
		}
		if time.Since(looked) > lookEvery/2 {
			looked = time.Now()
			if err := s.follow(ctx); err != nil {
				return err
			}
		}
		resumed = time.Now()
		return nil
	})
	s.next = time.Now().Add(min(max(betweenPasses, passesRest*busy), longestRest))
	return err
}

// note writes down what failed, once a minute; it is tried again with the next
// turn.
func (s *Service) note(ctx context.Context, err error) {
	if err == nil || ctx.Err() != nil || time.Since(s.told) < againEvery {
		return
	}
	s.told = time.Now()
	s.log.Error("the signals of charts are not up to date", "cause", err)
}

// pause waits, and says whether to go on.
func pause(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
		return false
	}
}
