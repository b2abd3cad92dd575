package shelf_test

import (
	"math"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/shelf"
	"tracewright/models/work/worktest"
)

// revise gives the pack's product another form.
func revise(t *testing.T, h *worktest.Shop, form models.PackForm) {
	t.Helper()
	product, err := h.Store.Product(t.Context(), *h.Item[models.KindPack].ProductID)
	h.Must(err)
	h.Must(h.Store.AddProductRevision(t.Context(), models.NewStamp(h.Owner, h.Now), models.ProductRevision{ProductID: product.ID, Revision: product.Revision + 1,
		Form: models.ProductForm{Pack: &form}, Reason: "its block model", CreatedAt: h.Now, CreatedBy: h.Owner.String()}))
}

func packOf(limits map[string]string, table ...models.ChargePoint) models.PackForm {
	return models.PackForm{Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 3, MinRestHours: "24", BlockProduct: "b", BlockRevision: 1, VoltageTable: table, Limits: limits}
}

// A pack stands by the figures of its block model. By hand at 25 degrees: on the
// straight line from 12.00 V to 13.00 V its lowest block, 12.86 V, is at 86 %;
// 6 % above the least of 80 %, at 2 % a month, are 3 months, 91 whole days of
// 30.4375. The family's limit of 12.70 V is 16 % lower: 8 months, 243 days.
func TestAPackStandsByItsBlockModel(t *testing.T) {
	h := worktest.New(t)
	revise(t, h, packOf(map[string]string{"self_discharge_pct_month": "2", "stored_soc_min_pct": "80", "shelf_base_months": "6"}, models.ChargePoint{Volts: "12.00", Percent: "0"}, models.ChargePoint{Volts: "13.00", Percent: "100"}))
	r := look(t, stand(t, h)).Later[0]
	if r.SoCPct == nil || math.Abs(*r.SoCPct-86) > 0.001 || r.SoCMin != 80 || r.IntervalDays != 91 || r.GovernedBy != shelf.ByCharge {
		t.Errorf("charge %v, least %v, %d days by %s", r.SoCPct, r.SoCMin, r.IntervalDays, r.GovernedBy)
	}
	if days := r.ReadyUntil.Sub(time.Date(2031, 5, 12, 0, 0, 0, 0, time.UTC)).Hours() / 24; days != 243 {
		t.Errorf("ready for %v days", days)
	}
}

// A table that came after the reading is read by, and a voltage on the plateau of
// iron phosphate says why it gives no charge.
func TestWhyAChargeIsNotKnown(t *testing.T) {
	h := worktest.New(t)
	s := stand(t, h)
	lithium := packOf(nil)
	lithium.Chemistry, lithium.Cells = "lifepo4", 4
	for _, row := range []struct {
		name  string
		table []models.ChargePoint
		pct   float64
		why   string
	}{
		{"no table", nil, 0, ""}, // As it was read: full.
		{"a table", []models.ChargePoint{{Volts: "12.00", Percent: "0"}, {Volts: "13.00", Percent: "100"}}, 86, ""},
	} {
		lithium.VoltageTable = row.table
		revise(t, h, lithium)
		r := look(t, s).Later[0]
		if row.table != nil && (r.SoCPct == nil || math.Abs(*r.SoCPct-row.pct) > 0.001) || r.SoCUnknown != row.why {
			t.Errorf("%s: %v, %q", row.name, r.SoCPct, r.SoCUnknown)
		}
	}
	if r := look(t, s).Later[0]; r.AirMaxPct != 30 { // Published: 30 % at most by air.
		t.Errorf("lithium may go by air up to %g %%", r.AirMaxPct)
	}
	flat := h.Pack() // 13.18 V is 3.295 V a cell.
	flat.Stage = models.Recheck
	flat.Sets[0].Values, flat.Sets[3].Values = []string{"13.18", "13.18", "13.18"}, []string{"39.54"}
	h.MustRecord(flat)
	if r := look(t, s).Later[0]; r.SoCPct != nil || r.SoCUnknown != kinds.ChargeOnPlateau {
		t.Errorf("on the plateau: %v, %q", r.SoCPct, r.SoCUnknown)
	}
}

// A pack that was too low when it was read has no day until which it may ship,
// and one that is dead is no pack to be charged: below 11.80 V, common practice.
func TestTooLowAndDead(t *testing.T) {
	for _, row := range []struct {
		name, volts string
		low         bool
		state       shelf.State
		today       int
	}{
		{"at the limit", "12.70", false, shelf.Standing, 0},
		{"below the limit", "12.60", true, shelf.Standing, 0},
		{"empty", "11.80", true, shelf.Standing, 1},
		{"dead", "6.5", true, shelf.Dead, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			h := worktest.New(t)
			sub := h.Pack()
			sub.Sets[0].Values, sub.Sets[3].Values = []string{row.volts, "12.75", "12.75"}, nil
			sub.Sets = append(sub.Sets[:3], sub.Sets[4:]...)
			h.MustRecord(sub)
			s := shelf.New(h.Store, h.Clock, worktest.Zone)
			h.Must(s.Place(t.Context(), h.Operator, h.Serial[models.KindPack], "loft", time.Time{}))
			r, err := s.On(t.Context(), h.Item[models.KindPack].ID)
			h.Must(err)
			if r.State != row.state || row.low && !r.ReadyUntil.IsZero() || row.state == shelf.Standing && r.TooLow != row.low {
				t.Errorf("%s, too low %v, ready until %v", r.State, r.TooLow, r.ReadyUntil)
			}
			l := look(t, s)
			if l.Next != nil && row.low || len(l.Today) != row.today {
				t.Errorf("%d due today, next %v", len(l.Today), l.Next)
			}
		})
	}
}
