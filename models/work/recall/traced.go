package recall

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
)

// tracedOut are the items that a reverse trace found to pass no longer and that had
// gone out, by themselves or as parts of another: when it was frozen, or since. What it
// could not judge is not among them: nobody is told to bring in what may be good.
func (s *Service) tracedOut(ctx context.Context, traceID string) (ids []string, possibly map[string]bool, err error) {
	trace, err := s.store.GaugeTrace(ctx, traceID)
	if err != nil {
		return nil, nil, fmt.Errorf("reverse trace %.40q: %w", traceID, err)
	}
	var content models.TraceContent
	if err := json.Unmarshal([]byte(trace.Content), &content); err != nil {
		return nil, nil, fmt.Errorf("read the reverse trace %s: %w", traceID, err)
	}
	var worse, out []string
	seen := map[string]bool{}
	for _, set := range content.Sets {
		if set.Effect != models.SetNoLonger || seen[set.Item] {
			continue
		}
		seen[set.Item] = true
		if worse = append(worse, set.Item); set.Where == models.RecallShipped {
			out = append(out, set.Item)
		}
	}
	was, _, err := s.measured(ctx, out)
	if err != nil {
		return nil, nil, err
	}
	if worse, possibly, err = s.measured(ctx, worse); err != nil {
		return nil, nil, err
	}
	items, err := s.store.ItemsByID(ctx, worse)
	if err != nil {
		return nil, nil, fmt.Errorf("items of the reverse trace %s: %w", traceID, err)
	}
	for _, i := range items {
		if slices.Contains(was, i.ID) || i.State == models.StateShipped || i.State == models.StateRecalled {
			ids = append(ids, i.ID)
		}
	}
	return ids, possibly, nil
}

// gaugeOf is the instrument that a reverse trace is about.
func (s *Service) gaugeOf(ctx context.Context, traceID string) (models.Instrument, error) {
	trace, err := s.store.GaugeTrace(ctx, traceID)
	if errors.Is(err, models.ErrNotFound) {
		return models.Instrument{}, models.Invalid("trace", "unknown_choice", "typed", models.Shortened(traceID))
	}
	if err != nil {
		return models.Instrument{}, fmt.Errorf("reverse trace %.40q: %w", traceID, err)
	}
	all, err := s.store.Instruments(ctx)
	if err != nil {
		return models.Instrument{}, fmt.Errorf("instruments: %w", err)
	}
	for _, i := range all {
		if i.ID == trace.InstrumentID {
			return i, nil
		}
	}
	return models.Instrument{}, fmt.Errorf("instrument of reverse trace %s: %w", traceID, models.ErrNotFound)
}
