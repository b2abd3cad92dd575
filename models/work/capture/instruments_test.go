package capture_test

import (
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/models/work/release"
	"tracewright/models/work/worktest"
)

func remarked(i models.Inspection, code string) bool {
	return slices.ContainsFunc(i.Remarks, func(r models.Remark) bool { return r.Code == code })
}

// lateral is the verdict on the lateral run-out, 0.22 mm of 0.30 allowed.
func lateral(results []models.Result) string {
	for _, r := range results {
		if r.Code == "lateral_tir" {
			return r.Verdict
		}
	}
	return ""
}

// A gauge that is out of use gives readings that are kept and not judged, until
// the owner says why they may be; other gauges judge as before.
func TestAGaugeThatIsOutJudgesNothing(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx := t.Context()
		register := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		entry, err := register.Instrument(ctx, "D-1")
		h.Must(err)
		out := entry.Instrument
		from, err := models.Digest(out)
		h.Must(err)
		out.State = models.InstrumentOut
		_, err = register.Update(ctx, h.Owner, "D-1", from, out)
		h.Must(err)
		record := func() (models.Inspection, []models.Result, string) {
			sub := h.Extremes()
			item := h.AnotherWheel()
			sub.Serial = *item.Serial
			got := h.MustRecord(sub)
			return got.Inspection, got.Results, got.Item.State
		}
		i, results, state := record()
		if i.Verdict != models.VerdictIncomplete || lateral(results) != models.VerdictNone || state != models.StateInProcess || !remarked(i, "instrument_out") {
			t.Errorf("out: %s, %q, %s, %+v", i.Verdict, lateral(results), state, i.Remarks)
		}
		for _, r := range results {
			if r.Code == "dish_abs" && r.Verdict != models.VerdictPass {
				t.Errorf("what another gauge read is %+v", r)
			}
			if r.Code == "lateral_tir" && (r.Value != "0.22" || r.Reason != "instrument_not_trusted") {
				t.Errorf("what it read is %+v, want it kept with the reason", r)
			}
		}
		plan, err := h.Capture.Plan(ctx, h.Operator, h.Serial[models.KindWheel], "", models.AfterRelief)
		h.Must(err)
		if slices.ContainsFunc(plan.Instruments, func(i models.Instrument) bool { return i.Code == "D-1" }) {
			t.Error("the stand offers it")
		}
		h.Must(register.JudgeAnyway(ctx, h.Owner, "D-1", nil, "only to sort"))
		i, results, state = record()
		if i.Verdict != models.VerdictPass || lateral(results) != models.VerdictPass || state != models.StateConforming || !remarked(i, "instrument_out_allowed") || remarked(i, "instrument_out") {
			t.Errorf("out, and let judge: %s, %q, %s, %+v", i.Verdict, lateral(results), state, i.Remarks)
		}
	})
}

// An overdue gauge judges and is flagged, unless the shop wants it otherwise: then
// what it read is kept, nothing is judged by it, no stand offers it and nothing is
// released by it.
func TestAnOverdueGaugeIsBlockedWhereTheShopWantsIt(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx := t.Context()
		for _, block := range []bool{false, true} {
			if block {
				h.Must(h.Store.SetSetting(ctx, models.NewStamp(h.Owner, h.Now), models.SettingBlockOverdue, "yes"))
			}
			sub, item := h.Extremes(), h.AnotherWheel()
			sub.Serial, sub.Sets[0].Instrument = *item.Serial, "D-2"
			got := h.MustRecord(sub)
			want := map[bool][2]string{false: {models.VerdictPass, models.VerdictPass}, true: {models.VerdictIncomplete, models.VerdictNone}}[block]
			if got.Inspection.Verdict != want[0] || lateral(got.Results) != want[1] || !remarked(got.Inspection, "instrument_overdue") || remarked(got.Inspection, "overdue_blocked") != block {
				t.Errorf("blocking %v: %s, %q, %+v", block, got.Inspection.Verdict, lateral(got.Results), got.Inspection.Remarks)
			}
			plan, err := h.Capture.Plan(ctx, h.Operator, *item.Serial, "", models.AfterRelief)
			h.Must(err)
			if offered := slices.ContainsFunc(plan.Instruments, func(i models.Instrument) bool { return i.Code == "D-2" }); offered == block {
				t.Errorf("blocking %v: the stand offers it: %v", block, offered)
			}
			gate := release.New(h.Store, h.Clock, worktest.Zone, nil)
			against, err := gate.Gate(ctx, item.ID)
			h.Must(err)
			if stopped := slices.ContainsFunc(against, func(r models.Remark) bool { return r.Code == "overdue_blocked" }); stopped != block {
				t.Errorf("blocking %v: against its release: %+v", block, against)
			}
		}
	})
}
