package gauges

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
	"tracewright/models/numbers/measure"
)

// atOnce is how many inspections are judged again together.
const atOnce = 200

// Trace finds what an instrument that was found out of tolerance had measured,
// judges it again with the error taken off, and freezes the answer. Asked again
// for the same failure, it adds the answer of that day: what a tablet sent since
// is in it.
func (s *Service) Trace(ctx context.Context, actor models.Actor, code, cause, id string) (models.GaugeTrace, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return models.GaugeTrace{}, err
	}
	f, err := s.failed(ctx, v.Instrument, cause, id)
	if err != nil {
		return models.GaugeTrace{}, err
	}
	content, err := s.traced(ctx, f)
	if err != nil {
		return models.GaugeTrace{}, fmt.Errorf("reverse trace of %s: %w", v.Instrument.Code, err)
	}
	raw, err := json.Marshal(content)
	if err != nil {
		return models.GaugeTrace{}, fmt.Errorf("write the reverse trace of %s: %w", v.Instrument.Code, err)
	}
	sum := sha256.Sum256(raw)
	trace, err := s.store.AddGaugeTrace(ctx, models.NewStamp(actor, s.now()), models.GaugeTrace{ID: models.NewID(), InstrumentID: v.Instrument.ID, Cause: cause, CauseID: id,
		Content: string(raw), ContentHash: hex.EncodeToString(sum[:])})
	if err != nil {
		return models.GaugeTrace{}, fmt.Errorf("keep the reverse trace of %s: %w", v.Instrument.Code, err)
	}
	return trace, nil
}

// traced is what a trace finds now.
func (s *Service) traced(ctx context.Context, f failure) (models.TraceContent, error) {
	c := models.TraceContent{Instrument: f.instrument.Code, Unit: f.instrument.Unit, Cause: f.cause, At: f.at, Windows: []models.TraceWindow{}, Errors: f.errors, Sets: []models.TraceSet{}}
	windows, err := s.windows(ctx, f)
	if err != nil {
		return c, err
	}
	codes, err := s.codes(ctx)
	if err != nil {
		return c, err
	}
	var taken []models.TakenSet
	for _, w := range windows {
		shown := models.TraceWindow{InstrumentID: w.Instrument, Instrument: codes[w.Instrument], PassedOn: w.Instrument != f.instrument.ID}
		from, until := time.Time{}, s.now()
		if !w.Open {
			from = w.From
			shown.From = &w.From
		}
		if w.Until.Before(gauge.Forever) {
			until = w.Until
			shown.Until = &w.Until
		}
		c.Windows = append(c.Windows, shown)
		found, err := s.store.SetsTakenWith(ctx, w.Instrument, from, until)
		if err != nil {
			return c, fmt.Errorf("what %s measured: %w", shown.Instrument, err)
		}
		taken = append(taken, found...)
	}
	c.Sets, err = s.effects(ctx, f, distinct(taken), codes)
	return c, err
}

// distinct drops what two windows hold, and puts the sets in the order of time.
func distinct(taken []models.TakenSet) []models.TakenSet {
	seen := map[[3]string]bool{}
	taken = slices.DeleteFunc(taken, func(t models.TakenSet) bool {
		key := [3]string{t.InspectionID, t.Code, t.Method}
		twice := seen[key]
		seen[key] = true
		return twice
	})
	slices.SortStableFunc(taken, func(a, b models.TakenSet) int { return a.MeasuredAt.Compare(b.MeasuredAt) })
	return taken
}

// effects says of every set what the failure means for it. The newest set of a
// characteristic that stands for an item decides about the item; what was
// corrected or measured again since is said, and decides nothing.
func (s *Service) effects(ctx context.Context, f failure, taken []models.TakenSet, codes map[string]string) ([]models.TraceSet, error) {
	sets := make([]models.TraceSet, 0, len(taken))
	if len(taken) == 0 {
		return sets, nil
	}
	items, err := s.itemsOf(ctx, taken)
	if err != nil {
		return nil, err
	}
	holders, err := s.holders(ctx, items)
	if err != nil {
		return nil, err
	}
	standing, err := s.store.StandingSets(ctx, keysOf(holders))
	if err != nil {
		return nil, fmt.Errorf("what was measured since: %w", err)
	}
	newest := map[[2]string]string{}
	for _, t := range standing { // In the order of time: the last one stays.
		newest[[2]string{t.ItemID, t.Code}] = t.InspectionID
	}
	again := map[string][]int{} // indexes of sets that are judged again, by inspection
	for _, t := range taken {
		set := models.TraceSet{Inspection: t.InspectionID, Item: t.ItemID, Code: t.Code, Method: t.Method, Instrument: codes[*t.InstrumentID], MeasuredAt: t.MeasuredAt.UTC(), Where: models.Whereabouts(holders[t.ItemID].state)}
		switch {
		case t.Replaced:
			set.Effect = models.SetReplaced
		case newest[[2]string{t.ItemID, t.Code}] != t.InspectionID:
			set.Effect = models.SetMeasuredNew
		case *t.InstrumentID != f.instrument.ID:
			set.Effect, set.Reason = models.SetNotKnown, "standard_failed"
		default:
			again[t.InspectionID] = append(again[t.InspectionID], len(sets))
		}
		sets = append(sets, set)
	}
	return sets, s.judgeAgain(ctx, f, sets, again)
}

// holder is what something goes out with, and the state of that.
type holder struct{ id, state string }

// holders maps items to what each goes out with: a part to what it is built into in
// the end, everything else to itself.
func (s *Service) holders(ctx context.Context, items []models.Item) (map[string]holder, error) {
	out, parts := map[string]holder{}, []string{}
	for i := range items {
		out[items[i].ID] = holder{items[i].ID, items[i].State}
		if models.IsPart(items[i].Kind) {
			parts = append(parts, items[i].ID)
		}
	}
	if len(parts) == 0 {
		return out, nil
	}
	traced, err := s.store.OutputsOfParts(ctx, parts)
	if err != nil {
		return nil, fmt.Errorf("what parts are built into: %w", err)
	}
	in, state := map[string]string{}, map[string]string{}
	for i := range traced.Fitted {
		if p := &traced.Fitted[i]; p.PartID != nil && p.OutAt == nil {
			in[*p.PartID] = p.ItemID
		}
	}
	for i := range traced.Items {
		state[traced.Items[i].ID] = traced.Items[i].State
	}
	for _, part := range parts {
		at := part
		for range in { // No longer than that: a loop in the records ends.
			next := in[at]
			if next == "" {
				break
			}
			at = next
		}
		if at != part {
			out[part] = holder{at, state[at]}
		}
	}
	return out, nil
}

func (s *Service) itemsOf(ctx context.Context, taken []models.TakenSet) ([]models.Item, error) {
	named := map[string]bool{}
	for _, t := range taken {
		named[t.ItemID] = true
	}
	items, err := s.store.ItemsByID(ctx, keysOf(named))
	if err != nil {
		return nil, fmt.Errorf("items measured: %w", err)
	}
	return items, nil
}

func keysOf[V any](m map[string]V) []string {
	list := make([]string, 0, len(m))
	for k := range m {
		list = append(list, k)
	}
	slices.Sort(list)
	return list
}

// judgeAgain fills in the effect of the sets at the indexes given by inspection.
func (s *Service) judgeAgain(ctx context.Context, f failure, sets []models.TraceSet, again map[string][]int) error {
	found, notKnown := newAsFound(f.instrument.Unit, f.errors)
	correct := func(set models.ReadingSet, unit measure.Unit, value measure.Decimal) (measure.Decimal, error) {
		if set.InstrumentID == nil || *set.InstrumentID != f.instrument.ID {
			return value, nil
		}
		if notKnown != nil {
			return value, notKnown
		}
		return found.off(unit, value)
	}
	for ids := range slices.Chunk(keysOf(again), atOnce) {
		views, err := s.store.InspectionViews(ctx, ids)
		if err != nil {
			return fmt.Errorf("inspections to judge again: %w", err)
		}
		judged, err := s.judge.Rejudge(ctx, views, correct)
		if err != nil {
			return fmt.Errorf("judge again: %w", err)
		}
		for _, v := range views {
			for n, at := range again[v.Inspection.ID] {
				compare(&sets[at], v, judged[v.Inspection.ID], n == 0, suspectCodes(sets, again[v.Inspection.ID]))
			}
		}
	}
	return nil
}

func suspectCodes(sets []models.TraceSet, at []int) map[string]bool {
	codes := map[string]bool{}
	for _, i := range at {
		codes[sets[i].Code] = true
	}
	return codes
}

// compare holds the verdicts of one set against those without the error. A
// result that changes and belongs to a characteristic read with another gauge is
// counted with the first set.
func compare(set *models.TraceSet, v models.InspectionView, judged models.Rejudged, first bool, suspect map[string]bool) {
	if judged.Err != nil {
		set.Effect, set.Reason = models.SetNotKnown, "cannot_be_judged"
		switch {
		case errors.Is(judged.Err, gauge.ErrOutOfCalibratedRange):
			set.Reason = "out_of_calibrated_range"
		case errors.Is(judged.Err, errTurnsBack):
			set.Reason = "as_found_turns_back"
		}
		return
	}
	after := map[[2]string]models.Result{}
	for _, r := range judged.Results {
		after[[2]string{r.Code, r.Position}] = r
	}
	lost, failed, failing := false, false, false
	for _, before := range v.Results {
		_, characteristic, _ := v.Specification.Limit(before.Code)
		now := after[[2]string{before.Code, before.Position}]
		own := characteristic.Code == set.Code
		other := first && !suspect[characteristic.Code] && now.Value != before.Value
		if before.Verdict == models.VerdictNone || !own && !other {
			continue
		}
		set.Results = append(set.Results, models.TraceResult{Code: before.Code, Position: before.Position, Unit: before.Unit, Value: before.Value, Verdict: before.Verdict, Now: now.Value, Then: now.Verdict, Low: before.Low, High: before.High})
		passed, passes := before.Verdict == models.VerdictPass, now.Verdict == models.VerdictPass
		lost = lost || passed && !passes
		failed = failed || !passed
		failing = failing || !passes
	}
	switch {
	case len(set.Results) == 0:
		set.Effect = models.SetUnlimited
	case lost:
		set.Effect = models.SetNoLonger
	case failed && failing:
		set.Effect = models.SetFailed
	case failed:
		set.Effect = models.SetPassesNow
	default:
		set.Effect = models.SetStaysGood
	}
}
