package capture_test

import (
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// A typed rest that the recorded charge contradicts is kept, judged by, and
// remarked on.
func TestATypedRestThatTheChargeContradicts(t *testing.T) {
	for _, row := range []struct {
		name, typed string
		started     time.Duration // before the reading
		ended       time.Duration // before the reading; 0: not ended
		remark      string
	}{
		{"as recorded", "26", 34 * time.Hour, 26 * time.Hour, ""},
		{"rounded", "26", 34 * time.Hour, 25*time.Hour + 40*time.Minute, ""},
		{"too long", "26", 12 * time.Hour, 5 * time.Hour, "rest_contradicts"},
		{"too short", "26", 99 * time.Hour, 90 * time.Hour, "rest_contradicts"},
		{"not ended", "26", 12 * time.Hour, 0, "charge_not_ended"},
		{"begun later", "26", -time.Hour, 0, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				sub := h.Pack()
				sub.Conditions.RestHours = row.typed
				stamp := models.NewStamp(h.Operator, h.Now)
				charge, err := h.Store.AddCharge(t.Context(), stamp, models.Charge{ItemID: h.Item[models.KindPack].ID, Kind: models.ChargeFirst, StartedAt: sub.FinishedAt.Add(-row.started)})
				h.Must(err)
				if row.ended != 0 {
					h.Must(h.Store.EndCharge(t.Context(), stamp, models.ChargeEnd{ChargeID: charge.ID, EndedAt: sub.FinishedAt.Add(-row.ended)}))
				}
				made := h.MustRecord(sub).Inspection
				for _, code := range []string{"rest_contradicts", "charge_not_ended"} {
					got := slices.ContainsFunc(made.Remarks, func(r models.Remark) bool { return r.Code == code })
					if got != (code == row.remark) {
						t.Errorf("%s among the remarks: %v, %+v", code, got, made.Remarks)
					}
				}
				if made.Verdict != models.VerdictPass {
					t.Errorf("verdict %s", made.Verdict)
				}
			})
		})
	}
}
