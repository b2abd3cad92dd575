package servertest

import (
	"net/http"
	"net/url"
	"testing"

	"tracewright/models"
)

// A lot of which its material says that pieces are looked at tells so from the moment
// it came: on its page with the act first, among the lots, on the first page, among what
// needs somebody, and where a wheel is laced from it. Of 4000 spokes 11 are looked at:
// with a fifth of them bad, 0.8^11 = 0.086 is the first under the risk of 0.10.
func TestALotToBeLookedAtIsMarked(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx := t.Context()
		m, err := s.Store.Material(ctx, "spokes")
		s.Must(err)
		from, err := models.Digest(m)
		s.Must(err)
		m.Plan = models.LotPlan{Kind: models.PlanZero, Bad: "20", Risk: "10"}
		_, err = s.App.Services.Receive.PutMaterial(ctx, s.Shop.Owner, from, m)
		s.Must(err)
		asks := "11 of 4000 are to be looked at"
		lace := "/lace?product=" + *s.Item[models.KindWheel].ProductID + "&spokes_a=SP-77"
		inspect := `href="/lots/SP-77/inspect"`
		s.Run(t, []Row{
			form("received", Owner, "/lots/new", http.StatusSeeOther, url.Values{"code": {"SP-77"}, "material": {"spokes"}, "quantity": {"4000"}}),
			{Name: "its page", Who: Owner, Path: "/lots/SP-77", Status: http.StatusOK, Has: []string{asks, `class="act first" ` + inspect, "Nothing was looked at yet."}, HasNot: []string{"Nothing was looked at when it came"}},
			{Name: "the lots", Who: Owner, Path: "/lots", Status: http.StatusOK, Has: []string{"To be looked at", ">Put it on hold<"}},
			{Name: "the first page", Who: Owner, Path: "/", Status: http.StatusOK, Has: []string{asks, inspect}},
			{Name: "what needs somebody", Who: Owner, Path: "/attention", Status: http.StatusOK, Has: []string{asks, inspect}},
			{Name: "where it is laced from", Who: Operator, Path: lace, Status: http.StatusOK, Has: []string{asks, inspect}},
			form("accepted without", Owner, "/lots/SP-77/accept", http.StatusSeeOther, url.Values{}),
			{Name: "its page, decided", Who: Owner, Path: "/lots/SP-77", Status: http.StatusOK, HasNot: []string{"are to be looked at"}},
			{Name: "laced, decided", Who: Operator, Path: lace, Status: http.StatusOK, HasNot: []string{"are to be looked at"}},
		})
	})
}

// The column of states says how each lot stands, a good one too, and what may be done
// has a column of its own.
func TestEachLotSaysItsState(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.Run(t, []Row{
			form("received", Owner, "/lots/new", http.StatusSeeOther, url.Values{"code": {"SP-78"}, "material": {"spokes"}, "quantity": {"100"}}),
			{Name: "the lots", Who: Owner, Path: "/lots", Status: http.StatusOK, Has: []string{`>To be used</span></td><td class="nw"><a`, `href="/lots/SP-78/hold">Put it on hold<`}},
		})
	})
}
