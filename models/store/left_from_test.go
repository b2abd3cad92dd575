package store_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/trade/flow"
	"tracewright/models/work/worktest"
)

// What was shipped before its state was kept takes up that of its open nonconformity,
// and without one is in process where no certificate is in force.
func TestWhatWasShippedEarlierIsHereAgain(t *testing.T) {
	for _, c := range []struct {
		name, want string
		reworked   bool
	}{{"nothing open", models.StateInProcess, false}, {"in rework", models.StateRework, true}} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				ctx, s, stamp, wheel := t.Context(), h.Store, models.NewStamp(h.Owner, h.Now), h.Item[models.KindWheel]
				if c.reworked {
					n, err := s.AddNonconformity(ctx, stamp, 31, models.Nonconformity{ItemID: wheel.ID, Code: "W14", Note: "a step", Severity: "major"}, models.Hold{Code: "W14", Reason: "a step"})
					h.Must(err)
					h.Must(s.AddNonconformityStep(ctx, stamp, n.ID, models.NonconformityStep{What: string(flow.Rework), Note: "true it"}))
				}
				sent, err := s.AddShipment(ctx, stamp, 31, models.Shipment{Items: []string{wheel.ID}, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}})
				h.Must(err)
				h.Must(s.ForgetWhatItLeftFrom(wheel.ID))
				h.Must(s.VoidShipment(ctx, stamp, models.ShipmentVoid{ShipmentID: sent.ID, Reason: "r"}))
				if item, err := s.Item(ctx, wheel.ID); err != nil || item.State != c.want {
					t.Errorf("it is %s, %v; want %s", item.State, err, c.want)
				}
			})
		})
	}
}
