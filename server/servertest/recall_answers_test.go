package servertest

import (
	"net/http"
	"net/url"
	"testing"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/claims"
	"tracewright/models/work/recall"
)

// What came of a recall is kept as it was said: nothing is chosen beforehand, all rows
// go in one form, nobody is told of what is here, and what came back is taken in.
func TestWhatCameOfARecall(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.MustRecord(s.Extremes())
		s.kitted(t)
		ctx, of := t.Context(), s.Item[models.KindWheel]
		gone, here := of, s.AnotherWheel()
		second := s.AnotherWheel()
		read := s.Extremes()
		read.Serial = *here.Serial
		s.MustRecord(read)
		_, err := s.Store.AddShipment(ctx, models.NewStamp(s.Shop.Owner, s.Now), 31, models.Shipment{Items: []string{second.ID}, Against: []models.Remark{models.NewRemark("not_released")}})
		s.Must(err)
		make := func(part models.Item) string {
			row := Posted("called back", Inspector, "/recalls/new", url.Values{"part": {*part.Serial}, "reason": {"elbows crack"}}, http.StatusSeeOther)
			var at string
			row.After = func(_ *testing.T, h http.Header, _ []byte) { at = h.Get("Location") }
			s.Run(t, []Row{row})
			return at
		}
		path := func(number string) string { return "/recalls/" + number }
		answered := func(number string, values url.Values) Row {
			return Posted("answered", Desk, path(number)+"/responses", values, http.StatusSeeOther)
		}
		s.Run(t, []Row{
			{Name: "the tab of a search names its serial as printed", Who: Inspector, Path: "/recalls/new?part=" + *gone.Serial, Status: http.StatusOK, Has: []string{"<title>Call back " + words.Serial(*gone.Serial)}},
			{Name: "none is here", Who: Inspector, Path: make(gone), Status: http.StatusOK, Has: []string{"None is here: tell whoever has one"}, HasNot: []string{"what is here is on hold"}},
			{Name: "all are here", Who: Inspector, Path: make(here), Status: http.StatusOK, Has: []string{"They are called back: what is here is on hold.<", `<option value="">choose</option><option value="put_right">put right</option></select>`}, HasNot: []string{`value="notified"`}},
			{Name: "to whom nobody knows", Who: Desk, Path: make(second), Status: http.StatusOK, Has: []string{"no customer known"}},
			{Name: "nothing is chosen", Who: Desk, Path: path("R31-00001"), Status: http.StatusOK, Has: []string{`name="response_` + gone.ID + `" aria-label="What came of ` + words.Serial(*gone.Serial) + `"><option value="">choose</option><option value="notified">`, "Keep all answers"}, HasNot: []string{"no customer known"}},
			{Name: "named as printed on the first page", Who: Desk, Path: "/", Status: http.StatusOK, Has: []string{words.Serial(*gone.Serial) + ": 0 of 1 answered"}},
			answered("R31-00001", url.Values{"response_" + gone.ID: {""}}),
			{Name: "pressed with nothing said", Who: Desk, Path: path("R31-00001"), Status: http.StatusOK, Has: []string{"nothing yet"}},
			answered("R31-00001", url.Values{"response_" + gone.ID: {"not_reached"}}),
			{Name: "the item after that", Who: Desk, Path: "/items/" + *gone.Serial, Status: http.StatusOK, Has: []string{"Not reached, 12 May 2031. Try again"}, HasNot: []string{"Take it in"}},
			answered("R31-00001", url.Values{"response_" + gone.ID: {"returned"}}),
			{Name: "the row of what came back", Who: Desk, Path: path("R31-00001"), Status: http.StatusOK, Has: []string{"came back, 12 May 2031", "/claims/new?item=" + *gone.Serial + "&amp;recall=R31-00001", "Take it in: open a claim"}},
			{Name: "for whom may open none", Who: Operator, Path: path("R31-00001"), Status: http.StatusOK, HasNot: []string{"Take it in"}},
			{Name: "the item", Who: Desk, Path: "/items/" + *gone.Serial, Status: http.StatusOK, Has: []string{"Came back, 12 May 2031.", "Take it in: open a claim", `href="/recalls/R31-00001"`}, HasNot: []string{"Tell whoever has it"}},
			{Name: "the claim that takes it in", Who: Desk, Path: "/claims/new?item=" + *gone.Serial + "&recall=R31-00001", Status: http.StatusOK, Has: []string{"Called back by R31-00001", `value="2031-05-12"`, words.Serial(*gone.Serial)}},
			Posted("opened", Desk, "/claims/new", url.Values{"words": {"Called back by R31-00001"}, "item": {*gone.Serial}, "came_on": {"2031-05-12"}}, http.StatusSeeOther),
			{Name: "taken in", Who: Desk, Path: path("R31-00001"), Status: http.StatusOK, HasNot: []string{"Take it in"}},
		})
		taken, err := s.Store.ClaimsOf(ctx, gone.ID)
		s.Must(err)
		s.Must(s.App.Services.Claims.Add(ctx, s.Shop.Owner, taken[0].Number, claims.Added{Decision: models.ClaimReject, Reason: "a blow", Close: true}))
		s.Run(t, []Row{
			{Name: "rejected, it is with its owner again", Who: Desk, Path: path("R31-00001"), Status: http.StatusOK, HasNot: []string{"Take it in"}},
			{Name: "its page too", Who: Desk, Path: "/items/" + *gone.Serial, Status: http.StatusOK, HasNot: []string{"Take it in"}},
			answered("R31-00001", url.Values{"response_" + gone.ID: {"returned"}}),
		})
		if v, err := s.App.Services.Recall.Recall(ctx, "R31-00001"); err != nil || len(v.Responses) != 2 {
			t.Errorf("%d answers are kept, want 2: sent again it is kept once; %v", len(v.Responses), err)
		}
		// All rows of a page are kept by one press.
		r, err := s.App.Services.Recall.Make(ctx, s.Shop.Owner, recall.NewRecall{Ask: recall.Ask{Instrument: "D-1", From: s.Now.AddDate(0, 0, -1), To: s.Now.AddDate(0, 0, 1)}, Reason: "it was dropped"})
		s.Must(err)
		values := url.Values{}
		for _, x := range s.recallItems(t, r.Number) {
			values.Set("response_"+x, "put_right")
		}
		s.Run(t, []Row{answered(r.Number, values)})
		v, err := s.App.Services.Recall.Recall(ctx, r.Number)
		s.Must(err)
		if len(v.Responses) != len(values) || len(values) != 2 {
			t.Errorf("%d of %d answers were kept", len(v.Responses), len(values))
		}
		// One that is refused keeps none, and the form has what was said.
		first := s.recallItems(t, r.Number)[0]
		bad := url.Values{}
		for i, x := range s.recallItems(t, r.Number) {
			bad.Set("response_"+x, []string{"notified", "lost"}[i])
		}
		s.Run(t, []Row{Posted("one is no answer", Desk, path(r.Number)+"/responses", bad, http.StatusUnprocessableEntity, "Keep all answers")})
		s.Must(s.App.Services.Recall.End(ctx, s.Shop.Owner, r.Number, "all are back"))
		s.Run(t, []Row{Posted("ended meanwhile", Desk, path(r.Number)+"/responses", url.Values{"response_" + first: {"notified"}}, http.StatusUnprocessableEntity, "Closed")})
		if v, err := s.App.Services.Recall.Recall(ctx, r.Number); err != nil || len(v.Responses) != len(values) {
			t.Errorf("%d answers are kept of a form that was refused; %v", len(v.Responses)-len(values), err)
		}
	})
}

func (s *Shop) recallItems(t *testing.T, number string) []string {
	t.Helper()
	v, err := s.App.Services.Recall.Recall(t.Context(), number)
	s.Must(err)
	var ids []string
	for _, x := range v.Newest().Items {
		ids = append(ids, x.Item)
	}
	return ids
}
