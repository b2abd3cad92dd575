package servertest

import (
	"fmt"
	"net/http"
	"net/url"
	"testing"

	"tracewright/models"
)

// A form that is refused, or asked for other figures, still names the revision that it was
// opened on: sent once more it does not replace the one that came meanwhile.
func TestARevisionMeanwhileStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, family := t.Context(), *s.Item[models.KindWheel].FamilyID
		rule := "/families/" + family + "/rule?result=dish_abs"
		older := s.open(t, Owner, rule)
		chosen := func(u, reason, from string, more ...string) url.Values {
			v := url.Values{"u": {u}, "rule": {"simple"}, "reason": {reason}, "from": {from}}
			for _, x := range more {
				v.Set(x, "yes")
			}
			return v
		}
		held := `name="from" value="` + older + `"`
		s.Run(t, []Row{
			s.opened(t, Posted("another revises it", Owner, rule, chosen("0.2", "by a study", ""), http.StatusSeeOther)),
			Posted("the costs, in the older form", Owner, rule, chosen("0.1", "", older, "look"), http.StatusUnprocessableEntity, behind, held, `value="0.1"`),
			Posted("saved without a reason", Owner, rule, chosen("0.1", "", older), http.StatusUnprocessableEntity, behind, held),
			Posted("and with one", Owner, rule, chosen("0.1", "as it was", older), http.StatusUnprocessableEntity, behind, held),
			Posted("a form that holds nothing", Owner, rule, chosen("0.1", "as it was", ""), http.StatusUnprocessableEntity, behind),
		})
		spec, err := s.Store.SpecificationInForce(ctx, family, nil)
		s.Must(err)
		if limit, _, _ := spec.Limit("dish_abs"); spec.Revision != 2 || limit.U != "0.2" {
			t.Errorf("revision %d has the uncertainty %s, want revision 2 with 0.2", spec.Revision, limit.U)
		}

		pack := *s.Item[models.KindPack].FamilyID
		path := "/families/" + pack + "/steps"
		older = s.open(t, Owner, path)
		steps := func(list, reason, from string) url.Values {
			return url.Values{"steps": {list}, "reason": {reason}, "from": {from}}
		}
		held = `name="from" value="` + older + `"`
		s.Run(t, []Row{
			s.opened(t, Posted("another changes the steps", Owner, path, steps("Labelled\nHeat-shrunk", "as we build", ""), http.StatusSeeOther)),
			Posted("the older form, for no reason", Owner, path, steps("Labelled", "", older), http.StatusUnprocessableEntity, behind, held),
			Posted("and for one", Owner, path, steps("Labelled", "short", older), http.StatusUnprocessableEntity, behind, held, ">Labelled</textarea>"),
			Posted("a form that holds nothing", Owner, path, steps("Labelled", "short", ""), http.StatusUnprocessableEntity, behind),
			s.opened(t, Posted("the form opened again", Owner, path, steps("Labelled", "short", ""), http.StatusSeeOther)),
		})
	})
}

// What is asked about a complaint stays as another asks it, whoever goes back to the shipped
// list on an older page.
func TestACheckListMeanwhileStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		path := "/check-lists/spoke_broken"
		asks := func(from string, questions ...string) url.Values {
			v := url.Values{"from": {from}, "otherwise": {"W08"}, "reason": {"soft spokes"}}
			for i, q := range questions {
				v.Set(fmt.Sprintf("questions[%d].text", i), q)
				v.Set(fmt.Sprintf("questions[%d].yes", i), "W09")
			}
			return v
		}
		s.Run(t, []Row{s.opened(t, Posted("of the shop's own", Owner, path, asks("", "Is it black?", "Is it bright?"), http.StatusSeeOther))})
		older := s.open(t, Owner, path)
		held := `name="from" value="` + older + `"`
		s.Run(t, []Row{
			s.opened(t, Posted("another asks less", Owner, path, asks("", "Is it black?"), http.StatusSeeOther)),
			Posted("back to the shipped list on the older page", Owner, path+"/restore", url.Values{"from": {older}}, http.StatusUnprocessableEntity, behind, "Is it black?"),
			Posted("by a page that holds nothing", Owner, path+"/restore", nil, http.StatusUnprocessableEntity, behind),
			Posted("asked on the older page", Owner, path, asks(older, "a?", "b?", "c?", "d?", "e?"), http.StatusUnprocessableEntity, behind, held, `value="e?"`),
			Posted("and once more", Owner, path, asks(older, "a?"), http.StatusUnprocessableEntity, behind, held),
			Posted("by a form that holds nothing", Owner, path, asks("", "a?"), http.StatusUnprocessableEntity, behind),
		})
		list, err := s.App.Services.Claims.List(t.Context(), "spoke_broken")
		s.Must(err)
		if list.Revision != 2 || len(list.Questions) != 1 {
			t.Errorf("revision %d asks %+v", list.Revision, list.Questions)
		}
		s.Run(t, []Row{s.openedAt(t, path, Posted("back on what stands", Owner, path+"/restore", nil, http.StatusSeeOther))})
	})
}

// A code of a defect keeps what another said of it, however often the older form is sent.
func TestADefectMeanwhileStays(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		path := "/defects/W14"
		older := s.open(t, Owner, path)
		said := func(name, reason, from string) url.Values {
			return url.Values{"name": {name}, "severity": {"minor"}, "reason": {reason}, "from": {from}}
		}
		held := `name="from" value="` + older + `"`
		s.Run(t, []Row{
			s.opened(t, Posted("another says it", Owner, path, said("joint can be felt", "plainer", ""), http.StatusSeeOther)),
			Posted("the older form", Owner, path, said("a step", "shorter", older), http.StatusUnprocessableEntity, behind, held, `value="a step"`),
			Posted("once more, for no reason", Owner, path, said("a step", "", older), http.StatusUnprocessableEntity, behind, held),
			Posted("a form that holds nothing", Owner, path, said("a step", "shorter", ""), http.StatusUnprocessableEntity, behind),
			s.opened(t, Posted("the form opened again", Owner, path, said("a step that can be felt", "shorter", ""), http.StatusSeeOther)),
		})
		book, err := s.App.Services.Defects.Book(t.Context())
		s.Must(err)
		if r := book.Revisions("W14"); len(r) != 2 || r[0].Name != "joint can be felt" {
			t.Errorf("it was said as %+v", r)
		}
	})
}
