package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/nonconforming"
	"tracewright/server/api"
)

// What touches safety stays in front on both lists, however much of it there is: it
// shares a row, and none of it falls among what merely waits.
func TestWhatTouchesSafetyStaysInFront(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		add := func(code string) {
			_, err := s.App.Services.Nonconforming.Add(t.Context(), s.Shop.Owner, nonconforming.Opening{Item: s.AnotherWheel().ID, Code: code, Note: "seen at the stand"})
			s.Must(err)
		}
		for range 7 {
			add("W08") // A shipped code that touches safety.
		}
		for range 2 {
			add("W14") // One that does not.
		}
		s.Run(t, []Row{
			{Name: "what needs attention", Who: Owner, Path: "/attention", Status: http.StatusOK, Has: []string{"4 more nonconformities touch safety", "2 nonconformities are open", "Ten things need you; seven cannot wait"}},
			{Name: "as a table", Who: Owner, Path: "/attention?as=csv", Status: http.StatusOK, After: func(t *testing.T, _ http.Header, body []byte) {
				if n := strings.Count(string(body), ",safety,"); n != 4 {
					t.Errorf("%d rows of safety, want three and one for the rest: %s", n, body)
				}
			}},
			{Name: "today", Who: Owner, Path: "/", Status: http.StatusOK, Has: []string{"3 more nonconformities touch safety", "2 more nonconformities are open"}},
		})
	})
}

// No list leads anybody to what they may not do: a draft is taken over by who records,
// and a lot let out of quarantine by who lifts holds.
func TestNobodyIsLedToWhatTheyMayNotDo(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.Must(s.Store.AddLot(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.Lot{ID: models.NewID(), Code: "NP-0338", Material: "nipples", Quantity: 9}))
		draft := s.Extremes()
		draft.Sets = draft.Sets[:2]
		page := func(who, path string, has, not []string) Row {
			return Row{Name: path + " as " + who, Who: who, Path: path, Status: http.StatusOK, Has: has, HasNot: not}
		}
		waits, decides := []string{"Lot <span class=\"mono\">NP-0338</span> waits in quarantine", `href="/lots/NP-0338">Decide`}, []string{`href="/lots/NP-0338">Decide`}
		over := []string{"/drafts/" + draft.ID}
		s.Run(t, []Row{
			{Name: "begun", Who: OperatorAtStand, Method: http.MethodPut, Path: api.Base + "/drafts/" + draft.ID, Body: object{"version": 0, "content": draft}, Status: http.StatusCreated},
			Posted("set aside", Operator, "/lots/NP-0338/quarantine", url.Values{"reason": {"a tray mixed"}}, http.StatusSeeOther),
			page(Inspector, "/attention", waits, nil),
			page(Operator, "/attention", []string{"for somebody who may do"}, []string{"NP-0338"}),
			page(Operator, "/", []string{">Open the lot<"}, decides),
			page(Inspector, "/", []string{"/take-over", over[0] + "/set-aside"}, nil),
			page(Desk, "/", []string{"Begun and not finished"}, over),
		})
	})
}
