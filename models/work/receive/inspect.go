package receive

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
)

// mostCodes is more faults than anybody finds in one sample.
const mostCodes = 20

// Looked is what an incoming inspection found. Each bad piece counts once, under
// its worst fault.
type Looked struct {
	Lot    string // code
	Plan   models.LotPlan
	Looked int
	Bad    []models.DefectCount
	Note   string
}

// Inspect keeps an incoming inspection and judges it by its plan: rejected with
// more bad pieces than the plan allows, however few were looked at; accepted
// when the whole sample was; unfinished otherwise. A lot that is rejected is in
// quarantine from then on. The code "other" needs a note.
func (s *Service) Inspect(ctx context.Context, actor models.Actor, in Looked) (models.LotCheck, error) {
	lot, err := s.lot(ctx, in.Lot)
	if err != nil {
		return models.LotCheck{}, err
	}
	defects, err := s.store.Defects(ctx)
	if err != nil {
		return models.LotCheck{}, fmt.Errorf("codes of defects: %w", err)
	}
	invalid := &models.InvalidError{}
	check(invalid, field{"note", &in.Note, false, longestReason})
	sample, err := s.sample(ctx, lot, in.Plan)
	if err != nil {
		return models.LotCheck{}, err
	}
	if sample.Plan.Kind == models.PlanNone {
		invalid.Add("plan", "missing")
	}
	stamp := models.NewStamp(actor, s.now())
	out := models.LotCheck{ID: models.NewID(), LotID: lot.ID, Plan: sample.Plan, Lot: sample.Lot, Size: sample.Size, Accept: sample.Accept, Looked: in.Looked, Bad: checkBad(invalid, in, defects), Note: in.Note,
		CheckedBy: actor.String(), CheckedAt: stamp.At}
	switch {
	case in.Looked < 1:
		invalid.Add("looked", "too_small", "least", "1")
	case sample.Lot == 0 && in.Looked > mostInLot:
		invalid.Add("looked", "too_big", "most", fmt.Sprint(mostInLot))
	case sample.Lot > 0 && in.Looked > sample.Lot:
		invalid.Add("looked", "more_than_came", "most", fmt.Sprint(sample.Lot))
	case out.BadPieces() > in.Looked:
		invalid.Add("bad", "more_bad_than_looked", "got", fmt.Sprint(out.BadPieces()), "most", fmt.Sprint(in.Looked))
	}
	if err := invalid.OrNil(); err != nil {
		return models.LotCheck{}, err
	}
	var follows *models.LotDecision
	switch {
	case out.BadPieces() > out.Accept:
		out.Verdict = models.CheckRejected
		follows = &models.LotDecision{ID: models.NewID(), LotID: lot.ID, Decision: models.LotQuarantine, CheckID: &out.ID, DecidedBy: out.CheckedBy, DecidedAt: out.CheckedAt}
	case out.Looked >= out.Size:
		out.Verdict = models.CheckAccepted
	default:
		out.Verdict = models.CheckUnfinished
	}
	return out, s.store.AddLotCheck(ctx, stamp, out, follows)
}

// sample works the plan out for what came of the lot.
func (s *Service) sample(ctx context.Context, lot models.Lot, plan models.LotPlan) (Sample, error) {
	totals, err := s.store.LotTotals(ctx, []string{lot.ID})
	if err != nil {
		return Sample{}, err
	}
	return Work(plan, totals[lot.ID].Came(lot))
}

func checkBad(invalid *models.InvalidError, in Looked, defects models.Defects) []models.DefectCount {
	bad := []models.DefectCount{}
	if len(in.Bad) > mostCodes {
		invalid.Add("bad", "too_big", "most", fmt.Sprint(mostCodes))
		return bad
	}
	for i, b := range in.Bad {
		path := fmt.Sprintf("bad[%d]", i)
		switch {
		case !defects.Offered(b.Code):
			invalid.Add(path+".code", "unknown_code", "code", models.Shortened(b.Code))
		case slices.ContainsFunc(in.Bad[:i], func(x models.DefectCount) bool { return x.Code == b.Code }):
			invalid.Add(path+".code", "listed_twice", "code", b.Code)
		case b.Count < 1 || b.Count > mostInLot:
			invalid.Add(path+".count", "too_small", "least", "1")
		case b.Code == "other" && in.Note == "":
			invalid.Add("note", "reason_needed")
		}
		bad = append(bad, b)
	}
	return bad
}
