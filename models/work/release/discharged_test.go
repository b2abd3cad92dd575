package release_test

import (
	"context"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/release"
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

// The day of a discharge is the shop's: what ended at eight in the evening of
// London ended the next day in Tokyo.
func TestTheDayOfADischargeIsTheShops(t *testing.T) {
	h := worktest.New(t)
	pack, day := h.Item[models.KindPack], h.Now.Truncate(24*time.Hour)
	h.MustRecord(h.Pack())
	h.Discharge(pack, day, "20")
	for zone, want := range map[*time.Location]string{time.UTC: day.Format(time.DateOnly), time.FixedZone("Tokyo", 9*3600): day.AddDate(0, 0, 1).Format(time.DateOnly)} {
		s := release.New(h.Store, h.Clock, func(context.Context) *time.Location { return zone }, func(release.Drawing) ([]byte, error) { return nil, nil })
		against, err := s.Gate(t.Context(), pack.ID)
		h.Must(err)
		if len(against) != 1 || against[0].Code != "discharged_since" || against[0].Values["date"] != want {
			t.Errorf("in %s held back by %+v, want discharged on %s", zone, against, want)
		}
	}
}
