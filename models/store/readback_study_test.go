package store_test

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackStudies is the part of TestEveryRecordReadsBack that a gauge study and a
// budget of uncertainty leave behind.
func readBackStudies(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx, by := h.Store, t.Context(), h.Owner.PersonID
	family := *h.Item[models.KindWheel].FamilyID
	spec := must(s.SpecificationInForce(ctx, family, nil))
	gauge := must(s.InstrumentsByCode(ctx, []string{"D-1"}))[0]
	study := models.GaugeStudy{ID: models.NewID(), Design: models.StudyCrossed, InstrumentID: gauge.ID, FamilyID: family, SpecificationID: spec.ID, Characteristic: "lateral_runout", Result: "lateral_tir", Unit: "mm",
		Units: []string{"mm"}, High: "0.30", Persons: []string{by, h.Operator.PersonID}, Items: []models.StudyItem{{Name: "Ω <&>", Reference: "0.10"}, {Name: "B"}}, Repeats: 1, Seed: -1 << 62,
		Turns: []models.StudyTurn{{Person: 1, Item: 0, Repeat: 1}, {Person: 0, Item: 1, Repeat: 1}}, Note: "n & m", PlannedAt: moment, PlannedBy: by}
	added := must(s.AddStudy(ctx, stamp, study))
	study.Number = 1
	same(t, "study", added, study)
	first := models.StudyReading{ID: models.NewID(), StudyID: study.ID, Turn: 1, Typed: ",210", TypedUnit: "mm", Value: "0.210", PersonID: by, EnteredBy: by, EnteredAt: moment}
	h.Must(s.AddStudyReading(ctx, stamp, first))
	strike := models.StudyStrike{ReadingID: first.ID, Reason: "r & s", StruckBy: by, StruckAt: moment}
	h.Must(s.StrikeStudyReading(ctx, stamp, strike))
	second := first
	second.ID, second.Typed, second.Value = models.NewID(), "0.22", "0.22"
	h.Must(s.AddStudyReading(ctx, stamp, second))
	budget := models.UncertaintyBudget{ID: models.NewID(), FamilyID: family, Result: "lateral_tir", Revision: 1, Unit: "mm", Coverage: "0.9545", Combined: "0.01", K: "2", Freedom: "9", U: "0.020", StudyID: &study.ID, Reason: "1",
		Lines: []models.BudgetLine{{Source: models.FromStudy, Name: "Ω", Shape: "repeats", Value: "0.0100", N: 1, Freedom: "9", StudyID: study.ID}}, MadeAt: moment, MadeBy: by}
	end := models.StudyEnd{StudyID: study.ID, What: models.StudyConfirmed, Reason: "r", Figures: []models.StudyFigure{{Code: "gauge", Value: "0.0100"}}, MadeAt: moment, MadeBy: by}
	h.Must(s.EndStudy(ctx, stamp, end, &budget))
	want := models.StudyView{Study: study, Readings: []models.StudyReading{first, second}, Strikes: map[string]models.StudyStrike{first.ID: strike}, End: &end}
	same(t, "study by its number", must(s.StudyNumbered(ctx, 1)), want)
	same(t, "studies", must(s.Studies(ctx)), []models.GaugeStudy{study})
	same(t, "budget", must(s.Budget(ctx, budget.ID)), budget)
	same(t, "budgets", must(s.Budgets(ctx, family)), []models.UncertaintyBudget{budget})
	same(t, "budgets of all", must(s.Budgets(ctx, "")), []models.UncertaintyBudget{budget})
	if err := s.EndStudy(ctx, stamp, end, nil); !errors.Is(err, models.ErrStale) {
		t.Errorf("ended twice: %v", err)
	}
	third := second
	third.ID, third.Turn = models.NewID(), 0
	if err := s.AddStudyReading(ctx, stamp, third); !errors.Is(err, models.ErrStale) {
		t.Errorf("read after its end: %v", err)
	}
	if err := s.AddBudget(ctx, stamp, budget); !errors.Is(err, models.ErrConflict) {
		t.Errorf("the same revision of a budget twice: %v", err)
	}
	for _, e := range []models.Recorded{study, first, strike, end, budget} {
		kind, subject, _ := e.TrailName()
		digest, found := must(models.Digest(e)), false
		for _, entry := range must(s.TrailOf(ctx, []string{subject}, 9)) {
			found = found || entry.Kind == kind && entry.Digest == digest
		}
		if !found {
			t.Errorf("%T left no entry with the digest %s", e, digest)
		}
	}
}
