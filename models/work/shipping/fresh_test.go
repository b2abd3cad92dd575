package shipping_test

import (
	"testing"
	"time"

	"tracewright/models"
)

// A certified pack that is on a charger, or was charged or emptied since it was
// last read, does not go; read again after it, if after a short rest, it does.
func TestAPackGoesAsItWasRead(t *testing.T) {
	const day = 24 * time.Hour
	for _, c := range []struct {
		name    string
		charge  time.Duration // how long it took; 0 for none
		open    bool          // it has not ended
		emptied bool
		rest    time.Duration // to the reading after it; 0 for none
		charger bool          // read on the charger
		want    string
	}{
		{name: "nothing since it was read"},
		{name: "on a charger", charge: time.Hour, open: true, want: "on_charge"},
		{name: "charged, and not read", charge: 8 * time.Hour, want: "charged_since"},
		{name: "charged, rested and read", charge: 8 * time.Hour, rest: 26 * time.Hour},
		{name: "read after a short rest, for a rush order", charge: 8 * time.Hour, rest: 5 * time.Hour},
		{name: "read at once", charge: 8 * time.Hour, rest: time.Hour, want: "charged_since"},
		{name: "read on the charger", charge: 8 * time.Hour, rest: 26 * time.Hour, charger: true, want: "charged_since"},
		{name: "emptied", emptied: true, want: "discharged_since"},
		{name: "emptied, and read without a charge", emptied: true, rest: 2 * day, want: "discharged_since"},
		{name: "emptied, charged and read", emptied: true, charge: 8 * time.Hour, rest: 26 * time.Hour},
	} {
		t.Run(c.name, func(t *testing.T) {
			each(t, func(t *testing.T, b *bay) {
				pack := b.released(b.Item[models.KindPack])
				b.Now = b.Now.Add(day)
				if c.emptied {
					b.Discharge(pack, b.Now, "20")
					b.Now = b.Now.Add(day)
				}
				if c.charge > 0 {
					stamp := models.NewStamp(b.Operator, b.Now)
					charge, err := b.Store.AddCharge(t.Context(), stamp, models.Charge{ItemID: pack.ID, Kind: models.ChargeRefresh, StartedAt: b.Now})
					b.Must(err)
					if b.Now = b.Now.Add(c.charge); !c.open {
						b.Must(b.Store.EndCharge(t.Context(), stamp, models.ChargeEnd{ChargeID: charge.ID, EndedAt: b.Now}))
					}
				}
				if c.rest > 0 {
					b.Now = b.Now.Add(c.rest)
					sub := b.Pack()
					sub.Stage, sub.Conditions.OnCharger = models.Recheck, c.charger
					b.MustRecord(sub)
				}
				against, err := b.s.Gate(t.Context(), pack)
				b.Must(err)
				if got := codesOf(against); got != c.want {
					t.Errorf("the gate says %q, want %q", got, c.want)
				}
			})
		})
	}
}

func codesOf(list []models.Remark) string {
	if len(list) == 0 {
		return ""
	}
	return refusals(&models.RefusedError{Reasons: list})
}

// A pack on a charger is not ready for an order; off it, it is again.
func TestAPackOnAChargerIsNotReady(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		pack := b.released(b.Item[models.KindPack])
		customer, err := b.s.AddCustomer(t.Context(), b.Owner, models.Customer{Name: "Ada Brenn"})
		b.Must(err)
		_, err = b.s.AddOrder(t.Context(), b.Owner, models.Order{Ref: "4471", Customer: customer.ID, Lines: []models.OrderLine{{Product: *pack.ProductID, Quantity: 1}}})
		b.Must(err)
		ready := func(when string, want int) {
			t.Helper()
			orders, err := b.s.Orders(t.Context())
			b.Must(err)
			if l := orders[0].Lines[0]; l.Ready != want || l.Short != 1-want {
				t.Errorf("%s: %d ready, %d short; want %d and %d", when, l.Ready, l.Short, want, 1-want)
			}
		}
		ready("released", 1)
		stamp := models.NewStamp(b.Operator, b.Now)
		charge, err := b.Store.AddCharge(t.Context(), stamp, models.Charge{ItemID: pack.ID, Kind: models.ChargeRefresh, StartedAt: b.Now})
		b.Must(err)
		ready("on a charger", 0)
		b.Must(b.Store.EndCharge(t.Context(), stamp, models.ChargeEnd{ChargeID: charge.ID, EndedAt: b.Now.Add(time.Hour)}))
		ready("off it", 1)
	})
}
