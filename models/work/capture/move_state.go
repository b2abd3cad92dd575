package capture

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/trade/flow"
	"tracewright/models/trade/kinds"
)

// move says what the inspection makes of the item's state. A pass at a judging
// stage makes work conforming; a fail leaves it where it is, for a round at the
// stand is no event. After a rework or a repair what was to be read again must
// have been. A recheck of an item already judged moves nothing, and raises a hold
// when it fails: of what is with its owner beside its state. What is on hold stays
// so: what the inspection makes of it counts from the end of the hold.
func (s *Service) move(ctx context.Context, made *models.NewInspection, stage kinds.Stage, a arrival, corrected *models.Inspection) error {
	made.StateAfter = made.StateBefore
	i := &made.Inspection
	passed := stage.Judges && (i.Verdict == models.VerdictPass || i.Verdict == models.VerdictProvisional)
	recheck, err := s.rechecks(ctx, models.Item{ID: i.ItemID, State: made.StateBefore})
	if err != nil {
		return err
	}
	switch {
	case !recheck:
		next, err := flow.After(made.StateBefore, flow.InspectPass)
		if err != nil || !passed { // Work that is not done yet is read as often as it helps.
			return nil
		}
		if made.StateBefore == models.StateReinspect {
			read := i.MeasuredAt
			if corrected != nil { // Corrected values are from when they were read.
				if read, err = models.FirstRead(ctx, *corrected, s.store.Inspection); err != nil {
					return err
				}
			}
			if ends, err := s.settles(ctx, made, read, a); err != nil || !ends {
				return err
			}
		}
		made.StateAfter = next
	default:
		i.Recheck = true
		if i.Verdict == models.VerdictFail && holdsOnFail(made.StateBefore) {
			s.holdFor(made, a)
		}
	}
	return nil
}

// rechecks says of an item that an inspection is a recheck: the work on it is done.
// Of what is stopped, by a hold or until something is decided, its state says
// nothing of that: the records of the hold do.
func (s *Service) rechecks(ctx context.Context, item models.Item) (bool, error) {
	state := item.State
	if slices.Contains([]string{models.StateHeld, models.StateConcessionPending, models.StateScrapPending, models.StateReturnPending}, state) {
		var err error
		if state, err = s.store.HeldFrom(ctx, item); err != nil {
			return false, fmt.Errorf("what item %s was before it was stopped: %w", item.ID, err)
		}
	}
	return !slices.Contains([]string{models.StateInProcess, models.StateRework, models.StateRepair, models.StateReinspect}, state), nil
}

// holdsOnFail says of a state that a failing recheck raises a hold: what is on hold,
// or waits for a disposition, is stopped already.
func holdsOnFail(state string) bool {
	return slices.Contains([]string{models.StateConforming, models.StateConceded, models.StateReleased, models.StateShipped, models.StateRecalled}, state)
}

func (s *Service) holdFor(made *models.NewInspection, a arrival) {
	itemID := made.Inspection.ItemID
	made.Hold = &models.Hold{ID: models.NewID(), ItemID: &itemID, Code: models.RecheckFailed, Reason: failedCodes(made.Results), StateBefore: made.StateBefore,
		RaisedBy: made.Inspection.PersonID, RaisedAt: a.received}
	if event := flow.HoldOf(made.StateBefore); event == flow.Hold || event == flow.RecallHold {
		made.StateAfter = models.StateHeld
	}
}

// settles says whether an inspection that passes ends the nonconformity of an item
// that was worked on: it was read after the work, all that was to be read again is
// in it, and, where the shop wants that, by another person than who did the work.
// What is missing is said by remarks.
func (s *Service) settles(ctx context.Context, made *models.NewInspection, read time.Time, a arrival) (bool, error) {
	i := &made.Inspection
	v, err := s.store.OpenNonconformity(ctx, i.ItemID)
	if err != nil {
		return false, fmt.Errorf("what is to be read again of item %s: %w", i.ItemID, err)
	}
	disposed, done := v.Last(string(flow.Rework), string(flow.Repair)), v.Last(string(flow.ReworkDone), string(flow.RepairDone))
	if disposed == nil || done == nil {
		return false, fmt.Errorf("nonconformity %s is to be inspected again without work on it", v.Number)
	}
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return false, fmt.Errorf("settings of the shop: %w", err)
	}
	var missing []models.Remark
	if !read.After(done.MadeAt) {
		missing = append(missing, models.NewRemark("read_before_rework", "number", v.Number))
	}
	for _, characteristic := range disposed.Again {
		if !slices.ContainsFunc(made.Sets, func(r models.ReadingSet) bool { return r.Code == characteristic }) {
			missing = append(missing, models.NewRemark("not_read_again", "characteristic", characteristic, "number", v.Number))
		}
	}
	if what := strings.TrimPrefix(disposed.What, "dispose_"); done.MadeBy == i.PersonID && models.WantsSecond(settings, what) {
		missing = append(missing, models.NewRemark("second_person_reads", "number", v.Number))
	}
	if len(missing) > 0 {
		i.Remarks = append(i.Remarks, missing...)
		return false, nil
	}
	made.Passed = &models.NonconformityPassed{Step: models.NonconformityStep{ID: models.NewID(), NonconformityID: v.ID, What: string(flow.InspectPass), InspectionID: &i.ID, MadeBy: i.PersonID, MadeAt: a.received}}
	holds, err := s.store.OpenHolds(ctx, i.ItemID)
	if err != nil {
		return false, fmt.Errorf("holds on item %s: %w", i.ItemID, err)
	}
	for _, h := range holds {
		if slices.Contains(v.AllHolds(), h.ID) && !h.OfAnother() {
			made.Passed.Lifts = append(made.Passed.Lifts, models.HoldLift{HoldID: h.ID, Code: models.LiftDisposed, Reason: v.Number, LiftedBy: i.PersonID, LiftedAt: a.received})
		}
	}
	return true, nil
}

func failedCodes(results []models.Result) string {
	var codes []string
	for _, r := range results {
		if models.Failed(r.Verdict) {
			codes = append(codes, r.Code)
		}
	}
	return strings.Join(codes, ", ")
}
