package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/recall"
	"tracewright/models/work/receive"
)

// recalled calls the wheels of a lot back.
func (s *Shop) recalled(t *testing.T, lot string) string {
	t.Helper()
	r, err := s.App.Services.Recall.Make(t.Context(), s.Shop.Owner, recall.Ask{Lot: lot}, "elbows crack", "stop riding")
	s.Must(err)
	return r.Number
}

// A lot is called back by pages: found, confirmed, answered, asked again, closed.
func TestALotCalledBackByPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		_, err := receive.New(s.Store, s.Clock, s.App.Services.Zone).AddLot(t.Context(), s.Shop.Owner, models.Lot{Code: "SP-0214", Material: "spokes", Quantity: 500})
		s.Must(err)
		sub := s.Extremes()
		sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-0214", Quantity: 18}}
		s.MustRecord(sub)
		wheel := s.Item[models.KindWheel]
		var path string
		there := func(row Row, rest string) Row {
			row.Before = func(r *Row) { r.Path = path + rest }
			return row
		}
		s.Run(t, []Row{
			{Name: "nothing yet", Who: Desk, Path: "/recalls", Status: http.StatusOK, Has: []string{"Nothing is called back"}},
			{Name: "the desk calls nothing back", Who: Desk, Path: "/recalls/new", Status: http.StatusForbidden},
			{Name: "from the lot", Who: Inspector, Path: "/lots/SP-0214", Status: http.StatusOK, Has: []string{"/recalls/new?lot=SP-0214"}},
			{Name: "what it reaches", Who: Inspector, Path: "/recalls/new?lot=SP-0214", Status: http.StatusOK, Has: []string{"1 item of SP-0214: 0 shipped, 1 here", "Call them back"}},
			{Name: "a lot nobody knows", Who: Inspector, Path: "/recalls/new?lot=SP-9", Status: http.StatusUnprocessableEntity, Has: []string{"No lot has the code SP-9"}},
			{Name: "a gauge without an end", Who: Inspector, Path: "/recalls/new?instrument=D-1", Status: http.StatusUnprocessableEntity},
			{Name: "a gauge in a window", Who: Inspector, Path: "/recalls/new?instrument=D-1&from=2031-05-01&to=2031-05-12", Status: http.StatusOK, Has: []string{"1 item of D-1"}},
			Posted("without a reason", Inspector, "/recalls/new", url.Values{"lot": {"SP-0214"}, "confirm.password": {Password}}, http.StatusUnprocessableEntity, "Say why"),
			func() Row {
				row := Posted("called back", Inspector, "/recalls/new", url.Values{"lot": {"SP-0214"}, "reason": {"elbows crack"}, "wanted": {"stop riding"}}, http.StatusSeeOther)
				row.After = func(t *testing.T, h http.Header, _ []byte) { path, _, _ = strings.Cut(h.Get("Location"), "?") }
				return row
			}(),
			{Name: "it is held", Who: Desk, Path: "/items/" + *wheel.Serial, Status: http.StatusOK, Has: []string{"On hold", "called back"}},
			there(Row{Name: "the recall", Who: Desk, Status: http.StatusOK, Has: []string{"elbows crack", "stop riding", "nothing yet", "Nothing of it was shipped: 1 item is held here"}, HasNot: []string{"Ask again"}}, ""),
			there(Posted("answered", Desk, "", url.Values{"item": {wheel.ID}, "response": {"put_right"}}, http.StatusSeeOther), "/responses"),
			there(Posted("asked again", Inspector, "", url.Values{}, http.StatusSeeOther), "/again"),
			there(Row{Name: "twice", Who: Desk, Status: http.StatusOK, Has: []string{"put right, 12 May 2031", "2 times"}}, ""),
			there(Posted("closed for no reason", Inspector, "", url.Values{}, http.StatusUnprocessableEntity, "Say why"), "/end"),
			there(Posted("closed", Inspector, "", url.Values{"reason": {"put right"}}, http.StatusSeeOther), "/end"),
			{Name: "listed", Who: Desk, Path: "/recalls", Status: http.StatusOK, Has: []string{"Closed", "0 shipped, 1 here"}},
		})
	})
}
