package nonconforming_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/claims"
	"tracewright/models/work/nonconforming"
	"tracewright/models/work/release"
	"tracewright/models/work/worktest"
)

// bench is a workshop with the services that move an item.
type bench struct {
	*worktest.Shop
	work   *nonconforming.Service
	gate   *release.Service
	claims *claims.Service
	wheel  models.Item
	number string // of the nonconformity in hand
}

func on(h *worktest.Shop) *bench {
	gate := release.New(h.Store, h.Clock, worktest.Zone, func(release.Drawing) ([]byte, error) { return nil, errors.New("no paper") })
	gate.SealBy(worktest.NewSigner())
	return &bench{Shop: h, work: nonconforming.New(h.Store, h.Clock, worktest.Zone), claims: claims.New(h.Store, h.Clock, worktest.Zone), wheel: h.Item[models.KindWheel], gate: gate}
}

// later lets time pass, so that what follows is after what was.
func (b *bench) later() { b.Now = b.Now.Add(20 * time.Minute) }

// read records the wheel at a stage; swing is its lateral run-out, half of it up
// and half down: 0.3 passes just, 0.9 does not.
func (b *bench) read(stage, swing string) models.Inspection {
	b.Helper()
	b.later()
	sub := b.Extremes()
	sub.Stage = stage
	sub.Sets[0].Values = []string{swing, "0.00"}
	return b.MustRecord(sub).Inspection
}

func (b *bench) open() {
	b.Helper()
	b.later()
	v, err := b.work.Add(b.Context(), b.Operator, nonconforming.Opening{Item: *b.wheel.Serial, Code: "W01", Note: "swings at the joint"})
	b.Must(err)
	b.number = v.Number
}

func (b *bench) dispose(what, work string) error {
	b.later()
	return b.work.Dispose(b.Context(), b.Owner, b.number, nonconforming.Disposition{What: what, Work: work, Note: "so"})
}

func (b *bench) is(state string) {
	b.Helper()
	item, err := b.Store.Item(b.Context(), b.wheel.ID)
	b.Must(err)
	if item.State != state {
		b.Fatalf("the wheel is %s, want %s", item.State, state)
	}
}

// blocked lists what the gate has against the wheel.
func (b *bench) blocked() string {
	b.Helper()
	against, err := b.gate.Gate(b.Context(), b.wheel.ID)
	b.Must(err)
	var codes []string
	for _, r := range against {
		codes = append(codes, r.Code)
	}
	return strings.Join(codes, " ")
}

func refused(err error) string {
	var r *models.RefusedError
	var i *models.InvalidError
	switch {
	case errors.As(err, &r):
		return r.Reasons[0].Code
	case errors.As(err, &i):
		return i.Problems[0].Field + ": " + i.Problems[0].Code
	}
	return fmt.Sprint(err)
}

func (b *bench) refuses(err error, want string) {
	b.Helper()
	if got := refused(err); got != want {
		b.Fatalf("refused with %q, want %q", got, want)
	}
}

// From a fail to a certificate by way of a rework: the hold ends only by that, a
// round in between moves nothing, readings from before the work do not count, and
// the first reading stays the first.
func TestReworkUntilItConforms(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		first := b.read(models.AfterRelief, "0.9")
		b.is(models.StateInProcess)
		b.open()
		b.is(models.StateHeld)
		holds, err := b.Store.OpenHolds(t.Context(), b.wheel.ID)
		b.Must(err)
		_, err = b.gate.LiftHold(t.Context(), b.Owner, holds[0].ID, "corrected", "it is right now")
		b.refuses(err, "hold_needs_disposition")
		if err := b.Store.LiftHold(t.Context(), models.NewStamp(b.Owner, b.Now), models.HoldLift{HoldID: holds[0].ID, Code: "corrected", Reason: "r"}); !errors.Is(err, models.ErrStale) {
			t.Errorf("lifted behind the service: %v", err)
		}
		_, err = b.gate.Issue(t.Context(), b.Owner, b.wheel.ID, "")
		b.refuses(err, "result_failed")
		b.refuses(b.work.Done(t.Context(), b.Operator, b.number, ""), "nonconformity_other_state")
		b.refuses(b.dispose("rework", ""), "work: unknown_choice")
		b.Must(b.dispose("rework", "retension"))
		b.is(models.StateRework)
		b.read(models.AfterRelief, "0.2")
		b.is(models.StateRework)
		b.Must(b.work.Done(t.Context(), b.Operator, b.number, "trued"))
		b.is(models.StateReinspect)
		early := b.Extremes()
		early.StartedAt, early.FinishedAt = b.Now.Add(-10*time.Minute), b.Now.Add(-5*time.Minute)
		if got := b.MustRecord(early).Inspection.Remarks; !slices.ContainsFunc(got, func(r models.Remark) bool { return r.Code == "read_before_rework" }) {
			t.Errorf("readings from before the work: %+v", got)
		}
		b.is(models.StateReinspect)
		if got := b.blocked(); got != "waits_in_state on_hold" {
			t.Errorf("blocked by %q while it waits to be inspected", got)
		}
		b.read(models.AfterRelief, "0.8")
		b.is(models.StateReinspect)
		last := b.read(models.AfterRelief, "0.2")
		b.is(models.StateConforming)
		v, err := b.work.One(t.Context(), b.number)
		b.Must(err)
		passed := v.Last("inspect_pass")
		if v.State != models.NonconformityClosed || passed == nil || *passed.InspectionID != last.ID || len(v.Steps) != 3 {
			t.Errorf("after the pass: %+v", v)
		}
		if got := v.Last("dispose_rework").Again; !slices.Equal(got, []string{"dish", "lateral_runout", "radial_runout", "tension_a", "tension_b"}) {
			t.Errorf("to be read again: %v", got)
		}
		if got := b.blocked(); got != "" {
			t.Errorf("blocked by %q after it passed", got)
		}
		if _, err := b.gate.Issue(t.Context(), b.Owner, b.wheel.ID, ""); err != nil {
			t.Error(err)
		}
		b.is(models.StateReleased)
		stored, err := b.Store.Inspection(t.Context(), first.ID)
		b.Must(err)
		if !stored.FirstSet || stored.Verdict != models.VerdictFail {
			t.Errorf("the first reading became %+v", stored)
		}
		b.refuses(b.work.Note(t.Context(), b.Operator, b.number, "late"), "nonconformity_closed")
	})
}

// What was to be read again is read again, even where a specification that is in
// force meanwhile asks no more for it.
func TestWhatIsNotReadAgainIsMissed(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		b.read(models.AfterRelief, "0.9")
		b.open()
		b.Must(b.dispose("rework", "retension"))
		b.Must(b.work.Done(t.Context(), b.Operator, b.number, ""))
		spec, err := b.Store.SpecificationInForce(t.Context(), *b.wheel.FamilyID, b.wheel.ProductID)
		b.Must(err)
		spec.ID, spec.Revision, spec.Reason = models.NewID(), spec.Revision+1, "no dish"
		spec.Characteristics = slices.DeleteFunc(slices.Clone(spec.Characteristics), func(c models.Characteristic) bool { return c.Code == "dish" })
		b.Must(b.Store.AddSpecification(t.Context(), models.NewStamp(b.Owner, b.Now), spec))
		b.later()
		sub := b.Extremes()
		sub.Sets = slices.DeleteFunc(sub.Sets, func(s models.SentSet) bool { return s.Characteristic == "dish" })
		got := b.MustRecord(sub).Inspection
		if got.Verdict != models.VerdictPass || !slices.ContainsFunc(got.Remarks, func(r models.Remark) bool {
			return r.Code == "not_read_again" && r.Values["characteristic"] == "dish"
		}) {
			t.Errorf("without the dish: %s, %+v", got.Verdict, got.Remarks)
		}
		b.is(models.StateReinspect)
	})
}

// Where the shop wants another person, whoever did the work does not pass it.
func TestAnotherPersonInspects(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		b.Must(b.Store.SetSetting(t.Context(), models.NewStamp(b.Owner, b.Now), models.SettingSecondPerson, "rework"))
		b.read(models.AfterRelief, "0.9")
		b.open()
		b.Must(b.dispose("rework", "retension"))
		b.Must(b.work.Done(t.Context(), b.Operator, b.number, ""))
		if got := b.read(models.AfterRelief, "0.2").Remarks; !slices.ContainsFunc(got, func(r models.Remark) bool { return r.Code == "second_person_reads" }) {
			t.Errorf("read by who did it: %+v", got)
		}
		b.is(models.StateReinspect)
		b.later()
		if _, err := b.Capture.Record(t.Context(), b.Owner, b.Extremes(), b.Now); err != nil {
			t.Fatal(err)
		}
		b.is(models.StateConforming)
	})
}

// A return goes to a supplier: the one named, or that of the lot.
func TestReturnToTheSupplier(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		b.Must(b.Store.AddLot(t.Context(), models.NewStamp(b.Owner, b.Now), models.Lot{ID: models.NewID(), Code: "RM-7", Material: "rims", Supplier: "Corran", Quantity: 10}))
		b.open()
		in := nonconforming.Disposition{What: "return_supplier", Note: "their rim"}
		b.refuses(b.work.Dispose(t.Context(), b.Owner, b.number, in), "supplier: missing")
		in.Lot = "RM-8"
		b.refuses(b.work.Dispose(t.Context(), b.Owner, b.number, in), "lot: unknown_lot")
		in.Lot = "rm-7"
		b.Must(b.work.Dispose(t.Context(), b.Owner, b.number, in))
		b.is(models.StateReturnPending)
		v, err := b.work.One(t.Context(), b.number)
		b.Must(err)
		if got := v.Last("dispose_return_supplier"); got.Supplier != "Corran" || got.Lot != "RM-7" {
			t.Errorf("to %q of lot %q", got.Supplier, got.Lot)
		}
		b.Must(b.work.Confirm(t.Context(), b.Owner, b.number, false, ""))
		b.is(models.StateReturned)
	})
}

// A hold during a rework stops it, and lifting that leads back into the work. One
// raised while the wheel waits to be inspected moves nothing, and holds it back all
// the same.
func TestHoldsBesideARework(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		hold := func() models.Hold {
			b.later()
			raised, err := b.gate.RaiseHold(t.Context(), b.Operator, release.HoldRequest{Item: *b.wheel.Serial, Code: "W15", Reason: "a crack?"})
			b.Must(err)
			return raised
		}
		lift := func(h models.Hold) {
			_, err := b.gate.LiftHold(t.Context(), b.Owner, h.ID, "no_fault_found", "a scratch")
			b.Must(err)
		}
		b.read(models.AfterRelief, "0.9")
		b.open()
		b.Must(b.dispose("repair", "retension"))
		first := hold()
		b.is(models.StateHeld)
		lift(first)
		b.is(models.StateRepair)
		b.Must(b.work.Done(t.Context(), b.Operator, b.number, ""))
		second := hold()
		b.is(models.StateReinspect)
		b.read(models.AfterRelief, "0.2")
		b.is(models.StateConforming)
		if got := b.blocked(); got != "on_hold" {
			t.Errorf("blocked by %q", got)
		}
		lift(second)
		b.is(models.StateConforming)
	})
}

// A fail that a person closes while the wheel waits to be inspected again goes on
// with the same nonconformity; a second beside it is refused.
func TestOneNonconformityAtATime(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		b.read(models.AfterRelief, "0.9")
		b.open()
		first := b.number
		_, err := b.work.Add(t.Context(), b.Operator, nonconforming.Opening{Item: b.wheel.ID, Code: "W02", Note: "hops too"})
		b.refuses(err, "nonconformity_open")
		b.Must(b.dispose("rework", "retension"))
		b.Must(b.work.Done(t.Context(), b.Operator, b.number, ""))
		b.read(models.AfterRelief, "0.8")
		b.open()
		b.is(models.StateHeld)
		if b.number != first {
			t.Errorf("it became %s, want %s with a step more", b.number, first)
		}
		b.Must(b.dispose("scrap", ""))
		b.is(models.StateScrapPending)
	})
}

// Something else that is found while the wheel waits to be inspected again keeps
// its code, as a hold that ends with the nonconformity.
func TestAnotherDefectWhenInspectedAgain(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		b.read(models.AfterRelief, "0.9")
		b.open()
		b.Must(b.dispose("rework", "retension"))
		b.Must(b.work.Done(t.Context(), b.Operator, b.number, ""))
		b.later()
		v, err := b.work.Add(t.Context(), b.Operator, nonconforming.Opening{Item: b.wheel.ID, Code: "W15", Note: "a crack, now that it is tight"})
		b.Must(err)
		b.is(models.StateHeld)
		failed := v.Last("inspect_fail")
		if v.Number != b.number || failed == nil || len(failed.Holds) != 1 {
			t.Fatalf("it became %+v", v)
		}
		// W01 is major by its code, and a crack of the rim critical: so is the case now.
		if v.Severity != models.Major || v.Worst() != models.Critical || len(failed.Found) != 1 || failed.Found[0] != (models.FoundDefect{Code: "W15", Severity: models.Critical}) {
			t.Errorf("opened as %s, now %s, found %+v", v.Severity, v.Worst(), failed.Found)
		}
		open, err := b.work.Open(t.Context())
		b.Must(err)
		if len(open) != 1 || open[0].Worst() != models.Critical {
			t.Errorf("listed as %+v", open)
		}
		crack, err := b.Store.Hold(t.Context(), failed.Holds[0])
		b.Must(err)
		if crack.Code != "W15" || crack.Reason != "a crack, now that it is tight" {
			t.Errorf("kept as %+v", crack)
		}
		_, err = b.gate.LiftHold(t.Context(), b.Owner, crack.ID, "no_fault_found", "r")
		b.refuses(err, "hold_needs_disposition")
		b.Must(b.dispose("rework", "rim_change"))
		b.Must(b.work.Done(t.Context(), b.Operator, b.number, ""))
		b.read(models.AfterRelief, "0.2")
		b.is(models.StateConforming)
		if got := b.blocked(); got != "" {
			t.Errorf("blocked by %q after it passed", got)
		}
	})
}

// One case can be worse than its code says, and never less.
func TestSeverityOfOneCase(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		in := nonconforming.Opening{Item: b.wheel.ID, Code: "W01", Severity: "bad", Note: "hits the brake"} // W01 is major.
		add := func() error {
			_, err := b.work.Add(t.Context(), b.Operator, in)
			return err
		}
		b.refuses(add(), "severity: unknown_choice")
		in.Severity = "minor"
		b.refuses(add(), "severity: severity_below")
		in.Severity = "critical"
		v, err := b.work.Add(t.Context(), b.Operator, in)
		b.Must(err)
		if stored, err := b.work.One(t.Context(), v.Number); err != nil || stored.Severity != models.Critical {
			t.Errorf("kept as %q, %v", stored.Severity, err)
		}
	})
}

// What fails again can be worse than its code says, also where it is what failed before:
// W01 is major by its code, and said to touch safety now.
func TestSeverityOfWhatFailsAgain(t *testing.T) {
	for _, code := range []string{"W01", "W02"} {
		worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
			b := on(h)
			b.read(models.AfterRelief, "0.9")
			b.open()
			b.Must(b.dispose("rework", "retension"))
			b.Must(b.work.Done(t.Context(), b.Operator, b.number, ""))
			b.later()
			_, err := b.work.Add(t.Context(), b.Operator, nonconforming.Opening{Item: b.wheel.ID, Code: code, Severity: "minor", Note: "rubs"})
			b.refuses(err, "severity: severity_below")
			v, err := b.work.Add(t.Context(), b.Operator, nonconforming.Opening{Item: b.wheel.ID, Code: code, Severity: "critical", Note: "it rubs at the brake"})
			b.Must(err)
			if v.Number != b.number || v.Severity != models.Major || v.Worst() != models.Critical {
				t.Errorf("%s: %s, opened as %s and now %s", code, v.Number, v.Severity, v.Worst())
			}
			open, err := b.work.Open(t.Context())
			b.Must(err)
			if len(open) != 1 || open[0].Worst() != models.Critical || open[0].Last("inspect_fail").Severity != models.Critical {
				t.Errorf("%s: kept as %+v", code, open)
			}
		})
	}
}

// What is shipped and fails a recheck keeps its state; a hold beside it waits for
// somebody, and lifting that leaves it shipped. Come back with a claim, it is
// repaired, passes and ships again (case NCR-08).
func TestShippedRecheckedAndReturned(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		b := on(h)
		stamp := func() models.Stamp { return models.NewStamp(b.Owner, b.Now) }
		ship := func() {
			_, err := b.Store.AddShipment(t.Context(), stamp(), 31, models.Shipment{Items: []string{b.wheel.ID}, Reason: "r"})
			b.Must(err)
		}
		b.read(models.AfterRelief, "0.2")
		_, err := b.gate.Issue(t.Context(), b.Owner, b.wheel.ID, "")
		b.Must(err)
		ship()
		b.is(models.StateShipped)
		if recheck := b.read(models.Recheck, "0.9"); !recheck.Recheck {
			t.Error("it is no recheck")
		}
		b.is(models.StateShipped)
		holds, err := b.Store.OpenHolds(t.Context(), b.wheel.ID)
		b.Must(err)
		if len(holds) != 1 || holds[0].Code != models.RecheckFailed {
			t.Fatalf("holds %+v", holds)
		}
		_, err = b.work.Add(t.Context(), b.Operator, nonconforming.Opening{Item: *b.wheel.Serial, Code: "W01", Note: "r"})
		b.refuses(err, "nonconformity_not_here")
		_, err = b.gate.LiftHold(t.Context(), b.Owner, holds[0].ID, "no_fault_found", "read on a bent stand")
		b.Must(err)
		b.is(models.StateShipped)
		claim, err := b.claims.Open(t.Context(), b.Owner, claims.Opening{Item: *b.wheel.Serial, Words: "it wobbles", CameOn: b.Now.Format(time.DateOnly)})
		b.Must(err)
		b.is(models.StateHeld)
		b.open()
		b.Must(b.dispose("repair", "retension"))
		b.Must(b.work.Done(t.Context(), b.Operator, b.number, ""))
		b.read(models.AfterRelief, "0.2")
		b.is(models.StateConforming)
		if got := b.blocked(); got != "on_hold" {
			t.Errorf("blocked by %q while the claim is open", got)
		}
		b.Must(b.claims.Add(t.Context(), b.Owner, claim.Number, claims.Added{Decision: models.ClaimAccept, Reason: "ours"}))
		b.is(models.StateConforming)
		_, err = b.gate.Issue(t.Context(), b.Owner, b.wheel.ID, "repaired under the claim")
		b.Must(err)
		ship()
		b.is(models.StateShipped)
	})
}
