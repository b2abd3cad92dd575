package servertest

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/server/api"
)

// heldFrom is what a form was opened on, as its page holds it.
var heldFrom = regexp.MustCompile(`name="from" value="([^"]*)"`)

// opened is a form whose page is opened just before it is sent.
func (s *Shop) opened(t *testing.T, row Row) Row { return s.openedAt(t, row.Path, row) }

// openedAt is one whose page has another address than the form is sent to.
func (s *Shop) openedAt(t *testing.T, page string, row Row) Row {
	row.Before = func(r *Row) {
		form, err := url.ParseQuery(r.Body.(string))
		s.Must(err)
		form.Set("from", s.open(t, r.Who, page))
		r.Body = form.Encode()
	}
	return row
}

func (s *Shop) open(t *testing.T, who, path string) string {
	t.Helper()
	status, _, body := s.Do(t, Row{Who: who, Path: path})
	found := heldFrom.FindSubmatch(body)
	if found == nil {
		t.Fatalf("%s as %s: status %d, and the form does not say what it was opened on: %s", path, who, status, shortened(body))
	}
	return string(found[1])
}

const behind = "It was changed by somebody else meanwhile"

// A page that lies open writes nothing over that was changed meanwhile: a gauge that
// failed stays out of use, who left stays away, and what the shop decided stays.
func TestWhatWasChangedMeanwhileStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx := t.Context()
		gauge := func() models.Instrument {
			v, err := s.App.Services.Gauges.Instrument(ctx, "D-1")
			s.Must(err)
			return v.Instrument
		}
		entry := func(from, place string) url.Values {
			return url.Values{"from": {from}, "name": {"Dial"}, "place": {place}, "unit": {"mm"}, "resolution": {"0.01"}, "state": {"in_use"}, "due_on": {"2031-12-01"}}
		}
		at, put := "/instruments/D-1", api.Base+"/instruments/D-1"
		older := s.open(t, Inspector, at)
		failed := url.Values{"by": {"lab"}, "standard": {"gauge blocks"}, "points[0].reference": {"0.32"}, "points[0].as_found": {"0.42"}, "points[0].tolerance": {"0.02"}}
		s.Run(t, []Row{
			Posted("the gauge fails", Inspector, at+"/calibrate", failed, http.StatusSeeOther),
			Posted("the older page", Inspector, at, entry(older, "stand 2"), http.StatusUnprocessableEntity, behind, `value="`+older+`"`),
			Posted("a page that holds nothing", Inspector, at, entry("", "stand 2"), http.StatusUnprocessableEntity, behind),
			{Name: "the older entry in the interface", Who: Inspector, Method: http.MethodPut, Path: put, Body: object{"from": older, "name": "Dial", "unit": "mm", "state": "in_use"}, Status: http.StatusConflict},
			{Name: "an entry that holds nothing", Who: Inspector, Method: http.MethodPut, Path: put, Body: object{"name": "Dial", "unit": "mm", "state": "in_use"}, Status: http.StatusConflict},
		})
		if i := gauge(); i.State != models.InstrumentOut || i.CalibratedOn == "" || i.DueOn == "2031-12-01" || i.Place == "stand 2" {
			t.Errorf("the gauge that failed is %+v", i)
		}
		moved := entry("", "stand 2")
		moved.Set("state", "out")
		s.Run(t, []Row{s.opened(t, Posted("the page opened again", Inspector, at, moved, http.StatusSeeOther))})
		if i := gauge(); i.State != models.InstrumentOut || i.Place != "stand 2" {
			t.Errorf("moved, the gauge is %+v", i)
		}
		s.Run(t, []Row{{Name: "what the interface tells is what a change is made on", Who: Inspector, Path: put, Status: http.StatusOK, Has: []string{`"digest":"` + s.open(t, Inspector, at) + `"`}}})

		person := "/people/" + s.People[Inspector].ID
		opened := s.open(t, Owner, person)
		about := func(name, role, active string) url.Values {
			return url.Values{"from": {opened}, "name": {name}, "role": {role}, "login": {*s.People[Inspector].Login}, "active": {active}}
		}
		s.Run(t, []Row{
			Posted("they leave", Owner, person, about("Ida", "operator", ""), http.StatusSeeOther),
			Posted("another owner puts the name right", Owner, person, about("Ida Lind", "inspector", "yes"), http.StatusUnprocessableEntity, behind),
		})
		if p, err := s.Store.Person(ctx, s.People[Inspector].ID); err != nil || p.Active || p.Role != models.Operator || p.Name != "Ida" {
			t.Errorf("afterwards %+v, %v", p, err)
		}

		ada, err := s.App.Services.Shipping.AddCustomer(ctx, s.Shop.Owner, models.Customer{Name: "Ada Brenn", Phone: "555 0142"})
		s.Must(err)
		at, put = "/customers/"+ada.ID, api.Base+"/customers/"+ada.ID
		older = s.open(t, Desk, at+"?reason=a+call")
		s.Run(t, []Row{
			Posted("she has moved", Desk, at, url.Values{"from": {older}, "name": {"Ada Brenn"}, "phone": {"555 0142"}, "address": {"Quay 4"}}, http.StatusSeeOther),
			Posted("another's older page", Owner, at, url.Values{"from": {older}, "name": {"Ada Brenn"}, "phone": {"555 0199"}}, http.StatusUnprocessableEntity, behind, "555 0199", `value="`+older+`"`),
			Posted("a page that holds nothing", Owner, at, url.Values{"name": {"Ada Brenn"}}, http.StatusUnprocessableEntity, behind),
			{Name: "the older one in the interface", Who: Desk, Method: http.MethodPut, Path: put, Body: object{"from": older, "name": "Ada Brenn"}, Status: http.StatusConflict},
		})
		s.Run(t, []Row{{Name: "what the interface tells is what a change is made on", Who: Desk, Path: put + "?reason=a+call", Status: http.StatusOK, Has: []string{`"digest":"` + s.open(t, Desk, at+"?reason=a+call") + `"`}}})
		if now, err := s.App.Services.Shipping.Customer(ctx, s.Shop.Owner, ada.ID, "to see"); err != nil || now.Address != "Quay 4" || now.Phone != "555 0142" {
			t.Errorf("the customer is %+v, %v", now, err)
		}

		opened = s.open(t, Owner, "/shop")
		shop := func(more url.Values) url.Values {
			more.Set("from", opened)
			more.Set("name", "Hof")
			more.Set("time_zone", "UTC")
			return more
		}
		s.Run(t, []Row{
			Posted("the shop decides", Owner, "/shop", shop(url.Values{"block_overdue": {"yes"}, "look_reason": {"yes"}, "retention_months": {"24"}}), http.StatusSeeOther),
			Posted("another changes the address", Owner, "/shop", shop(url.Values{"address": {"Weir Lane 3"}}), http.StatusUnprocessableEntity, behind),
			Posted("a page that holds nothing", Owner, "/shop", url.Values{"name": {"Hof"}, "time_zone": {"UTC"}}, http.StatusUnprocessableEntity, behind),
		})
		set, err := s.App.Services.Shop.Settings(ctx)
		s.Must(err)
		if !set.BlockOverdue || !set.LookReason || set.RetentionMonths != "24" || strings.Contains(set.Address, "Weir") {
			t.Errorf("the shop's settings are %+v", set)
		}
	})
}
