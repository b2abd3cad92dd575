package servertest

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/build"
	"tracewright/models/work/shelf"
)

// A pack's steps, charge and discharge by the plain forms of its page.
func TestBuildingOnThePage(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		pack, wheel, family := s.Serial[models.KindPack], s.Serial[models.KindWheel], *s.Item[models.KindPack].FamilyID
		item := "/items/" + pack
		form := func(name, who, path string, values url.Values, status int, says ...string) Row {
			return Row{Name: name, Who: who, Method: http.MethodPost, Path: path, Status: status, Has: says, Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, Body: values.Encode()}
		}
		log := "time;current;1;2;3\n0;0,6;12,8;12,8;12,8\n20;0,6;10,5;10,6;10,6\n20,1;0,6;10,4;10,5;10,5"
		s.Run(t, []Row{
			{Name: "open", Who: Desk, Path: item, Status: http.StatusOK, Has: []string{"Building, charge and rest", "Blocks joined in their order", "No charge is recorded", "Charging gives off hydrogen", "Not on the shelf"}, HasNot: []string{"Take back", "Add a discharge"}},
			{Name: "no wheel is built so", Who: Desk, Path: "/items/" + wheel, Status: http.StatusOK, HasNot: []string{"Building, charge and rest"}},
			form("ticked", Operator, item+"/steps", url.Values{"step": {"joined"}, "done": {"yes"}}, http.StatusSeeOther),
			form("a step of no list", Operator, item+"/steps", url.Values{"step": {"polished"}, "done": {"yes"}}, http.StatusNotFound),
			form("the desk ticks nothing", Desk, item+"/steps", url.Values{"step": {"joined"}, "done": {"yes"}}, http.StatusForbidden),
			{Name: "done, by whom", Who: Operator, Path: item, Status: http.StatusOK, Has: []string{"Take back", "12 May 2031"}},
			form("taken back", Operator, item+"/steps", url.Values{"step": {"joined"}, "done": {"no"}}, http.StatusSeeOther),
			{Name: "history stays", Who: Operator, Path: item, Status: http.StatusOK, Has: []string{"Blocks joined in their order: taken back by"}},
			form("an unknown kind of charge", Operator, item+"/charges", url.Values{"kind": {"boost"}}, http.StatusUnprocessableEntity, "boost is not one of the choices"),
			form("on the charger", Operator, item+"/charges", url.Values{"kind": {"charge"}, "charger": {"CH-2"}}, http.StatusSeeOther),
			form("twice", Operator, item+"/charges", url.Values{"kind": {"charge"}}, http.StatusUnprocessableEntity, "on a charger already"),
			{Name: "it is on the charger", Who: Operator, Path: item, Status: http.StatusOK, Has: []string{"On the charger at CH-2 since", "End the charge"}},
			{Name: "the family's steps", Who: Owner, Path: "/families/" + family + "/steps", Status: http.StatusOK, Has: []string{"Blocks joined in their order\nSoldered or bolted"}},
			form("without a reason", Owner, "/families/"+family+"/steps", url.Values{"from": {"0"}, "steps": {"Labelled"}}, http.StatusUnprocessableEntity, "Say why"),
			form("a new list", Owner, "/families/"+family+"/steps", url.Values{"from": {"0"}, "steps": {"Labelled\r\nHeat-shrunk"}, "reason": {"as we build"}}, http.StatusSeeOther),
			form("over one that nobody saw", Owner, "/families/"+family+"/steps", url.Values{"from": {"0"}, "steps": {"Labelled"}, "reason": {"as we build"}}, http.StatusUnprocessableEntity, "changed by somebody else"),
			form("not an operator's", Operator, "/families/"+family+"/steps", url.Values{"from": {"1"}, "steps": {"Labelled"}, "reason": {"r"}}, http.StatusForbidden),
			{Name: "the form of a discharge", Who: Operator, Path: item + "/capacity/new", Status: http.StatusOK, Has: []string{"Add a discharge"}},
			form("its capacity is not known", Operator, item+"/capacity/new", url.Values{"started_at": {"2031-05-11T08:30"}, "temperature_c": {"20"}, "log": {log}}, http.StatusUnprocessableEntity, "rated capacity", log[:20]),
			form("no log", Operator, item+"/capacity/new", url.Values{"started_at": {"2031-05-11T08:30"}, "temperature_c": {"20"}, "log": {"0;0,6"}}, http.StatusUnprocessableEntity, "Line 1"),
			{Name: "no such discharge", Who: Desk, Path: item + "/capacity/" + models.NewID(), Status: http.StatusNotFound},
		})
		id := *s.Item[models.KindPack].ProductID
		p := models.PackForm{Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 3, MinRestHours: "24", CapacityAh: "12"}
		s.Must(s.Store.AddProductRevision(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.ProductRevision{ProductID: id, Revision: 2, Form: models.ProductForm{Pack: &p}, Reason: "its capacity"}))
		s.Run(t, []Row{form("a discharge", Operator, item+"/capacity/new", url.Values{"started_at": {"2031-05-11T08:30"}, "temperature_c": {"20"}, "log": {log}}, http.StatusSeeOther)})
		tests, err := s.Store.CapacityTestsOf(t.Context(), s.Item[models.KindPack].ID)
		if err != nil || len(tests) != 1 {
			t.Fatalf("%d tests, %v", len(tests), err)
		}
		s.Run(t, []Row{{Name: "20 h at 0.6 A are 12 Ah, 12.37 at 25 degrees", Who: Desk, Path: item + "/capacity/" + tests[0].ID, Status: http.StatusOK, Has: []string{"12.37", "first at its cut-off", "data-figure=", "cut-off 10.50"}}})
	})
}

// chargedAndTested puts the pack on the shelf and on a charger, discharges it,
// and gives the keys of charge and discharge.
func (s *Shop) chargedAndTested(t *testing.T, pack models.Item) (charge, test string) {
	t.Helper()
	ctx, by := t.Context(), s.Shop.Operator
	form, err := s.Store.ProductForm(ctx, *pack.ProductID)
	s.Must(err)
	p := *form.Form.Pack
	p.CapacityAh = "12"
	s.Must(s.Store.AddProductRevision(ctx, models.NewStamp(s.Shop.Owner, s.Now), models.ProductRevision{ProductID: *pack.ProductID, Revision: form.Revision + 1, Form: models.ProductForm{Pack: &p}, Reason: "its capacity"}))
	services := s.App.Services
	s.Must(services.Shelf.Place(ctx, by, *pack.Serial, "rack C 1", s.Now))
	c, err := services.Shelf.StartCharge(ctx, by, *pack.Serial, shelf.NewCharge{Charger: "CH-2"})
	s.Must(err)
	log, err := build.ParseLog("0,0.6,12.8,12.8,12.8\n20,0.6,10.5,10.6,10.6\n20.1,0.6,10.4,10.5,10.5")
	s.Must(err)
	tested, err := services.Build.AddCapacityTest(ctx, by, *pack.Serial, build.NewTest{Started: s.Now.AddDate(0, 0, -2), TemperatureC: "20", Log: log})
	s.Must(err)
	return c.ID, tested.ID
}

// A pack that passed says over everything that it is on a charger, or was charged
// since: what was measured does not show it as it is.
func TestAPageOfAPackThatIsCharged(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.MustRecord(s.Shop.Pack())
		ctx, pack, shelves := t.Context(), s.Serial[models.KindPack], s.App.Services.Shelf
		says := func(name, answer string) {
			t.Helper()
			s.Run(t, []Row{{Name: name, Who: Desk, Path: "/items/" + pack, Status: http.StatusOK, Has: []string{"<h1>" + answer}}})
		}
		says("measured", "Passed every limit; not certified yet")
		s.Now = s.Now.Add(time.Minute)
		c, err := shelves.StartCharge(ctx, s.Shop.Operator, pack, shelf.NewCharge{})
		s.Must(err)
		says("on a charger", "On a charger: let it rest and measure it again")
		s.Now = s.Now.Add(10 * time.Minute)
		_, err = shelves.EndCharge(ctx, s.Shop.Operator, c.ID, "", time.Time{})
		s.Must(err)
		says("charged", "Charged since it was measured: let it rest and measure it again")
	})
}
