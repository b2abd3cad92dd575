package watch

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"time"

	"tracewright/models"
)

const (
	// readAtOnce is how many entries of the log are read at a time.
	readAtOnce = 500
	// mostBehind is how many entries are read to find out what they touch; of more,
	// everything is computed, which takes less.
	mostBehind = 20_000
	// lateBy is how much later than it was made an entry that nobody seals may be seen:
	// it is made while its change is written, and committed after.
	lateBy = 10 * time.Second
)

// place is where in the log of changes this server is.
type place struct {
	begun bool
	seq   int64 // of the next sealed entry
	live  int64 // entries before it were there when this server began

	// Where nothing is sealed: from when on entries are looked at, by their ids, those
	// seen from then on, and how many there are in all.
	since time.Time
	seen  map[string]time.Time
	known int
}

// touched is what has to be computed.
type touched struct {
	all  bool
	keys map[models.ChartKey]bool
}

func (t *touched) add(keys []models.ChartKey) {
	if t.keys == nil {
		t.keys = map[models.ChartKey]bool{}
	}
	for _, k := range keys {
		if k == (models.ChartKey{}) {
			t.all = true
		}
		t.keys[k] = true
	}
}

func (t *touched) none() bool { return !t.all && len(t.keys) == 0 }

func (t *touched) touches(k models.ChartKey) bool {
	if t.all {
		return true
	}
	for touched := range t.keys {
		if touched.Meets(k) {
			return true
		}
	}
	return false
}

// follow reads what came into the log since it last did, tells the pages, and
// notes what has to be computed.
func (s *Service) follow(ctx context.Context) error {
	head, err := s.store.TrailHead(ctx)
	if errors.Is(err, models.ErrNotFound) {
		return s.followUnsealed(ctx)
	}
	if err != nil {
		return fmt.Errorf("follow the log of changes: %w", err)
	}
	if !s.at.begun {
		mark, err := s.store.ChartMark(ctx)
		if err != nil {
			return fmt.Errorf("follow the log of changes: %w", err)
		}
		s.at = place{begun: true, seq: mark.Seen, live: head.Size}
		if mark.Seen == 0 || mark.Seen > head.Size || head.Size-mark.Seen > mostBehind {
			s.at.seq, s.touched.all = head.Size, true
		}
	}
	for s.at.seq < head.Size {
		entries, err := s.store.SealedEntries(ctx, s.at.seq, readAtOnce)
		if err != nil {
			return fmt.Errorf("follow the log of changes: %w", err)
		}
		if len(entries) == 0 {
			return nil // Cut short: whoever verifies the log says so.
		}
		last := *entries[len(entries)-1].Seq
		if err := s.take(ctx, entries, last >= s.at.live); err != nil {
			return err
		}
		s.at.seq = last + 1
	}
	return nil
}

// followUnsealed is for a database whose log has not begun. Its entries have no order
// but that of their ids, which tell when they were made: what they are dated is no help,
// for a record may be of long ago, or of a clock that was ahead. And the clocks of
// servers go wrong as well. So whatever was made ahead of the clock is looked at each
// time, lest it hides what comes after it; and where there are more entries than were
// seen, made by a clock that is behind, everything may have changed.
func (s *Service) followUnsealed(ctx context.Context) error {
	first := s.at.seen == nil // What waits from before is no news.
	late := time.Now().Add(-lateBy)
	if first {
		s.at.seen, s.touched.all, s.at.since = map[string]time.Time{}, true, late
	}
	setBack := late.Before(s.at.since) // The clock was: some are seen once more.
	if setBack {
		s.at.since = late
	}
	count, err := s.store.UnsealedCount(ctx)
	if err != nil {
		return fmt.Errorf("follow what waits to be sealed: %w", err)
	}
	for from := firstID(s.at.since); ; {
		entries, err := s.store.UnsealedSince(ctx, from, readAtOnce)
		if err != nil {
			return fmt.Errorf("follow what waits to be sealed: %w", err)
		}
		var fresh []models.TrailEntry
		for _, e := range entries {
			if _, seen := s.at.seen[e.ID]; !seen {
				fresh = append(fresh, e)
			}
			from = e.ID
		}
		if err := s.take(ctx, fresh, !first); err != nil {
			return err
		}
		for _, e := range fresh {
			s.at.seen[e.ID] = madeAt(e.ID)
			s.at.known++
		}
		if len(entries) < readAtOnce {
			break
		}
	}
	if count > s.at.known {
		s.touched.all = true
		if !first {
			s.tell([]models.ChartKey{{}})
		}
	}
	if count > s.at.known || setBack {
		s.at.known = count
	}
	s.at.since = late
	for id, at := range s.at.seen {
		if at.Before(late) {
			delete(s.at.seen, id)
		}
	}
	return nil
}

// firstID is before every id made at a moment or later: a UUIDv7 begins with its
// milliseconds.
func firstID(at time.Time) string {
	ms := fmt.Sprintf("%012x", max(0, at.UnixMilli()))
	return ms[:8] + "-" + ms[8:] + "-0000-0000-000000000000"
}

// madeAt is when an id was made.
func madeAt(id string) time.Time {
	if len(id) < 13 {
		return time.Time{}
	}
	ms, err := strconv.ParseInt(id[:8]+id[9:13], 16, 64)
	if err != nil {
		return time.Time{}
	}
	return time.UnixMilli(ms)
}

// take finds which charts entries touch, tells the pages if these are new, and
// notes them.
func (s *Service) take(ctx context.Context, entries []models.TrailEntry, live bool) error {
	var keys []models.ChartKey
	var inspections, named, beside []string
	for _, e := range entries {
		switch e.Kind {
		case "inspection":
			inspections = append(inspections, e.Subject)
		case "chart_baseline", "signal_cause":
			named = append(named, e.Subject)
		case "chart_event": // It changes what a page shows, and no signal.
			beside = append(beside, e.Subject)
		case "specification":
			spec, err := s.store.Specification(ctx, e.Subject)
			if err != nil {
				return fmt.Errorf("find out whose specification changed: %w", err)
			}
			keys = append(keys, models.ChartKey{FamilyID: spec.FamilyID})
		case "setting", "instrument":
			// The budget of false alarms, the shop's zone, the step of a gauge: they
			// come seldom, and what they mean for a chart is its own business.
			keys = append(keys, models.ChartKey{})
		}
	}
	touched, err := s.store.ChartsTouched(ctx, inspections)
	if err != nil {
		return fmt.Errorf("find out which charts changed: %w", err)
	}
	others, err := s.store.ChartsNamed(ctx, named)
	if err != nil {
		return fmt.Errorf("find out which charts have another baseline or cause: %w", err)
	}
	keys = append(append(keys, touched...), others...)
	s.touched.add(keys)
	if !live {
		return nil
	}
	shown, err := s.store.ChartsNamed(ctx, beside)
	if err != nil {
		return fmt.Errorf("find out which charts show something more: %w", err)
	}
	s.tell(append(keys, shown...))
	return nil
}
