package store_test

import (
	"errors"
	"sync"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// Who is erased is named by nothing new: a claim would keep their words beside a key
// that nobody can erase any more.
func TestNothingNamesACustomerWhoIsGone(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx, stamp := h.Store, t.Context(), models.NewStamp(h.Owner, h.Now)
		product := *h.Item[models.KindWheel].ProductID
		open := func(customer string) error {
			_, err := s.AddClaim(ctx, stamp, 31, models.Claim{Kind: models.KindWheel, Product: "a blue one", Customer: customer}, models.ClaimWords{Words: "It ticks", Salt: "NaCl"}, nil)
			return err
		}
		gone := models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn"}
		h.Must(s.AddCustomer(ctx, stamp, gone))
		h.Must(s.EraseCustomer(ctx, stamp, gone.ID))
		_, ship := s.AddShipment(ctx, stamp, 31, models.Shipment{Customer: gone.ID})
		for what, err := range map[string]error{
			"a claim":    open(gone.ID),
			"an order":   s.AddOrder(ctx, stamp, models.Order{ID: models.NewID(), Ref: "1", Customer: gone.ID, Lines: []models.OrderLine{{Product: product, Quantity: 1}}}),
			"a shipment": ship,
		} {
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) || invalid.Problems[0].Field != "customer" {
				t.Errorf("%s: %v", what, err)
			}
		}
		// At the same moment: whichever comes first, no words are left.
		for range 12 {
			c := models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn"}
			h.Must(s.AddCustomer(ctx, stamp, c))
			var wait sync.WaitGroup
			for range 3 {
				wait.Go(func() {
					var invalid *models.InvalidError
					if err := open(c.ID); err != nil && !errors.As(err, &invalid) {
						t.Error(err)
					}
				})
			}
			wait.Go(func() { h.Must(s.EraseCustomer(ctx, stamp, c.ID)) })
			wait.Wait()
			for _, claim := range must(s.ClaimsOfCustomer(ctx, c.ID)) {
				if claim.Words != nil {
					t.Errorf("the words of %s are left", claim.Number)
				}
			}
		}
	})
}

// Why somebody was looked up is erased with them; who looked, and when, stays. A look
// that nobody erased is held to what its entry says.
func TestReasonsOfLooksAreErased(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx, stamp := h.Store, t.Context(), models.NewStamp(h.Owner, h.Now)
		c := models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn"}
		h.Must(s.AddCustomer(ctx, stamp, c))
		for _, reason := range []string{"her son rang", ""} {
			must(s.Customer(ctx, stamp, c.ID, reason))
		}
		must(s.CustomersNamed(ctx, stamp, "Brenn", "her son rang again", 9))
		before := must(s.LooksAt(ctx, c.ID, 9))
		entered := func(l models.CustomerLook) string {
			t.Helper()
			entries := must(s.TrailOf(ctx, []string{l.ID}, 9))
			return entries[len(entries)-1].Digest
		}
		salts := map[string]bool{}
		for _, l := range before {
			if got, err := models.Digest(l); err != nil || got != entered(l) {
				t.Errorf("%q: the entry says %s, the record %s, %v", l.Reason, entered(l), got, err)
			}
			if (l.Reason == "") != (l.Salt == "") || l.Salt != "" && salts[l.Salt] {
				t.Errorf("%q has the salt %q", l.Reason, l.Salt)
			}
			salts[l.Salt] = true
		}
		h.Must(s.EraseCustomer(ctx, stamp, c.ID))
		after := must(s.LooksAt(ctx, c.ID, 9))
		if len(after) != 3 {
			t.Fatalf("%d looks are left", len(after))
		}
		for i, l := range after {
			before[i].Reason, before[i].Salt = "", ""
			same(t, "a look", l, before[i])
			if got, err := models.Digest(l); err != nil || got != entered(l) {
				t.Errorf("the entry says %s, the record %s, %v", entered(l), got, err)
			}
		}
	})
}
