package servertest

import (
	"net/http"
	"net/url"
	"slices"
	"testing"
	"time"

	"tracewright/models"
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
