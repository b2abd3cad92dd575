package gauges

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"sync"
	"time"

	"tracewright/models"
)

// reviewedDays is how far back failures of gauges are looked for that nobody has
// gone through. What is older and still open is on the page of its gauge.
const reviewedDays = 400

// Undecided is a failure of a gauge with items about which nobody has decided:
// what passes no longer, or is not known to, and is neither on hold nor called back.
type Undecided struct {
	Trace      models.GaugeTrace // the newest answer, without its content
	Instrument models.Instrument
	At         time.Time // of the failure
	Judged     int       // items measured with it in the windows
	NoLonger   int       // of them, pass no longer or are not known to
	Here       int       // of these, here and never held for it
	Shipped    int       // of these, with their owners and not called back
}

// doubted is what a frozen trace says of its items; it never changes.
type doubted struct {
	at    time.Time
	items int
	ids   []string // that pass no longer, or are not known to; sorted
}

// frozenTraces keeps what was read of frozen traces: their content may be large.
type frozenTraces struct {
	mu   sync.Mutex
	read map[string]doubted
}

const (
	// tracedWithin is how long whoever enters a failure may take to trace it.
	tracedWithin = 2 * time.Minute
	// mendedWithin is how long a look at what needs somebody waits for a trace, and
	// mendedAgain when the next such look tries what could not be traced.
	mendedWithin = 5 * time.Second
	mendedAgain  = 10 * time.Minute
)

// mend traces failures whose trace was never kept, since the program stopped or the
// database refused it in between, and those again to which readings came since, or as it
// was made, that had been taken before: nobody would be told of what they had measured. What
// cannot be traced now is tried again later; the page of the gauge tells of it.
func (s *Service) mend(ctx context.Context, all []models.Instrument) {
	if !s.mending.TryLock() {
		return
	}
	defer s.mending.Unlock()
	now := s.now()
	if now.Before(s.mendNext) {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, mendedWithin)
	defer cancel()
	before := now.Add(-tracedWithin)
	failures, err := s.store.UntracedFailures(ctx, now.AddDate(0, 0, -reviewedDays), before)
	if err != nil {
		return
	}
	for _, f := range failures {
		at := slices.IndexFunc(all, func(i models.Instrument) bool { return i.ID == f.InstrumentID })
		if at < 0 {
			continue
		}
		if err := s.mendOne(ctx, all[at], f, before); err != nil {
			s.mendNext = now.Add(mendedAgain)
		}
	}
}

// mendOne traces a failure, again only where the answer that it has lacks something that
// came before a moment.
func (s *Service) mendOne(ctx context.Context, i models.Instrument, f models.GaugeTrace, before time.Time) error {
	if f.ID != "" {
		trace, known, err := s.frozenContent(ctx, f.ID)
		if err != nil {
			return err
		}
		if trace.ArrivedAt == nil || !trace.ArrivedAt.Before(before) {
			return nil // More has come meanwhile, and what came may not be stored yet.
		}
		failure, err := s.failed(ctx, i, f.Cause, f.CauseID)
		if err != nil {
			return err
		}
		now, err := s.traced(ctx, failure)
		if err != nil {
			return err
		}
		if !lacks(known, now, trace.MadeAt) { // What came was read with other gauges.
			return s.store.TraceLacksNothing(ctx, f.ID, *trace.ArrivedAt)
		}
	}
	_, err := s.Trace(ctx, models.Actor{}, i.Code, f.Cause, f.CauseID)
	return err
}

// lacks says whether an answer that was made at a moment lacks a set that is found now and
// was read by then. There may be fewer than before: a window becomes shorter by a good
// calibration that is entered late. One without an end holds what is read since, too, and
// no answer would ever be the last.
func lacks(known, now models.TraceContent, made time.Time) bool {
	type key struct{ inspection, code, method string }
	seen := make(map[key]bool, len(known.Sets))
	for _, x := range known.Sets {
		seen[key{x.Inspection, x.Code, x.Method}] = true
	}
	return slices.ContainsFunc(now.Sets, func(x models.TraceSet) bool {
		return !seen[key{x.Inspection, x.Code, x.Method}] && !x.MeasuredAt.After(made)
	})
}

// Undecided lists the failures of gauges that want somebody, the oldest first.
func (s *Service) Undecided(ctx context.Context) ([]Undecided, error) {
	all, err := s.store.Instruments(ctx)
	if err != nil {
		return nil, fmt.Errorf("instruments: %w", err)
	}
	s.mend(ctx, all)
	traces, err := s.store.NewestGaugeTraces(ctx, s.now().AddDate(0, 0, -reviewedDays))
	if err != nil || len(traces) == 0 {
		return nil, err
	}
	called, err := s.store.RecalledTraces(ctx)
	if err != nil {
		return nil, err
	}
	var out []Undecided
	for _, t := range traces {
		found, err := s.doubted(ctx, t.ID)
		if err != nil {
			return nil, err
		}
		at := slices.IndexFunc(all, func(i models.Instrument) bool { return i.ID == t.InstrumentID })
		if len(found.ids) == 0 || at < 0 {
			continue
		}
		u := Undecided{Trace: t, Instrument: all[at], At: found.at, Judged: found.items, NoLonger: len(found.ids)}
		if err := s.undecided(ctx, &u, found, slices.Contains(called, t.ID)); err != nil {
			return nil, err
		}
		if u.Here+u.Shipped > 0 {
			out = append(out, u)
		}
	}
	return out, nil
}

// undecided counts the items of a trace about which nobody has decided.
func (s *Service) undecided(ctx context.Context, u *Undecided, found doubted, called bool) error {
	items, err := s.store.ItemsByID(ctx, found.ids)
	if err != nil {
		return fmt.Errorf("items of a reverse trace: %w", err)
	}
	holders, err := s.holders(ctx, items)
	if err != nil {
		return err
	}
	holds, err := s.store.HoldsForGauge(ctx, u.Instrument.Code, found.ids)
	if err != nil {
		return fmt.Errorf("holds of a reverse trace: %w", err)
	}
	held := map[string]bool{}
	for _, h := range holds {
		held[*h.ItemID] = held[*h.ItemID] || !h.RaisedAt.Before(found.at)
	}
	for _, i := range items {
		out := holders[i.ID]
		switch models.Whereabouts(out.state) {
		case models.RecallShipped:
			if !called && out.state == models.StateShipped {
				u.Shipped++
			}
		case models.RecallHere:
			if !held[i.ID] {
				u.Here++
			}
		}
	}
	return nil
}

// frozenContent is a trace, and what it said when it was made.
func (s *Service) frozenContent(ctx context.Context, id string) (trace models.GaugeTrace, content models.TraceContent, err error) {
	if trace, err = s.store.GaugeTrace(ctx, id); err != nil {
		return trace, content, fmt.Errorf("reverse trace %s: %w", id, err)
	}
	if err := json.Unmarshal([]byte(trace.Content), &content); err != nil {
		return trace, content, fmt.Errorf("read the reverse trace %s: %w", id, err)
	}
	return trace, content, nil
}

// doubted reads a frozen trace, once.
func (s *Service) doubted(ctx context.Context, id string) (doubted, error) {
	s.frozen.mu.Lock()
	found, known := s.frozen.read[id]
	s.frozen.mu.Unlock()
	if known {
		return found, nil
	}
	_, content, err := s.frozenContent(ctx, id)
	if err != nil {
		return found, err
	}
	effect := map[string]string{} // the gravest of an item's sets
	for _, set := range content.Sets {
		if was, known := effect[set.Item]; !known || slices.Index(gravest, set.Effect) < slices.Index(gravest, was) {
			effect[set.Item] = set.Effect
		}
	}
	found = doubted{at: content.At, items: len(effect)}
	for item, e := range effect {
		if e == models.SetNoLonger || e == models.SetNotKnown {
			found.ids = append(found.ids, item)
		}
	}
	slices.Sort(found.ids)
	s.frozen.mu.Lock()
	defer s.frozen.mu.Unlock()
	if s.frozen.read == nil || len(s.frozen.read) > 1000 {
		s.frozen.read = map[string]doubted{}
	}
	s.frozen.read[id] = found
	return found, nil
}
