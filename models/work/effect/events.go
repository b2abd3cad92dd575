package effect

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// Kinds of events that a moment is chosen from.
const (
	Calibrated = "calibration"
	Revised    = "specification"
	Corrected  = "corrective_action"
	NewLot     = "lot"
)

// Event is something on record that may have changed how the work runs.
type Event struct {
	What     string
	At       time.Time
	Day      string // of At, in the shop's zone, YYYY-MM-DD
	Ref      string // code of a gauge or a lot, number of an action, revision of a specification
	Material string // of a lot
	Of       string // what a specification is of: a product's key; empty: the family
}

// Key tells events apart.
func (e Event) Key() string { return strings.Join([]string{e.What, e.Ref, e.Of}, "|") }

// Remark is the event as it is said.
func (e Event) Remark() models.Remark {
	return models.Remark{Code: "event_" + e.What, Values: map[string]string{"ref": e.Ref, "material": e.Material, "date": e.Day}}
}

// mostActions is how many closed corrective actions are looked at, the newest.
const mostActions = 200

// events lists what happened within reach, the newest first: calibrations of the
// gauges that read the result, revised specifications, corrective actions carried
// out, and the first use of each lot.
func (s *Service) events(ctx context.Context, f models.Family, all models.Searched, c models.Characteristic, now time.Time) ([]Event, error) {
	var out []Event
	zone := s.zone(ctx)
	add := func(e Event) {
		if e.At.After(now.Add(-LookBack)) && !e.At.After(now) {
			e.Day = e.At.In(zone).Format(time.DateOnly)
			out = append(out, e)
		}
	}
	used := map[string]bool{}
	for _, gauges := range all.Gauges {
		for _, g := range gauges {
			if g.Characteristic == c.Code {
				used[g.Instrument] = true
			}
		}
	}
	instruments, err := s.store.Instruments(ctx)
	if err != nil {
		return nil, fmt.Errorf("gauges: %w", err)
	}
	codes, ids := map[string]string{}, []string{}
	for _, i := range instruments {
		if used[i.Code] {
			codes[i.ID], ids = i.Code, append(ids, i.ID)
		}
	}
	if len(ids) > 0 {
		calibrations, err := s.store.CalibrationsOf(ctx, ids)
		if err != nil {
			return nil, fmt.Errorf("calibrations: %w", err)
		}
		for _, k := range calibrations {
			if k.N > 1 { // The first is how the gauge came.
				add(Event{What: Calibrated, At: k.EnteredAt, Ref: codes[k.InstrumentID]})
			}
		}
	}
	specifications, err := s.store.Specifications(ctx, f.ID)
	if err != nil {
		return nil, fmt.Errorf("specifications of family %s: %w", f.Name, err)
	}
	for _, spec := range specifications {
		if spec.Revision > 1 {
			e := Event{What: Revised, At: spec.CreatedAt, Ref: fmt.Sprint(spec.Revision)}
			if spec.ProductID != nil {
				e.Of = *spec.ProductID
			}
			add(e)
		}
	}
	done, err := s.carried(ctx)
	if err != nil {
		return nil, err
	}
	for _, e := range done {
		add(e)
	}
	began := map[models.SearchedLot]bool{}
	for _, i := range all.Inspections {
		for _, l := range all.Lots[i.ItemID] {
			if !began[l] {
				began[l] = true
				add(Event{What: NewLot, At: i.MeasuredAt, Ref: l.Code, Material: l.Material})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Event) int { return b.At.Compare(a.At) })
	return out, nil
}

// carried are the corrective actions that were carried out, as events.
func (s *Service) carried(ctx context.Context) ([]Event, error) {
	open, err := s.store.OpenCorrectiveActions(ctx)
	if err != nil {
		return nil, fmt.Errorf("corrective actions: %w", err)
	}
	closed, err := s.store.ClosedCorrectiveActions(ctx, mostActions)
	if err != nil {
		return nil, fmt.Errorf("corrective actions: %w", err)
	}
	var out []Event
	for _, a := range slices.Concat(open, closed) {
		for _, step := range a.Steps {
			if step.What == models.ActionCarried {
				out = append(out, Event{What: Corrected, At: step.MadeAt, Ref: a.Number})
			}
		}
	}
	return out, nil
}
