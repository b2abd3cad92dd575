package release_test

import (
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// What was discharged since its readings, or before them without a charge
// between, is not released by them.
func TestADischargeHoldsBack(t *testing.T) {
	hour := func(n float64) time.Duration { return time.Duration(n * float64(time.Hour)) }
	for _, c := range []struct {
		name      string
		began     time.Duration // before the reading, a minute ago
		charge    [2]time.Duration
		heldBack  string
		shortLoad bool
	}{
		{name: "charged after it, and rested", began: hour(60), charge: [2]time.Duration{hour(38), hour(26)}},
		{name: "the discharge ended after the reading", began: hour(19.9), heldBack: "discharged_since"},
		{name: "no charge followed", began: hour(60), heldBack: "discharged_since"},
		{name: "charged before it alone", began: hour(60), charge: [2]time.Duration{hour(90), hour(80)}, heldBack: "discharged_since"},
		{name: "a short load is no charge", began: hour(60), charge: [2]time.Duration{hour(30), hour(26)}, shortLoad: true, heldBack: "discharged_since"},
	} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				pack, read, by := h.Item[models.KindPack], h.Now.Add(-time.Minute), models.NewStamp(h.Operator, h.Now)
				h.MustRecord(h.Pack())
				if got := gate(t, h); len(got) > 0 {
					t.Fatalf("held back by %v before anything", got)
				}
				h.Discharge(pack, read.Add(-c.began), "20")
				if c.charge[0] > 0 {
					kind := models.ChargeRefresh
					if c.shortLoad {
						kind = models.ChargeLoad
					}
					charge, err := h.Store.AddCharge(t.Context(), by, models.Charge{ItemID: pack.ID, Kind: kind, StartedAt: read.Add(-c.charge[0])})
					h.Must(err)
					h.Must(h.Store.EndCharge(t.Context(), by, models.ChargeEnd{ChargeID: charge.ID, EndedAt: read.Add(-c.charge[1])}))
				}
				var want []string
				if c.heldBack != "" {
					want = []string{c.heldBack}
				}
				if got := gate(t, h); !slices.Equal(got, want) {
					t.Errorf("held back by %v, want %v", got, want)
				}
			})
		})
	}
}
