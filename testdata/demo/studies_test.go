package demo

import (
	"math"
	"path/filepath"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/studies"
)

// The dial was read by three on ten wheels, each twice, with a scatter of 5 um put
// in and the third person 6 um high: the study finds that again, within what sixty
// readings in steps of 10 um can tell, and stands in the budget. The tension gauge is
// checked every week, and goes on.
func TestTwoGaugesWereStudied(t *testing.T) {
	full(t, Story)
	opened, err := store.Open(t.Context(), "sqlite:"+filepath.Join(wholeFolder, Story, "shop.db"), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer opened.Close()
	service := studies.New(opened, func() time.Time { return testDay })
	list, err := service.Studies(t.Context())
	if err != nil || len(list) != 2 {
		t.Fatalf("%d studies, %v; want 2", len(list), err)
	}
	dial, weight := list[0], list[1]
	if dial.Study.Design != models.StudyCrossed {
		dial, weight = weight, dial
	}
	if dial.End == nil || dial.End.What != models.StudyConfirmed || len(dial.Readings) != 60 {
		t.Fatalf("the study of the dial has %d readings and ended by %+v", len(dial.Readings), dial.End)
	}
	r, err := studies.Evaluate(dial)
	if err != nil {
		t.Fatal(err)
	}
	// Steps of 10 um add 10/sqrt(12) to the 5 um: 5.8 um together.
	if sd := r.Crossed.Summary.Repeatability; math.Abs(sd-0.0058) > 0.0020 {
		t.Errorf("one person reading again scatters by %.4f mm, 0.0058 were put in", sd)
	}
	if r.Judgement != studies.MayDo {
		t.Errorf("judged %s at %.1f %% of the tolerance", r.Judgement, r.Share)
	}
	budget, err := service.NewestBudget(t.Context(), dial.Study.FamilyID, "lateral_tir")
	if err != nil || budget == nil || budget.StudyID == nil || *budget.StudyID != dial.Study.ID {
		t.Errorf("the budget is %+v, %v", budget, err)
	}
	if weight.End != nil || weight.Left() == 0 || weight.Left() > 10 {
		t.Errorf("the weekly check has %d of %d to go, ended %v", weight.Left(), len(weight.Study.Turns), weight.End != nil)
	}
}
