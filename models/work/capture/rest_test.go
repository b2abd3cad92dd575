package capture_test

import (
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

var restCodes = []string{"rest_contradicts", "charge_not_ended", "block_rest_contradicts", "block_charge_not_ended", "discharge_rest_contradicts"}

func wantRest(t *testing.T, made models.Inspection, remark, verdict string) {
	t.Helper()
	for _, code := range restCodes {
		got := slices.ContainsFunc(made.Remarks, func(r models.Remark) bool { return r.Code == code })
		if got != (code == remark) {
			t.Errorf("%s among the remarks: %v, %+v", code, got, made.Remarks)
		}
	}
	if made.Verdict != verdict {
		t.Errorf("verdict %s, want %s", made.Verdict, verdict)
	}
}

// charged writes down that an item was on a charger before a moment; ended 0: it
// still is.
func charged(t *testing.T, h *worktest.Shop, itemID string, at time.Time, started, ended time.Duration) {
	t.Helper()
	stamp := models.NewStamp(h.Operator, h.Now)
	charge, err := h.Store.AddCharge(t.Context(), stamp, models.Charge{ItemID: itemID, Kind: models.ChargeFirst, StartedAt: at.Add(-started)})
	h.Must(err)
	if ended != 0 {
		h.Must(h.Store.EndCharge(t.Context(), stamp, models.ChargeEnd{ChargeID: charge.ID, EndedAt: at.Add(-ended)}))
	}
}

// A typed rest that the recorded charge contradicts is kept and said, and the
// shorter of both is judged by: 24 h are asked for, from 4 h on it is provisional.
func TestATypedRestThatTheChargeContradicts(t *testing.T) {
	for _, row := range []struct {
		name, typed     string
		started         time.Duration // before the reading
		ended           time.Duration // before the reading; 0: not ended
		remark, verdict string
	}{
		{"as recorded", "26", 34 * time.Hour, 26 * time.Hour, "", models.VerdictPass},
		{"rounded", "26", 34 * time.Hour, 25*time.Hour + 40*time.Minute, "", models.VerdictPass},
		{"an hour ago", "26", 12 * time.Hour, time.Hour, "rest_contradicts", models.VerdictIncomplete},
		{"a minute less than four hours ago", "26", 12 * time.Hour, 4*time.Hour - time.Minute, "rest_contradicts", models.VerdictIncomplete},
		{"four hours ago", "26", 12 * time.Hour, 4 * time.Hour, "rest_contradicts", models.VerdictProvisional},
		{"long enough all the same", "99", 60 * time.Hour, 48 * time.Hour, "rest_contradicts", models.VerdictPass},
		{"typed shorter, and long enough", "26", 99 * time.Hour, 90 * time.Hour, "rest_contradicts", models.VerdictPass},
		{"typed shorter, and too short", "3", 99 * time.Hour, 90 * time.Hour, "rest_contradicts", models.VerdictIncomplete},
		{"not ended", "26", 12 * time.Hour, 0, "charge_not_ended", models.VerdictIncomplete},
		{"begun later", "26", -time.Hour, 0, "", models.VerdictPass},
	} {
		t.Run(row.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				sub := h.Pack()
				sub.Conditions.RestHours = row.typed
				charged(t, h, h.Item[models.KindPack].ID, sub.FinishedAt, row.started, row.ended)
				made := h.MustRecord(sub).Inspection
				wantRest(t, made, row.remark, row.verdict)
				if made.Conditions.RestHours != row.typed || made.Conditions.OnCharger {
					t.Errorf("what was typed is kept as %+v", made.Conditions)
				}
			})
		})
	}
}

// Rest counts from the end of a discharge too: the shorter of both is judged by.
func TestATypedRestThatTheDischargeContradicts(t *testing.T) {
	for _, row := range []struct {
		name, typed     string
		ended           time.Duration // before the reading; below 0: after it
		remark, verdict string
	}{
		{"as recorded", "26", 26 * time.Hour, "", models.VerdictPass},
		{"eighteen seconds ago", "72", 18 * time.Second, "discharge_rest_contradicts", models.VerdictIncomplete},
		{"while it ran", "72", -time.Hour, "discharge_rest_contradicts", models.VerdictIncomplete},
	} {
		t.Run(row.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				sub := h.Pack()
				sub.Conditions.RestHours = row.typed
				h.Discharge(h.Item[models.KindPack], sub.FinishedAt.Add(-row.ended-20*time.Hour), "20")
				wantRest(t, h.MustRecord(sub).Inspection, row.remark, row.verdict)
			})
		})
	}
}

// block is a block with a maker's number.
func block(t *testing.T, h *worktest.Shop, number string) models.Item {
	t.Helper()
	item := models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-12", MakerNumber: &number, Origin: "received"}
	item, err := h.Store.AddItem(t.Context(), models.NewStamp(h.Owner, h.Now), item, nil)
	h.Must(err)
	return item
}

// What a block went through by itself before it came into the pack counts too,
// whether it is built in by these readings or was before.
func TestABlockThatWasChargedAlone(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		sub := h.Pack()
		charged(t, h, block(t, h, "H-1").ID, sub.FinishedAt, 5*time.Hour, time.Hour)
		sub.Parts = []models.SentPart{{Role: "block", Place: "1.2", Number: "H-1"}}
		preview, err := h.Capture.Preview(t.Context(), h.Operator, sub)
		h.Must(err)
		wantRest(t, preview.Inspection, "block_rest_contradicts", models.VerdictIncomplete)
		wantRest(t, h.MustRecord(sub).Inspection, "block_rest_contradicts", models.VerdictIncomplete)
		h.Now = h.Now.Add(2 * time.Minute)
		again := h.Pack() // The block is in it now.
		again.Conditions.RestHours = "1"
		wantRest(t, h.MustRecord(again).Inspection, "", models.VerdictIncomplete)
		h.Now = h.Now.Add(48 * time.Hour)
		charged(t, h, block(t, h, "H-2").ID, h.Now, time.Hour, 0)
		last := h.Pack()
		last.Conditions.RestHours = "49"
		last.Parts = []models.SentPart{{Role: "block", Place: "1.3", Number: "H-2"}}
		wantRest(t, h.MustRecord(last).Inspection, "block_charge_not_ended", models.VerdictIncomplete)
	})
}

// A correction says better what was read then: a charge that came after it does
// not count against it.
func TestACorrectionRestedAsWhatItCorrects(t *testing.T) {
	h := worktest.New(t)
	first := h.Pack()
	h.MustRecord(first)
	h.Now = h.Now.Add(10 * time.Hour)
	better := h.Pack()
	better.Corrects, better.Reason = first.ID, "a typing error"
	charged(t, h, h.Item[models.KindPack].ID, better.FinishedAt, 9*time.Hour, time.Hour)
	wantRest(t, h.MustRecord(better).Inspection, "", models.VerdictPass)
}
