package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/recall"
	"tracewright/models/work/receive"
)

// recalled calls the wheels of a lot back.
func (s *Shop) recalled(t *testing.T, lot string) string {
	t.Helper()
	r, err := s.App.Services.Recall.Make(t.Context(), s.Shop.Owner, recall.NewRecall{Ask: recall.Ask{Lot: lot}, Reason: "elbows crack", Wanted: "stop riding"})
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
		sub.Place = s.Place
		s.MustRecord(sub)
		wheel := s.Item[models.KindWheel]
		people, err := s.Store.People(t.Context())
		s.Must(err)
		names := models.NamesOf(people)
		var path string
		there := func(row Row, rest string) Row {
			row.Before = func(r *Row) { r.Path = path + rest }
			return row
		}
		s.Run(t, []Row{
			{Name: "nothing yet", Who: Desk, Path: "/recalls", Status: http.StatusOK, Has: []string{"Nothing is called back"}},
			{Name: "the desk calls nothing back", Who: Desk, Path: "/recalls/new", Status: http.StatusForbidden},
			{Name: "from the lot", Who: Inspector, Path: "/lots/SP-0214", Status: http.StatusOK, Has: []string{"/recalls/new?lot=SP-0214"}},
			{Name: "what it reaches", Who: Inspector, Path: "/recalls/new?lot=SP-0214", Status: http.StatusOK, Has: []string{"1 item with lot SP-0214: 1 here", "/lots/SP-0214", "Call them back"}},
			{Name: "a lot nobody knows", Who: Inspector, Path: "/recalls/new?lot=SP-9", Status: http.StatusUnprocessableEntity, Has: []string{"No lot has the code SP-9"}},
			{Name: "a gauge without an end", Who: Inspector, Path: "/recalls/new?instrument=D-1", Status: http.StatusUnprocessableEntity},
			{Name: "a gauge before anything", Who: Inspector, Path: "/recalls/new?instrument=D-1&to=2031-04-30", Status: http.StatusOK, Has: []string{"No wheel and no pack was found measured with D-1 to 30 Apr 2031"}, HasNot: []string{"Call them back"}},
			{Name: "a gauge in a window", Who: Inspector, Path: "/recalls/new?instrument=D-1&from=2031-05-01&to=2031-05-12", Status: http.StatusOK, Has: []string{"1 item measured with D-1 from 1 May 2031 to 12 May 2031: 1 here"}},
			{Name: "by a person at a place", Who: Inspector, Path: "/recalls/new?place=" + url.QueryEscape(s.Place) + "&person=" + s.Shop.Operator.PersonID + "&from=2031-05-01&to=2031-05-12", Status: http.StatusOK,
				Has: []string{"1 item measured at " + s.Place + " by " + names[s.Shop.Operator.PersonID] + " from 1 May 2031 to 12 May 2031: 1 here", `name="person" value="` + s.Shop.Operator.PersonID + `"`}},
			{Name: "a place in capitals", Who: Inspector, Path: "/recalls/new?place=" + url.QueryEscape(strings.ToUpper(s.Place)) + "&from=2031-05-01&to=2031-05-12", Status: http.StatusOK, Has: []string{"1 item measured at " + s.Place + " from 1 May 2031 to 12 May 2031: 1 here"}},
			{Name: "a place nobody measured at", Who: Inspector, Path: "/recalls/new?place=stand9&from=2031-05-01&to=2031-05-12", Status: http.StatusUnprocessableEntity, Has: []string{"Nothing was ever measured at stand9"}, HasNot: []string{"No wheel and no pack was found"}},
			{Name: "by another", Who: Inspector, Path: "/recalls/new?person=" + s.Shop.Owner.PersonID + "&to=2031-05-12", Status: http.StatusOK, Has: []string{"No wheel and no pack was found measured by " + names[s.Shop.Owner.PersonID]}},
			{Name: "searched for nothing", Who: Inspector, Path: "/recalls/new?lot=&part=&instrument=&place=&person=&from=&to=", Status: http.StatusUnprocessableEntity, Has: []string{"Nothing was looked up", "Name one of them", "(needed for a gauge, a place or a person)"}},
			{Name: "the form", Who: Inspector, Path: "/recalls/new", Status: http.StatusOK, HasNot: []string{"Name one of them"}},
			{Name: "by nobody here", Who: Inspector, Path: "/recalls/new?person=Nobody&to=2031-05-12", Status: http.StatusUnprocessableEntity, Has: []string{"Nobody is not one of the choices", "By"}},
			{Name: "a wheel", Who: Inspector, Path: "/recalls/new?part=" + *wheel.Serial, Status: http.StatusOK, Has: []string{"1 item with part " + words.Serial(*wheel.Serial)}},
			{Name: "no wheel", Who: Inspector, Path: "/recalls/new?part=MX-9", Status: http.StatusUnprocessableEntity, Has: []string{"MX-9"}},
			Posted("without a reason", Inspector, "/recalls/new", url.Values{"lot": {"SP-0214"}, "confirm.password": {Password}}, http.StatusUnprocessableEntity, "Say why"),
			func() Row {
				row := Posted("called back", Inspector, "/recalls/new", url.Values{"lot": {"SP-0214"}, "reason": {"elbows crack"}, "wanted": {"stop riding"}}, http.StatusSeeOther)
				row.After = func(t *testing.T, h http.Header, _ []byte) { path, _, _ = strings.Cut(h.Get("Location"), "?") }
				return row
			}(),
			{Name: "the rest of the lot is set aside", Who: Desk, Path: "/lots/SP-0214", Status: http.StatusOK, Has: []string{"In quarantine", "R31-00001"}},
			{Name: "it is held", Who: Desk, Path: "/items/" + *wheel.Serial, Status: http.StatusOK, Has: []string{"<h1>Called back by R31-00001, on hold</h1>", "Why: elbows crack. Whoever has one is to: stop riding.", "/recalls/R31-00001"}},
			there(Row{Name: "the recall", Who: Desk, Status: http.StatusOK, Has: []string{"elbows crack", "stop riding", "nothing yet", "Nothing of it was shipped: 1 here", "with lot SP-0214"}, HasNot: []string{"Search again"}}, ""),
			{Name: "it waits on the first page", Who: Desk, Path: "/", Status: http.StatusOK, Has: []string{"R31-00001", "nothing of it had left the shop"}},
			{Name: "the lot, for who decides", Who: Inspector, Path: "/", Status: http.StatusOK, Has: []string{">Decide<"}},
			{Name: "and for who does not", Who: Operator, Path: "/", Status: http.StatusOK, Has: []string{"waits for a decision", ">Open the lot<"}, HasNot: []string{">Decide<"}},
			{Name: "for whom it is to be answered", Who: Operator, Path: "/", Status: http.StatusOK, HasNot: []string{"nothing of it had left the shop"}},
			there(Posted("answered", Desk, "", url.Values{"response_" + wheel.ID: {"put_right"}}, http.StatusSeeOther), "/responses"),
			there(Posted("asked again", Inspector, "", url.Values{}, http.StatusSeeOther), "/again"),
			there(Row{Name: "twice", Who: Desk, Status: http.StatusOK, Has: []string{"put right, 12 May 2031", "2 times"}}, ""),
			there(Posted("closed for no reason", Inspector, "", url.Values{}, http.StatusUnprocessableEntity, "Say why"), "/end"),
			there(Posted("closed", Inspector, "", url.Values{"reason": {"put right"}}, http.StatusSeeOther), "/end"),
			{Name: "and waits no more", Who: Desk, Path: "/", Status: http.StatusOK, HasNot: []string{"nothing of it had left the shop"}},
			{Name: "listed", Who: Desk, Path: "/recalls", Status: http.StatusOK, Has: []string{"Closed", "With lot SP-0214", "1 here"}},
			Posted("a claim on what the lot is in", Desk, "/claims/new", url.Values{"words": {"it ticks"}, "item": {*wheel.Serial}}, http.StatusSeeOther),
			{Name: "says that the lot is set aside", Who: Desk, Path: "/claims/CL31-00001", Status: http.StatusOK, Has: []string{"Lots in it", "In quarantine", "R31-00001"}, HasNot: []string{"not on hold"}},
		})
	})
}

// The desk telephones by a list: a name that begins like a formula is inert, the
// look is recorded, and nobody else gets it.
func TestContactsOfARecall(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.MustRecord(s.Extremes())
		box := s.kitted(t)
		who, err := s.App.Services.Shipping.Customer(t.Context(), s.Shop.Owner, box.customer, "")
		s.Must(err)
		from, err := who.Digest()
		s.Must(err)
		who.Name, who.Phone = "=HYPERLINK(1)", "+47 2200"
		_, err = s.App.Services.Shipping.ChangeCustomer(t.Context(), s.Shop.Owner, from, who)
		s.Must(err)
		r, err := s.App.Services.Recall.Make(t.Context(), s.Shop.Owner, recall.NewRecall{Ask: recall.Ask{Instrument: "D-1", From: s.Now.AddDate(0, 0, -1), To: s.Now.AddDate(0, 0, 1)}, Reason: "the gauge was dropped"})
		s.Must(err)
		path := "/recalls/" + r.Number
		s.Run(t, []Row{
			{Name: "offered to the desk", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{path + "/contacts.csv"}},
			{Name: "to no operator", Who: Operator, Path: path, Status: http.StatusOK, HasNot: []string{"contacts.csv"}},
			{Name: "nor given", Who: Operator, Path: path + "/contacts.csv", Status: http.StatusForbidden, HasNot: []string{"HYPERLINK"}},
			{Name: "the list", Who: Desk, Path: path + "/contacts.csv", Status: http.StatusOK, Headers: map[string]string{"Content-Type": "text/csv; charset=utf-8"},
				Has: []string{words.Serial(*s.Item[models.KindWheel].Serial) + ",,2031-05-12," + box.number + ",4471,'=HYPERLINK(1),'+47 2200,,\"Quay 4\n9921 Sundhavn\","}},
			{Name: "who has not answered, before it is closed", Who: Inspector, Path: path + "/end", Status: http.StatusOK, Has: []string{"Not answered: 1 of 1 shipped, and 1 was not notified."}},
			{Name: "no recall to close", Who: Inspector, Path: "/recalls/R31-99999/end", Status: http.StatusNotFound},
			{Name: "of no recall", Who: Desk, Path: "/recalls/R31-99999/contacts.csv", Status: http.StatusNotFound},
			{Name: "says so first", Who: Desk, Path: "/items/" + *s.Item[models.KindWheel].Serial, Status: http.StatusOK, Has: []string{"<h1>Called back by " + r.Number + "</h1>", r.Number + " after it was shipped", "Why: the gauge was dropped. Tell whoever has it", path}, HasNot: []string{"<h1>Certified", "<h1>Passed"}},
			Posted("a claim on one of it", Desk, "/claims/new", url.Values{"words": {"it ticks"}, "item": {*s.Item[models.KindWheel].Serial}, "came_on": {"2031-05-12"}}, http.StatusSeeOther),
			Posted("and one of the customer", Desk, "/claims/new", url.Values{"words": {"it hums"}, "item": {*s.Item[models.KindWheel].Serial}, "came_on": {"2031-05-12"}, "customer": {box.customer}, "sure": {*s.Item[models.KindWheel].Serial}}, http.StatusSeeOther),
			{Name: "says what the recall does to it", Who: Desk, Path: "/claims/CL31-00001", Status: http.StatusOK, Has: []string{"It is called back: accepted, it stays on hold"}},
		})
		looks, err := s.Store.LooksAt(t.Context(), box.customer, 9)
		s.Must(err)
		if len(looks) == 0 || looks[0].PersonID != s.People[Desk].ID || looks[0].Reason != "recall "+r.Number {
			t.Errorf("the look at a customer was recorded as %+v", looks)
		}
		s.Run(t, []Row{{Name: "the last page before erasing says whom", Who: Desk, Path: "/customers/" + box.customer + "/erase", Status: http.StatusOK, Has: []string{"Erase =HYPERLINK(1) for good", "its words and photos stay"}}})
		_, err = s.App.Services.Shipping.EraseCustomer(t.Context(), s.Shop.Owner, box.customer)
		s.Must(err)
		s.Run(t, []Row{{Name: "erased since", Who: Desk, Path: path + "/contacts.csv", Status: http.StatusOK, Has: []string{",4471,erased,,,,"}, HasNot: []string{"Quay"}},
			{Name: "and no link to nobody", Who: Desk, Path: path, Status: http.StatusOK, Has: []string{"customer erased"}, HasNot: []string{"/customers/" + box.customer}},
			{Name: "nor from the shipment", Who: Desk, Path: "/shipments/" + box.number, Status: http.StatusOK, Has: []string{"The customer was erased."}, HasNot: []string{"/customers/" + box.customer}},
			{Name: "nor from a claim", Who: Desk, Path: "/claims/CL31-00002", Status: http.StatusOK, Has: []string{"The customer was erased.", "The words were erased."}, HasNot: []string{"/customers/" + box.customer}},
			{Name: "of a claim that names an item alone the words stay", Who: Desk, Path: "/claims/CL31-00001", Status: http.StatusOK, Has: []string{"it ticks", "/claims/CL31-00001/erase"}}})
	})
}
