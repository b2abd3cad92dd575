package servertest

import (
	"errors"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/claims"
	"tracewright/models/work/corrective"
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

// A lot that was set aside while a form about it lay open is not let go by that form,
// whoever confirms it.
func TestAQuarantineMeanwhileStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, lot := t.Context(), "/lots/SP-0214"
		_, err := s.App.Services.Receive.AddLot(ctx, s.Shop.Owner, models.Lot{Code: "SP-0214", Material: "spokes"})
		s.Must(err)
		undecided := s.open(t, Owner, lot+"/concession")
		bent := url.Values{"reason": {"bent"}}
		confirmed := url.Values{"from": {undecided}, "reason": {"straight enough"}, "confirm.password": {Password}}
		s.Run(t, []Row{
			s.opened(t, Posted("the inspector sets it aside", Inspector, lot+"/quarantine", bent, http.StatusSeeOther)),
			Posted("the older form lets it go", Owner, lot+"/accept", confirmed, http.StatusUnprocessableEntity, behind, "straight enough", `name="from" value="`+undecided+`"`),
			Posted("or under a concession", Owner, lot+"/concession", confirmed, http.StatusUnprocessableEntity, behind),
			Posted("nothing is asked for that would let it go", Owner, lot+"/accept", url.Values{"from": {undecided}}, http.StatusUnprocessableEntity, behind),
			{Name: "the older one in the interface", Who: Owner, Path: api.Base + lot + "/decisions", Body: object{"from": undecided, "decision": "accept", "reason": "fine", "confirm": object{"password": Password}}, Status: http.StatusConflict},
		})
		story, err := s.App.Services.Receive.Story(ctx, "SP-0214")
		s.Must(err)
		if story.Decision == nil || story.Decision.Decision != models.LotQuarantine {
			t.Errorf("the lot is decided %+v", story.Decision)
		}
		delete(confirmed, "from")
		s.Run(t, []Row{
			s.opened(t, Posted("the form opened again", Owner, lot+"/accept", confirmed, http.StatusSeeOther)),
			{Name: "in the interface", Who: Owner, Path: api.Base + lot + "/decisions", Body: object{"decision": "quarantine", "reason": "bent after all"}, Status: http.StatusCreated},
		})
	})
}

// A cause that was entered while another's form lay open stands: a plan is said whole.
func TestAPlanMeanwhileStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx := t.Context()
		v, err := s.App.Services.Corrective.Add(ctx, s.Shop.Owner, corrective.Plan{Problem: "rims crack", Owner: s.People[Inspector].ID, DueOn: "2031-06-01"})
		s.Must(err)
		one := "/corrective-actions/" + v.Number
		plan := func(more ...string) url.Values {
			fields := url.Values{"problem": {"rims crack"}, "owner": {s.People[Inspector].ID}, "due_on": {"2031-06-01"}}
			for i := 0; i+1 < len(more); i += 2 {
				fields.Set(more[i], more[i+1])
			}
			return fields
		}
		older := s.open(t, Inspector, one)
		s.Run(t, []Row{
			s.opened(t, Posted("the cause", Owner, one, plan("cause", "too thin"), http.StatusSeeOther)),
			Posted("the action, in the older form", Inspector, one, plan("action", "another rim", "from", older), http.StatusUnprocessableEntity, behind, "another rim", `name="from" value="`+older+`"`),
			Posted("a fault in it besides", Inspector, one, plan("due_on", "soon", "from", older), http.StatusUnprocessableEntity, behind),
			Posted("a form that holds nothing", Inspector, one, plan("action", "another rim"), http.StatusUnprocessableEntity, behind),
			{Name: "the older one in the interface", Who: Inspector, Path: api.Base + one + "/plan", Body: object{"from": older, "problem": "rims crack", "owner": s.People[Inspector].ID, "due_on": "2031-06-01"}, Status: http.StatusConflict},
			Posted("the same once more", Owner, one, plan("cause", "too thin", "from", older), http.StatusSeeOther),
			s.opened(t, Posted("the form opened again", Inspector, one, plan("cause", "too thin", "action", "another rim"), http.StatusSeeOther)),
		})
		now, err := s.App.Services.Corrective.One(ctx, v.Number)
		s.Must(err)
		if stated := now.Stated(); len(now.Steps) != 3 || stated.Cause != "too thin" || stated.Action != "another rim" {
			t.Errorf("after %d steps %+v is planned", len(now.Steps), stated)
		}
	})
}

// What another said of a material stays, and of two new ones of a code the first does.
func TestAMaterialMeanwhileStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, spokes := t.Context(), "/materials/spokes"
		older := s.open(t, Owner, spokes)
		about := func(name, least, from string) url.Values {
			return url.Values{"name": {name}, "unit": {"pieces"}, "least": {least}, "from": {from}}
		}
		named := object{"name": "spokes", "unit": "pieces"}
		fresh := func(code, name string) url.Values {
			return url.Values{"code": {code}, "name": {name}, "unit": {"tubes"}}
		}
		s.Run(t, []Row{
			s.opened(t, Posted("short below 5000", Owner, spokes, about("spokes", "5000", ""), http.StatusSeeOther)),
			Posted("renamed in the older form", Owner, spokes, about("bright spokes", "", older), http.StatusUnprocessableEntity, behind, "bright spokes", `name="from" value="`+older+`"`),
			Posted("wrong besides", Owner, spokes, about("bright spokes", "-1", older), http.StatusUnprocessableEntity, behind),
			Posted("a form that holds nothing", Owner, spokes, about("bright spokes", "", ""), http.StatusUnprocessableEntity, behind),
			{Name: "the older one in the interface", Who: Owner, Method: http.MethodPut, Path: api.Base + spokes, Body: object{"from": older, "name": "spokes", "unit": "pieces"}, Status: http.StatusConflict},
			{Name: "one that holds nothing adds nothing", Who: Owner, Method: http.MethodPut, Path: api.Base + spokes, Body: named, Status: http.StatusConflict},
			Posted("a new one", Owner, "/materials/new", fresh("glue", "glue"), http.StatusSeeOther),
			Posted("another of its code", Owner, "/materials/new", fresh("glue", "paint"), http.StatusUnprocessableEntity, "taken already"),
			{Name: "a new one in the interface", Who: Owner, Method: http.MethodPut, Path: api.Base + "/materials/tape", Body: named, Status: http.StatusOK},
			s.opened(t, Posted("the form opened again", Owner, spokes, about("bright spokes", "5000", ""), http.StatusSeeOther)),
		})
		for code, want := range map[string]string{"spokes": "bright spokes", "glue": "glue"} {
			if m, err := s.Store.Material(ctx, code); err != nil || m.Name != want || code == "spokes" && m.Least != 5000 {
				t.Errorf("%s is %+v, %v", code, m, err)
			}
		}
		s.Run(t, []Row{{Name: "what the interface tells is what a change is made on", Who: Desk, Path: api.Base + "/materials", Status: http.StatusOK, Has: []string{`"digest":"` + s.open(t, Owner, spokes) + `"`}}})
	})
}

// The day a pack is wanted for stays when who moves it has an older form, and of a day and
// a place both or neither is kept.
func TestAWantedDayMeanwhileStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, pack := t.Context(), s.Item[models.KindPack]
		path := "/items/" + s.Serial[models.KindPack] + "/place"
		stands := func(fromPlace, fromDay, place, day string) url.Values {
			return url.Values{"from.place": {fromPlace}, "from.day": {fromDay}, "place": {place}, "day": {day}}
		}
		is := func(place, day string) {
			t.Helper()
			if p, d, err := s.App.Services.Shelf.Stands(ctx, pack.ID); err != nil || p != place || d != day {
				t.Fatalf("it stands at %q, wanted for %q, %v; want %q, %q", p, d, err, place, day)
			}
		}
		step := func(place, day string, row Row) {
			t.Helper()
			s.Run(t, []Row{row})
			is(place, day)
		}
		step("", "", Posted("too long a place", Operator, path, stands("", "", strings.Repeat("x", 61), "2031-12-20"), http.StatusUnprocessableEntity, "2031-12-20"))
		step("", "", Posted("no day", Operator, path, stands("", "", "rack C 1", "soon"), http.StatusUnprocessableEntity, "rack C 1"))
		step("rack C 1", "", Posted("a place", Operator, path, stands("", "", "rack C 1", ""), http.StatusSeeOther))
		step("rack C 1", "2031-12-20", Posted("a day", Operator, path, stands("rack C 1", "", "rack C 1", "2031-12-20"), http.StatusSeeOther))
		step("loft 1", "2031-12-20", Posted("moved in the older form", Inspector, path, stands("rack C 1", "", "loft 1", ""), http.StatusSeeOther))
		step("loft 1", "2031-12-20", Posted("another day in the older form", Inspector, path, stands("rack C 1", "", "rack C 1", "2031-12-24"), http.StatusUnprocessableEntity, behind, `name="from.place" value="rack C 1"`, `value="2031-12-24"`))
		step("loft 1", "2031-12-20", Posted("what stands by now", Inspector, path, stands("rack C 1", "", "loft 1", "2031-12-20"), http.StatusSeeOther))
		step("", "", Posted("taken away, and wanted no more", Inspector, path, stands("loft 1", "2031-12-20", " ", ""), http.StatusSeeOther))
	})
}

// Whoever signs a certificate signs the readings that the page showed: measured again
// meanwhile, by whatever result, the item is looked at again first, before a secret is
// asked for: the page leads to what it is now.
func TestACertificateOfWhatThePageShowed(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		wheel := s.Item[models.KindWheel]
		first := s.MustRecord(s.Extremes()).Inspection.ID
		page, issue := "/items/"+*wheel.Serial+"/release", api.Base+"/items/"+*wheel.Serial+"/certificates"
		older := s.open(t, Owner, page)
		s.Now = s.Now.Add(time.Minute)
		sub := s.Extremes()
		sub.Stage = models.Recheck
		second := s.MustRecord(sub).Inspection.ID
		confirmed := func(from string) url.Values {
			return url.Values{"from": {from}, "language": {"de"}, "confirm.password": {Password}}
		}
		again := func(r Row) Row { // A way to what it is now, and no form that is refused for ever.
			r.HasNot = []string{`name="from"`}
			return r
		}
		s.Run(t, []Row{
			again(Posted("the older page", Owner, page, confirmed(older), http.StatusUnprocessableEntity, behind, `href="`+page+`"`)),
			Posted("the older page, by whom no secret tells", Owner, page, url.Values{"from": {older}}, http.StatusUnprocessableEntity, behind),
			Posted("a page that holds nothing", Owner, page, confirmed(""), http.StatusUnprocessableEntity, behind),
			{Name: "the older readings in the interface", Who: Operator, Path: issue, Body: object{"from": first}, Status: http.StatusConflict, Has: []string{`/stale"`}},
		})
		if _, err := s.Store.CertificateInForce(t.Context(), wheel.ID); !errors.Is(err, models.ErrNotFound) {
			t.Fatalf("a certificate in force: %v", err)
		}
		s.Run(t, []Row{
			s.opened(t, Posted("the page opened again", Owner, page, confirmed(""), http.StatusSeeOther)),
			{Name: "by the readings that stand", Who: Owner, Path: issue, Body: object{"from": second, "reason": "for abroad", "language": "en", "confirm": object{"password": Password}}, Status: http.StatusCreated, Has: []string{`"revision":2`, second}},
			{Name: "by whichever stand", Who: Owner, Path: issue, Body: object{"reason": "for the customer", "confirm": object{"password": Password}}, Status: http.StatusCreated, Has: []string{`"revision":3`}},
		})
	})
}
