package gauges

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
)

// TracedItem is one item of a reverse trace: what the failure means for it, and
// where it is now.
type TracedItem struct {
	Item   models.Item
	Effect string // the gravest of its sets
	Sets   []models.TraceSet
	Where  string
	Held   bool // a hold was raised for it because of this gauge
	// Shipment is the last one that it went with.
	Shipment *models.Shipment
}

// TraceView is a reverse trace as it was frozen, item by item, with what became
// of each since.
type TraceView struct {
	Trace   models.GaugeTrace
	Content models.TraceContent
	Items   []TracedItem // by serial
	Newest  string       // key of the newest answer for the same failure
}

// gravest orders effects: an item is what the gravest of its sets is.
var gravest = []string{models.SetNoLonger, models.SetNotKnown, models.SetFailed, models.SetPassesNow, models.SetStaysGood, models.SetMeasuredNew, models.SetUnlimited, models.SetReplaced}

// Effects are what a set of a reverse trace may come to, the gravest first.
func Effects() []string { return slices.Clone(gravest) }

// Traced gives a reverse trace of an instrument.
func (s *Service) Traced(ctx context.Context, code, id string) (TraceView, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return TraceView{}, err
	}
	trace, err := s.store.GaugeTrace(ctx, id)
	if err == nil && trace.InstrumentID != v.Instrument.ID {
		err = models.ErrNotFound
	}
	if err != nil {
		return TraceView{}, fmt.Errorf("reverse trace %.40q of %s: %w", id, v.Instrument.Code, err)
	}
	out := TraceView{Trace: trace, Newest: trace.ID}
	if err := json.Unmarshal([]byte(trace.Content), &out.Content); err != nil {
		return out, fmt.Errorf("read the reverse trace %s: %w", id, err)
	}
	others, err := s.store.GaugeTraces(ctx, v.Instrument.ID)
	if err != nil {
		return out, fmt.Errorf("reverse traces of %s: %w", v.Instrument.Code, err)
	}
	last := trace.N
	for _, t := range others {
		if t.CauseID == trace.CauseID && t.N > last {
			out.Newest, last = t.ID, t.N
		}
	}
	out.Items, err = s.tracedItems(ctx, out.Content)
	return out, err
}

func (s *Service) tracedItems(ctx context.Context, c models.TraceContent) ([]TracedItem, error) {
	at, list := map[string]int{}, []TracedItem{}
	for _, set := range c.Sets {
		n, known := at[set.Item]
		if !known {
			n = len(list)
			at[set.Item], list = n, append(list, TracedItem{Effect: set.Effect})
		}
		if slices.Index(gravest, set.Effect) < slices.Index(gravest, list[n].Effect) {
			list[n].Effect = set.Effect
		}
		list[n].Sets = append(list[n].Sets, set)
	}
	ids := keysOf(at)
	items, err := s.store.ItemsByID(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("items of a reverse trace: %w", err)
	}
	holders, err := s.holders(ctx, items)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, i := range holders {
		out = append(out, i.id)
	}
	went, err := s.store.LastShipments(ctx, out)
	if err != nil {
		return nil, fmt.Errorf("shipments of a reverse trace: %w", err)
	}
	holds, err := s.store.HoldsForGauge(ctx, c.Instrument, ids)
	if err != nil {
		return nil, fmt.Errorf("holds of a reverse trace: %w", err)
	}
	for _, i := range items {
		row := &list[at[i.ID]]
		row.Item, row.Where = i, models.Whereabouts(holders[i.ID].state)
		if sh, ok := went[holders[i.ID].id]; ok && row.Where == models.RecallShipped {
			row.Shipment = &sh
		}
	}
	for _, h := range holds {
		if !h.RaisedAt.Before(c.At) {
			list[at[*h.ItemID]].Held = true
		}
	}
	slices.SortStableFunc(list, func(a, b TracedItem) int { return strings.Compare(a.Item.Name(), b.Item.Name()) })
	return list, nil
}

// ToHold says of an item that it is here and may not stay as it is: it no longer
// passes, or nobody knows.
func (i TracedItem) ToHold() bool {
	return i.Where == models.RecallHere && (i.Effect == models.SetNoLonger || i.Effect == models.SetNotKnown)
}

// HoldTraced puts everything on hold that is here and no longer passes, or may not;
// it answers how many it held. What is held for this gauge already stays so.
func (s *Service) HoldTraced(ctx context.Context, actor models.Actor, code, id string) (int, error) {
	v, err := s.Traced(ctx, code, id)
	if err != nil {
		return 0, err
	}
	var ids []string
	for _, i := range v.Items {
		if i.ToHold() && !i.Held {
			ids = append(ids, i.Item.ID)
		}
	}
	if len(ids) == 0 {
		return 0, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("nothing_to_hold", "instrument", v.Content.Instrument)}}
	}
	held, err := s.store.HoldForGauge(ctx, models.NewStamp(actor, s.now()), v.Content.Instrument, ids)
	if err != nil {
		return 0, fmt.Errorf("hold what %s had measured: %w", v.Content.Instrument, err)
	}
	return len(held), nil
}

// Traces lists the reverse traces of an instrument, newest first.
func (s *Service) Traces(ctx context.Context, code string) ([]models.GaugeTrace, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return nil, err
	}
	list, err := s.store.GaugeTraces(ctx, v.Instrument.ID)
	if err != nil {
		return nil, fmt.Errorf("reverse traces of %s: %w", v.Instrument.Code, err)
	}
	return list, nil
}
