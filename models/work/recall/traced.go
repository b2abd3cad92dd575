package recall

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"tracewright/models"
)

// tracedOut are the items that a reverse trace found to pass no longer and that
// had gone out: when it was frozen, or since. What it could not judge is not
// among them: nobody is told to bring in what may be good.
func (s *Service) tracedOut(ctx context.Context, traceID string) ([]string, error) {
	trace, err := s.store.GaugeTrace(ctx, traceID)
	if err != nil {
		return nil, fmt.Errorf("reverse trace %.40q: %w", traceID, err)
	}
	var content models.TraceContent
	if err := json.Unmarshal([]byte(trace.Content), &content); err != nil {
		return nil, fmt.Errorf("read the reverse trace %s: %w", traceID, err)
	}
	out, ids := map[string]bool{}, []string{}
	for _, set := range content.Sets {
		if _, seen := out[set.Item]; set.Effect == models.SetNoLonger && !seen {
			out[set.Item] = set.Where == models.RecallShipped
			ids = append(ids, set.Item)
		}
	}
	items, err := s.store.ItemsByID(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("items of the reverse trace %s: %w", traceID, err)
	}
	ids = ids[:0]
	for _, i := range items {
		if out[i.ID] || i.State == models.StateShipped || i.State == models.StateRecalled {
			ids = append(ids, i.ID)
		}
	}
	return ids, nil
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
