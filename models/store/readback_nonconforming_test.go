package store_test

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/flow"
	"tracewright/models/work/worktest"
)

// readBackNonconforming is the part of TestEveryRecordReadsBack that nonconforming
// work leaves behind.
func readBackNonconforming(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx, by := h.Store, t.Context(), h.Owner.PersonID
	wheel := h.AnotherWheel()
	n := models.Nonconformity{ID: models.NewID(), ItemID: wheel.ID, Code: "W01", Severity: models.Minor, Note: "Ω", Failed: []string{"dish"}, OpenedBy: by, OpenedAt: moment}
	opened := must(s.AddNonconformity(ctx, stamp, 31, n, models.Hold{Code: "W01", Reason: "Ω"}))
	holds := must(s.OpenHolds(ctx, wheel.ID))
	n.Number, n.Holds, n.State = "NC31-00001", []string{holds[0].ID}, models.StateHeld
	same(t, "nonconformity", must(s.NonconformityNumbered(ctx, opened.Number)), models.NonconformityView{Nonconformity: n})
	same(t, "state of its item", must(s.Item(ctx, wheel.ID)).State, models.StateHeld)
	if _, err := s.AddNonconformity(ctx, stamp, 31, models.Nonconformity{ItemID: wheel.ID, Code: "W02", Severity: models.Major}, models.Hold{}); !errors.Is(err, models.ErrConflict) || errors.Is(err, models.ErrStale) {
		t.Errorf("a second one: %v", err)
	}
	late := must(s.AddHold(ctx, stamp, models.Hold{ItemID: &wheel.ID, Code: "W15", Reason: "r"}))
	disposed := models.NonconformityStep{ID: models.NewID(), NonconformityID: n.ID, What: string(flow.ReturnSupplier), Results: []string{}, Work: "w", Again: []string{"dish"}, Supplier: "Halden", Lot: "L", Note: "n", MadeBy: by, MadeAt: moment}
	h.Must(s.AddNonconformityStep(ctx, stamp, n.ID, disposed))
	disposed.Holds, disposed.Found = []string{late.ID}, []models.FoundDefect{{Code: "W15"}}
	if err := s.AddNonconformityStep(ctx, stamp, n.ID, models.NonconformityStep{What: string(flow.ConfirmScrap)}); !errors.Is(err, models.ErrStale) {
		t.Errorf("another event than the table has: %v", err)
	}
	same(t, "the one that stands on a hold", must(s.NonconformityOn(ctx, late.ID)).Number, n.Number)
	same(t, "open of an item", must(s.OpenNonconformity(ctx, wheel.ID)).State, models.StateReturnPending)
	same(t, "open", len(must(s.OpenNonconformities(ctx))), 1)
	end := models.NonconformityStep{ID: models.NewID(), NonconformityID: n.ID, What: string(flow.ConfirmReturn), Results: []string{}, Again: []string{}, Holds: []string{}, Marked: true, MadeBy: by, MadeAt: moment}
	h.Must(s.AddNonconformityStep(ctx, stamp, n.ID, end))
	n.State = models.NonconformityClosed
	same(t, "closed", must(s.ClosedNonconformities(ctx, 5)), []models.NonconformityView{{Nonconformity: n, Steps: []models.NonconformityStep{disposed, end}}})
	same(t, "of an item", len(must(s.NonconformitiesOf(ctx, wheel.ID))), 1)
	lifted := must(s.HoldsOf(ctx, wheel.ID))
	for _, x := range lifted {
		same(t, "lift", *x.Lift, models.HoldLift{HoldID: x.ID, Code: models.LiftDisposed, Reason: n.Number, LiftedBy: by, LiftedAt: moment})
	}
	same(t, "holds that it ended", len(lifted), 2)
	_, err := s.OpenNonconformity(ctx, wheel.ID)
	notFound(t, "an open one of an item without", err)
	_, err = s.NonconformityOn(ctx, late.ID)
	notFound(t, "one on a hold that ended", err)
	_, err = s.NonconformityNumbered(ctx, "NC31-00009")
	notFound(t, "a nonconformity that is not there", err)
	_, err = s.ConcessionOf(ctx, wheel.ID)
	notFound(t, "a concession of an item without", err)

	defect := models.DefectRevision{ID: models.NewID(), Code: "W25", Revision: 1, Name: "Ω", Severity: models.Minor, Retired: true, Reason: "r", MadeBy: by, MadeAt: moment}
	h.Must(s.AddDefectRevision(ctx, stamp, defect))
	if err := s.AddDefectRevision(ctx, stamp, defect); !errors.Is(err, models.ErrConflict) {
		t.Errorf("the same revision again: %v", err)
	}
	same(t, "defect", must(s.Defects(ctx)).Now("W25"), defect)
}

// readBackCorrective is the part that corrective actions leave behind.
func readBackCorrective(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx, by := h.Store, t.Context(), h.Owner.PersonID
	stated := models.CorrectiveActionStep{ID: models.NewID(), What: models.ActionStated, Problem: "Ω", Containment: "k", Cause: "c", Action: "a", OwnerID: by, DueOn: "2031-06-01", CheckOn: "2031-07-01",
		Codes: []string{"W08"}, Lots: []string{"L"}, Nonconformities: []string{"N"}, MadeBy: by, MadeAt: moment}
	a := models.CorrectiveAction{ID: models.NewID(), OpenedBy: by, OpenedAt: moment}
	opened := must(s.AddCorrectiveAction(ctx, stamp, 31, a, stated))
	a.Number, a.State, stated.ActionID = "CA31-00001", models.ActionOpen, a.ID
	same(t, "corrective action", must(s.CorrectiveActionNumbered(ctx, opened.Number)), models.CorrectiveActionView{CorrectiveAction: a, Steps: []models.CorrectiveActionStep{stated}})
	if err := s.AddCorrectiveActionStep(ctx, stamp, a.ID, models.ActionDone, "", models.CorrectiveActionStep{What: models.ActionChecked}); !errors.Is(err, models.ErrStale) {
		t.Errorf("a step from another state: %v", err)
	}
	if err := s.AddCorrectiveActionStep(ctx, stamp, a.ID, models.ActionOpen, models.NewID(), models.CorrectiveActionStep{What: models.ActionCarried}); !errors.Is(err, models.ErrStale) {
		t.Errorf("a step on another one: %v", err)
	}
	for _, step := range []struct {
		from, to string
		models.CorrectiveActionStep
	}{{models.ActionOpen, models.ActionDone, models.CorrectiveActionStep{What: models.ActionCarried}}, {models.ActionDone, models.ActionOpen, models.CorrectiveActionStep{What: models.ActionChecked}},
		{models.ActionOpen, models.ActionDone, models.CorrectiveActionStep{What: models.ActionCarried}}, {models.ActionDone, models.ActionWorked, models.CorrectiveActionStep{What: models.ActionChecked, Worked: true}},
		{models.ActionWorked, models.ActionClosed, models.CorrectiveActionStep{What: models.ActionEnded}}} {
		same(t, "open", len(must(s.OpenCorrectiveActions(ctx))), 1)
		h.Must(s.AddCorrectiveActionStep(ctx, stamp, a.ID, step.from, must(s.CorrectiveActionNumbered(ctx, a.Number)).Newest(), step.CorrectiveActionStep))
		same(t, "state after "+step.What, must(s.CorrectiveActionNumbered(ctx, a.Number)).State, step.to)
	}
	same(t, "open", len(must(s.OpenCorrectiveActions(ctx))), 0)
	same(t, "closed", len(must(s.ClosedCorrectiveActions(ctx, 5))), 1)
	_, err := s.CorrectiveActionNumbered(ctx, "CA31-00009")
	notFound(t, "a corrective action that is not there", err)
}
