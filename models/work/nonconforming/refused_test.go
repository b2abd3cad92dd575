package nonconforming_test

import (
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/nonconforming"
	"tracewright/models/work/worktest"
)

// Bad input to every step is said, and leaves everything as it was.
func TestWhatIsWrongWithAStepIsSaid(t *testing.T) {
	b := on(worktest.New(t))
	in := nonconforming.Opening{Item: b.wheel.ID, Code: "W99", Note: " \x00 "}
	_, err := b.work.Add(t.Context(), b.Operator, in)
	worktest.WantProblems(t, err, "code: unknown_code", "note: reason_needed")
	in.Code, in.Note = "W01", strings.Repeat("x", 501)
	_, err = b.work.Add(t.Context(), b.Operator, in)
	worktest.WantProblems(t, err, "note: too_long")
	in.Note = strings.Repeat("x", 500)
	v, err := b.work.Add(t.Context(), b.Operator, in)
	b.Must(err)
	b.number = v.Number
	b.is(models.StateHeld)
	worktest.WantProblems(t, b.work.Note(t.Context(), b.Operator, b.number, " "), "note: missing")
	worktest.WantProblems(t, b.work.Note(t.Context(), b.Operator, b.number, strings.Repeat("x", 501)), "note: too_long")
	worktest.WantProblems(t, b.work.Dispose(t.Context(), b.Owner, b.number, nonconforming.Disposition{What: "sell", Note: "r"}), "what: unknown_choice")
	worktest.WantProblems(t, b.work.Dispose(t.Context(), b.Owner, b.number, nonconforming.Disposition{What: "scrap"}), "note: reason_needed")
	b.Must(b.dispose("use_as_is", ""))
	worktest.WantProblems(t, b.work.Approve(t.Context(), b.Owner, b.number, false, ""), "note: reason_needed")
	b.is(models.StateConcessionPending)
	b.Must(b.work.Approve(t.Context(), b.Owner, b.number, false, "it is not"))
	b.Must(b.dispose("scrap", ""))
	worktest.WantProblems(t, b.work.Confirm(t.Context(), b.Owner, b.number, false, ""), "marked: scrap_unmarked")
	b.is(models.StateScrapPending)
	b.Must(b.work.Confirm(t.Context(), b.Owner, b.number, true, ""))
	b.refuses(b.work.Note(t.Context(), b.Operator, b.number, "late"), "nonconformity_closed")
}

// It names the newest inspection that judges and stands, and what failed in it: not the
// one before relief that came after, nor one that was moved to another wheel.
func TestItNamesTheInspectionThatJudged(t *testing.T) {
	b := on(worktest.New(t))
	judged := b.read(models.AfterRelief, "0.9")
	b.read(models.BeforeRelief, "2.0")
	b.later()
	moved := b.Extremes()
	moved.Sets[1].Values = []string{"3.00", "0.00"}
	b.MustRecord(moved)
	b.later()
	again := b.Extremes()
	again.Serial, again.Corrects, again.Reason = *b.AnotherWheel().Serial, moved.ID, "the other wheel"
	again.Sets[1].Values = moved.Sets[1].Values
	b.MustRecord(again)
	b.open()
	v, err := b.work.One(t.Context(), b.number)
	b.Must(err)
	if v.InspectionID == nil || *v.InspectionID != judged.ID || !slices.Equal(v.Failed, []string{"lateral_runout"}) {
		t.Errorf("it names %v and what failed in it, %v; want %s and the lateral run-out", v.InspectionID, v.Failed, judged.ID)
	}
}

// What lies in a guard band failed too, as far as what is read again goes.
func TestWhatIsUndecidedIsReadAgain(t *testing.T) {
	b := on(worktest.New(t))
	spec, err := b.Store.SpecificationInForce(t.Context(), *b.wheel.FamilyID, b.wheel.ProductID)
	b.Must(err)
	spec.ID, spec.Revision, spec.Reason = models.NewID(), spec.Revision+1, "guarded"
	limit := &spec.Characteristics[0].Results[0]
	limit.U, limit.Rule, limit.GuardFactor = "0.05", "nonbinary", "1"
	b.Must(b.Store.AddSpecification(t.Context(), models.NewStamp(b.Owner, b.Now), spec))
	b.read(models.AfterRelief, "0.27") // 0.30 less 0.05 is 0.25: neither yes nor no.
	b.open()
	v, err := b.work.One(t.Context(), b.number)
	b.Must(err)
	if !slices.Equal(v.Failed, []string{"lateral_runout"}) {
		t.Errorf("failed are %v", v.Failed)
	}
}

// What the specification asks for no more is not read again, though it failed.
func TestWhatIsAskedNoMoreIsNotReadAgain(t *testing.T) {
	b := on(worktest.New(t))
	b.read(models.AfterRelief, "0.9")
	b.open()
	spec, err := b.Store.SpecificationInForce(t.Context(), *b.wheel.FamilyID, b.wheel.ProductID)
	b.Must(err)
	spec.ID, spec.Revision, spec.Reason = models.NewID(), spec.Revision+1, "no run-out"
	spec.Characteristics = slices.DeleteFunc(spec.Characteristics, func(c models.Characteristic) bool { return c.Code == "lateral_runout" })
	b.Must(b.Store.AddSpecification(t.Context(), models.NewStamp(b.Owner, b.Now), spec))
	b.Must(b.dispose("rework", "retension"))
	v, err := b.work.One(t.Context(), b.number)
	b.Must(err)
	if again := v.Last("dispose_rework").Again; len(again) == 0 || slices.Contains(again, "lateral_runout") {
		t.Errorf("to be read again: %v", again)
	}
}

// A result that failed at two blocks of a pack is conceded once.
func TestAResultIsConcededOnce(t *testing.T) {
	b := on(worktest.New(t))
	pack := b.Item[models.KindPack]
	spec, err := b.Store.SpecificationInForce(t.Context(), *pack.FamilyID, pack.ProductID)
	b.Must(err)
	spec.ID, spec.Revision, spec.Reason = models.NewID(), spec.Revision+1, "each block"
	for i := range spec.Characteristics {
		for j := range spec.Characteristics[i].Results {
			if l := &spec.Characteristics[i].Results[j]; l.Result == "block_ocv25" {
				l.Low = "12.50"
			}
		}
	}
	b.Must(b.Store.AddSpecification(t.Context(), models.NewStamp(b.Owner, b.Now), spec))
	bad := b.Pack()
	bad.Sets[0].Values = []string{"11.90", "11.91", "12.91"}
	b.MustRecord(bad)
	b.later()
	v, err := b.work.Add(t.Context(), b.Operator, nonconforming.Opening{Item: pack.ID, Code: "P04", Note: "two are low"})
	b.Must(err)
	b.number = v.Number
	b.Must(b.dispose("use_as_is", ""))
	v, err = b.work.One(t.Context(), b.number)
	b.Must(err)
	results := v.Last("dispose_use_as_is").Results
	if !slices.Contains(results, "block_ocv25") || len(results) != len(slices.Compact(slices.Sorted(slices.Values(results)))) {
		t.Errorf("conceded are %v", results)
	}
}

// The worst stand first, by all that was found: one that was opened later and found to
// touch safety since comes before an older one.
func TestTheWorstStandFirst(t *testing.T) {
	b := on(worktest.New(t))
	older, err := b.work.Add(t.Context(), b.Operator, nonconforming.Opening{Item: b.AnotherWheel().ID, Code: "W01", Note: "r"})
	b.Must(err)
	b.read(models.AfterRelief, "0.9")
	b.open()
	b.Must(b.dispose("rework", "retension"))
	b.Must(b.work.Done(t.Context(), b.Operator, b.number, ""))
	b.later()
	_, err = b.work.Add(t.Context(), b.Operator, nonconforming.Opening{Item: b.wheel.ID, Code: "W15", Note: "a crack"})
	b.Must(err)
	open, err := b.work.Open(t.Context())
	b.Must(err)
	if len(open) != 2 || open[0].Number != b.number || open[1].Number != older.Number {
		t.Errorf("they stand as %+v", open)
	}
}

// A block goes back to whom it came from, where nobody names another.
func TestABlockGoesBackToItsSupplier(t *testing.T) {
	b := on(worktest.New(t))
	number := "H12-1"
	block := models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "H12", MakerNumber: &number, State: models.StateInProcess, Origin: "received"}
	b.Must(b.Store.AddItems(t.Context(), models.NewStamp(b.Owner, b.Now), []models.Item{block}))
	v, err := b.work.Add(t.Context(), b.Operator, nonconforming.Opening{Item: block.ID, Code: "P04", Note: "bulges"})
	b.Must(err)
	b.number = v.Number
	b.Must(b.dispose("return_supplier", ""))
	v, err = b.work.One(t.Context(), b.number)
	b.Must(err)
	if got := v.Last("dispose_return_supplier").Supplier; got != "Halden" {
		t.Errorf("it goes back to %q", got)
	}
}
