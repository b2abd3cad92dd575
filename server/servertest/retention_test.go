package servertest

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/recall"
)

// Nobody is ticked to be erased before somebody ticks them, and who was spared is
// spared when the list comes again for a slip in the password.
func TestWhoWasSparedStaysSpared(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx := t.Context()
		var ids []string
		for _, name := range []string{"Ada Brenn", "Berit Lind"} {
			c, err := s.App.Services.Shipping.AddCustomer(ctx, s.Shop.Owner, models.Customer{Name: name})
			s.Must(err)
			ids = append(ids, c.ID)
		}
		s.Must(s.Store.SetSetting(ctx, models.NewStamp(s.Shop.Owner, s.Now), models.SettingRetentionMonths, "24"))
		s.Now = s.Now.AddDate(2, 0, 1)
		s.signIn(Desk)
		s.Now = s.Now.Add(10 * time.Minute) // The password is asked for.
		box := func(id string, ticked bool) string {
			if ticked {
				return `value="` + id + `" checked>`
			}
			return `value="` + id + `">`
		}
		s.run(t, Row{Who: Desk, Path: "/customers/due", Status: http.StatusOK, Has: []string{box(ids[0], false), box(ids[1], false)}})
		const wrong = "not the password"
		s.run(t, Posted("one is ticked", Desk, "/customers/due", url.Values{"id": {ids[0]}, "confirm.password": {wrong}}, http.StatusUnprocessableEntity, box(ids[0], true), box(ids[1], false)))
		s.run(t, Posted("the other", Desk, "/customers/due", url.Values{"id": {ids[1]}, "confirm.password": {wrong}}, http.StatusUnprocessableEntity, box(ids[0], false), box(ids[1], true)))
		s.run(t, Posted("nobody", Desk, "/customers/due", url.Values{"confirm.password": {Password}}, http.StatusUnprocessableEntity, box(ids[0], false), box(ids[1], false)))
		s.run(t, Posted("one, confirmed", Desk, "/customers/due", url.Values{"id": {ids[0]}, "confirm.password": {Password}}, http.StatusSeeOther))
		there, err := s.Store.CustomersThere(ctx, ids)
		s.Must(err)
		if !slices.Equal(there, ids[1:]) {
			t.Errorf("%v are there, want %v", there, ids[1:])
		}
	})
}

// With whom something is still open stays, however long ago they were dealt with: an
// order of which something is awaited, a recall of what went to them, here in a kit.
// Erased by hand they may be, but not without being told.
func TestWhomTheShopStillOwesSomethingStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, services := t.Context(), s.App.Services
		box := s.kitted(t)
		other, err := services.Shipping.AddCustomer(ctx, s.Shop.Owner, models.Customer{Name: "Berit Lind"})
		s.Must(err)
		s.Must(s.Store.SetSetting(ctx, models.NewStamp(s.Shop.Owner, s.Now), models.SettingRetentionMonths, "24"))
		s.Now = s.Now.AddDate(2, 0, 1)
		s.signIn(Desk)
		due := func(when string, want ...string) {
			t.Helper()
			found, err := services.Privacy.Due(ctx)
			s.Must(err)
			got := keysOf(found)
			slices.Sort(got)
			slices.Sort(want)
			if !slices.Equal(got, want) {
				t.Errorf("%s %v are due, want %v", when, got, want)
			}
		}
		stays := func(when string) {
			t.Helper()
			s.run(t, Posted("erased with the list", Desk, "/customers/due", url.Values{"id": {box.customer}}, http.StatusSeeOther))
			if there, err := s.Store.CustomerThere(ctx, box.customer); err != nil || !there {
				t.Fatalf("%s: the customer is there: %v, %v", when, there, err)
			}
		}
		byHand := Row{Who: Desk, Path: "/customers/" + box.customer + "/erase", Status: http.StatusOK}
		says := func(has, hasNot string) {
			t.Helper()
			row := byHand
			row.Has, row.HasNot = []string{has}, []string{hasNot}
			s.run(t, row)
		}
		due("with an open order", other.ID)
		stays("with an open order")
		says("Order 4471 is open", "Recall R")

		s.Must(services.Shipping.EndOrder(ctx, s.Shop.Owner, "4471", "the rest is not wanted"))
		due("when it is ended", other.ID, box.customer)
		says("cannot be undone", "Order 4471")

		called, err := services.Recall.Make(ctx, s.Shop.Owner, recall.NewRecall{Ask: recall.Ask{Part: s.Serial[models.KindWheel]}, Reason: "a cracked rim"})
		s.Must(err)
		due("while it is called back", other.ID)
		stays("while it is called back")
		says("Recall "+called.Number+" is open", "Order 4471")

		s.Must(services.Recall.End(ctx, s.Shop.Owner, called.Number, "all came back"))
		due("when the recall is closed", other.ID, box.customer)
		says("cannot be undone", called.Number)
		s.run(t, Posted("erased", Desk, "/customers/due", url.Values{"id": {box.customer, other.ID}}, http.StatusSeeOther))
		if there, err := s.Store.CustomersThere(ctx, []string{box.customer, other.ID}); err != nil || len(there) > 0 {
			t.Errorf("%s are there, %v", strings.Join(there, ", "), err)
		}
	})
}
