package shipping_test

import (
	"errors"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/shipping"
	"tracewright/models/work/worktest"
)

// Whoever looks a customer up is written down; erased, nothing of them is left
// but a key.
func TestCustomersAreLookedUpAndErased(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		c, err := b.s.AddCustomer(ctx, b.Owner, models.Customer{Name: " Ada Brenn ", Email: "ada@example.org", Phone: "555 0142"})
		b.Must(err)
		for _, text := range []string{"BRENN", "0142", "ada@"} {
			found, err := b.s.Customers(ctx, b.desk, text, "")
			b.Must(err)
			if len(found) != 1 || found[0].Name != "Ada Brenn" {
				t.Errorf("%s finds %+v", text, found)
			}
		}
		for _, text := range []string{"%%%", "___", "Ada Brenn ", "nobody"} {
			found, err := b.s.Customers(ctx, b.desk, text, "")
			b.Must(err)
			if want := strings.TrimSpace(text) == "Ada Brenn"; want != (len(found) == 1) {
				t.Errorf("%q finds %d", text, len(found))
			}
		}
		if _, err := b.s.Customers(ctx, b.desk, "ad", ""); err == nil {
			t.Error("two letters find whoever has them")
		}
		b.Must(b.Store.SetSetting(ctx, models.NewStamp(b.Owner, b.Now), models.SettingLookReason, "yes"))
		_, err = b.s.Customer(ctx, b.desk, c.ID, "")
		worktest.WantProblems(t, err, "reason: reason_needed")
		_, err = b.s.Customer(ctx, b.desk, c.ID, "asked for an address")
		b.Must(err)
		looks, err := b.s.Looks(ctx, c.ID)
		b.Must(err)
		if len(looks) != 5 || looks[0].Reason != "asked for an address" || looks[0].PersonID != b.desk.PersonID {
			t.Errorf("looks: %+v", looks)
		}
		// Orders and shipments are hashed for good: they take a key, and no name.
		_, err = b.s.AddOrder(ctx, b.Owner, models.Order{Ref: "1", Customer: "Ada Brenn", Lines: []models.OrderLine{{Product: b.kit.ID, Quantity: 1}}})
		worktest.WantProblems(t, err, "customer: unknown_choice")
		_, err = b.s.Ship(ctx, b.Owner, shipping.NewShipment{Items: []string{*b.newKit().Serial}, Customer: "Ada Brenn", Reason: "empty"})
		worktest.WantProblems(t, err, "customer: unknown_choice")
		_, err = b.s.EraseCustomer(ctx, b.Owner, c.ID)
		b.Must(err)
		if _, err := b.s.Customer(ctx, b.desk, c.ID, "r"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("after erasure: %v", err)
		}
		if _, err := b.s.EraseCustomer(ctx, b.Owner, c.ID); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("erased twice: %v", err)
		}
	})
}

// A name is found in capitals, as a tablet types it, and a telephone number however
// its digits are set apart.
func TestCustomersAreFoundAsTheyAreTyped(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		for name, phone := range map[string]string{"Ömer Müller": "079/555 01 42", "ÅSA BERG": "(0)30-555.77.10", "Éva Ügyes": "+41 79 555 01 43"} {
			_, err := b.s.AddCustomer(ctx, b.Owner, models.Customer{Name: name, Phone: phone})
			b.Must(err)
		}
		for typed, want := range map[string]string{
			"MÜLLER": "Ömer Müller", "ömer m": "Ömer Müller", "åsa berg": "ÅSA BERG", "éva ü": "Éva Ügyes", "ÉVA": "Éva Ügyes",
			"0795550142": "Ömer Müller", "079 555-01-42": "Ömer Müller", "+41 79 555 01 42": "Ömer Müller", "0041795550142": "Ömer Müller", "55577": "ÅSA BERG", "079 555 01 43": "",
			"555 01 43": "Éva Ügyes", "555x0142": "", "+41795550143": "Éva Ügyes",
		} {
			found, err := b.s.Customers(ctx, b.desk, typed, "")
			b.Must(err)
			got := ""
			for _, c := range found {
				got += c.Name
			}
			if got != want {
				t.Errorf("%q finds %q, want %q", typed, got, want)
			}
		}
	})
}

// A customer that is sent twice under one key is added once, and the second time
// counts as a look.
func TestACustomerIsAddedOnceUnderItsKey(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, in := t.Context(), models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn", Phone: "555 0142"}
		for range 2 {
			added, err := b.s.AddCustomer(ctx, b.desk, in)
			b.Must(err)
			if added.ID != in.ID || added.Phone != "555 0142" {
				t.Errorf("added %+v", added)
			}
		}
		looks, err := b.s.Looks(ctx, in.ID)
		b.Must(err)
		if len(looks) != 1 || looks[0].Reason != "added again" {
			t.Errorf("looks: %+v", looks)
		}
		in.Phone = "555 0143"
		if _, err := b.s.AddCustomer(ctx, b.desk, in); !errors.Is(err, models.ErrConflict) {
			t.Errorf("another one under the same key: %v", err)
		}
		// A key that tells when it was made would tell customers apart.
		_, err = b.s.AddCustomer(ctx, b.desk, models.Customer{ID: models.NewID()})
		worktest.WantProblems(t, err, "id: bad_random_id", "name: missing")
	})
}
