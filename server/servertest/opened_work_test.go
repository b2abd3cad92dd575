package servertest

import (
	"net/http"
	"net/url"
	"testing"

	"tracewright/models"
	"tracewright/models/work/claims"
	"tracewright/server/api"
)

// A form of a claim that lies open while another decides takes nothing back: what it
// showed is not said again in the name of whoever adds a cost to it.
func TestADecisionOfAClaimStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, number := t.Context(), s.claimed(t)
		path, post := "/claims/"+number, api.Base+"/claims/"+number
		s.Must(s.App.Services.Claims.Add(ctx, s.Shop.Owner, number, claims.Added{Decision: models.ClaimReject, Reason: "a blow"}))
		older := s.open(t, Desk, path)
		cost := url.Values{"from": {older}, "decision": {"reject"}, "reason": {"a blow"}, "amount": {"34.20"}, "currency": {"€"}}
		photo := upload(t, "a photo that is none", Desk, path+"/photos", "spoke.png", []byte("<html>"), http.StatusUnprocessableEntity)
		photo.After = func(t *testing.T, _ http.Header, body []byte) {
			if held := heldFrom.FindSubmatch(body); held == nil || string(held[1]) != s.open(t, Desk, path) {
				t.Errorf("the form beside a photo that was refused is made on %q", held)
			}
		}
		s.Run(t, []Row{
			s.opened(t, Posted("accepted after all", Inspector, path, url.Values{"decision": {"accept"}, "reason": {"a bad spoke"}}, http.StatusSeeOther)),
			Posted("a cost on the older page", Desk, path, cost, http.StatusUnprocessableEntity, behind, `value="`+older+`"`, `value="34.20"`),
			Posted("a page that holds nothing", Desk, path, url.Values{"amount": {"34.20"}, "currency": {"€"}}, http.StatusUnprocessableEntity, behind),
			Posted("and is wrong besides", Desk, path, url.Values{"from": {older}, "amount": {"much"}, "currency": {"€"}}, http.StatusUnprocessableEntity, behind),
			{Name: "the older one in the interface", Who: Desk, Path: post, Body: object{"from": older, "decision": "reject", "reason": "a blow"}, Status: http.StatusConflict},
			photo,
			{Name: "what changes alone", Who: Desk, Path: post, Body: object{"spot": "14"}, Status: http.StatusOK},
			s.opened(t, Posted("the page opened again", Desk, path, url.Values{"decision": {"accept"}, "reason": {"a bad spoke"}, "amount": {"34.20"}, "currency": {"€"}}, http.StatusSeeOther)),
		})
		v, err := s.App.Services.Claims.Claim(ctx, number)
		s.Must(err)
		if d, cost := v.Last(models.ClaimAnswered), v.Last(models.ClaimCost); d.Decision != models.ClaimAccept || cost == nil || cost.Amount != "34.20" {
			t.Errorf("it was decided %+v, with the cost %+v", d, cost)
		}
	})
}
