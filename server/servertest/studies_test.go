package servertest

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/server/api"
)

// studied plans a study through the interface and has it read: by two persons, two
// items twice each, so that the items differ and the readings scatter a little. It
// returns its path.
func (s *Shop) studied(t *testing.T, read bool) string {
	t.Helper()
	plan := object{"design": "crossed", "instrument": "D-1", "family": *s.Item[models.KindWheel].FamilyID, "result": "lateral_tir", "persons": []string{s.People[Operator].ID, s.People[Inspector].ID}, "items": []object{{"name": "A"}, {"name": "B"}}, "repeats": 2}
	_, header, body := s.Do(t, Row{Who: Inspector, Method: http.MethodPost, Path: api.Base + "/studies", Body: plan})
	path := strings.TrimPrefix(header.Get("Location"), api.Base)
	if path == "" {
		t.Fatalf("no study was planned: %s", shortened(body))
	}
	if !read {
		return path
	}
	for i := range 8 {
		var next struct {
			Turn     int    `json:"turn"`
			PersonID string `json:"person_id"`
			Item     string `json:"item"`
		}
		_, _, body := s.Do(t, Row{Who: Inspector, Path: api.Base + path + "/next"})
		if next.PersonID = s.People[Operator].ID; strings.Contains(string(body), "study_read_for_you") {
			_, _, body = s.Do(t, Row{Who: Inspector, Path: api.Base + path + "/next?person=" + next.PersonID})
		}
		if err := json.Unmarshal(body, &next); err != nil {
			t.Fatal(err)
		}
		value := fmt.Sprintf("0,%d%d", map[string]int{"A": 10, "B": 20}[next.Item], i%3)
		s.run(t, Row{Who: Inspector, Method: http.MethodPost, Path: api.Base + path + "/readings", Body: object{"id": models.NewID(), "turn": next.Turn, "person": next.PersonID, "value": value}, Status: http.StatusCreated})
	}
	return path
}

// studies walks through what the interface says of studies and budgets.
func (w *walk) studies() {
	w.T.Helper()
	path := w.studied(w.T, true)
	w.ask(Desk, "GET /studies", "/studies", nil, http.StatusOK)
	w.ask(Desk, "GET /studies/{number}", path, nil, http.StatusOK)
	w.ask(Inspector, "POST /studies/{number}/confirm", path+"/confirm", nil, http.StatusOK)
	done := w.ask(Desk, "GET /studies/{number}", path, nil, http.StatusOK)
	if text(w, done, "state") != "confirmed" || done["outcome"] == nil || len(done["readings"].([]any)) != 8 {
		w.T.Errorf("confirmed, the study is %v", done)
	}
	plan := object{"design": "bias", "instrument": "D-1", "family": *w.Item[models.KindWheel].FamilyID, "result": "lateral_tir", "persons": []string{w.People[Operator].ID}, "items": []object{{"name": "Ring", "reference": "0,50"}}, "repeats": 3}
	running := w.ask(Inspector, "POST /studies", "/studies", plan, http.StatusCreated)
	path = fmt.Sprintf("/studies/%v", running["number"])
	next := w.ask(OperatorAtStand, "GET /studies/{number}/next", path+"/next", nil, http.StatusOK)
	id := models.NewID()
	w.ask(OperatorAtStand, "POST /studies/{number}/readings", path+"/readings", object{"id": id, "turn": next["turn"], "value": ",51"}, http.StatusCreated)
	if blind := w.ask(Desk, "GET /studies/{number}", path, nil, http.StatusOK); blind["readings"] != nil || blind["outcome"] != nil {
		w.T.Errorf("a study that runs tells what was read: %v", blind)
	}
	w.ask(OperatorAtStand, "POST /studies/{number}/readings/{id}/strike", path+"/readings/"+id+"/strike", object{"reason": "slipped"}, http.StatusOK)
	w.ask(Inspector, "POST /studies/{number}/give-up", path+"/give-up", object{"reason": "the ring is lost"}, http.StatusOK)
	budgets := w.ask(Desk, "GET /budgets", "/budgets?family="+*w.Item[models.KindWheel].FamilyID, nil, http.StatusOK)
	first, _ := budgets["budgets"].([]any)[0].(object)
	w.ask(Desk, "GET /budgets/{id}", "/budgets/"+text(w, first, "id"), nil, http.StatusOK)
	w.ask(Inspector, "POST /budgets", "/budgets", object{"family": *w.Item[models.KindWheel].FamilyID, "result": "dish_abs", "from": 0, "reason": "first", "lines": []object{{"source": "calibration", "shape": "stated", "value": "0.10", "k": "2", "instrument": "C-1"}}}, http.StatusCreated)
	w.ask(Desk, "GET /rule-costs", "/rule-costs?family="+*w.Item[models.KindWheel].FamilyID+"&result=dish_abs&u=0.1", nil, http.StatusOK)
}

var (
	hiddenField = regexp.MustCompile(`name="(id|turn|person)" value="([^"]*)"`)
	readItem    = regexp.MustCompile(`class="what">([^<]*)<`)
)

// A study on the pages, from the plan to the specification: planned, read one by one
// and blind, confirmed, its figure chosen in the specification with a rule of its
// own after the page showed what each costs.
func TestAStudyOnThePages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		family := *s.Item[models.KindWheel].FamilyID
		plan := url.Values{"design": {"crossed"}, "about": {family + "/dish_abs"}, "instrument": {"C-1"}, "persons": {s.People[Operator].ID, s.People[Inspector].ID}, "items": {"W31-1\nW31-2\nW31-3\n"}, "repeats": {"2"}}
		one := url.Values{"design": {"crossed"}, "about": {family + "/dish_abs"}, "instrument": {"C-1"}, "persons": {s.People[Operator].ID}, "items": {"W31-1"}, "repeats": {"2"}}
		s.Run(t, []Row{
			{Name: "planned by an inspector", Who: Operator, Path: "/studies/new", Status: http.StatusForbidden},
			Posted("too little", Inspector, "/studies/new", one, http.StatusUnprocessableEntity, "2"),
			Posted("planned", Inspector, "/studies/new", plan, http.StatusSeeOther),
			{Name: "the order sheet", Who: Desk, Path: "/studies/1/sheet", Status: http.StatusOK, Has: []string{"Order sheet", "W31-2"}},
			{Name: "the desk reads nothing", Who: Desk, Path: "/studies/1/read", Status: http.StatusForbidden},
			{Name: "who takes no part", Who: SecondAtOtherSide, Path: "/studies/1/read", Status: http.StatusForbidden},
		})
		values := map[string][]string{}
		read := func(who string, typed func(item string) string) {
			t.Helper()
			_, _, page := s.Do(t, Row{Who: who, Path: "/studies/1/read"})
			form, item := url.Values{}, readItem.FindSubmatch(page)
			for _, m := range hiddenField.FindAllSubmatch(page, -1) {
				form.Set(string(m[1]), string(m[2]))
			}
			if item == nil || form.Get("id") == "" {
				t.Fatalf("nothing is asked for: %s", shortened(page))
			}
			for _, earlier := range values[who] {
				if strings.Contains(string(page), earlier) {
					t.Errorf("the page that asks %s for %s shows the earlier reading %s", who, item[1], earlier)
				}
			}
			value := typed(string(item[1]))
			form.Set("value", value)
			values[who] = append(values[who], value)
			s.run(t, Posted("", who, "/studies/1/read", form, http.StatusSeeOther))
		}
		of := map[string]string{"W31-1": "0,3", "W31-2": "0.5", "W31-3": "0.6"}
		for i := range 6 {
			read(Inspector, func(item string) string { return of[item] + fmt.Sprint(13+i%3) })
		}
		// Whoever has read types on for the others from the order sheet, and for nobody who is done.
		s.run(t, Row{Who: Inspector, Path: "/studies/1/read", Status: http.StatusOK, Has: []string{"Nothing to read now", "Type from the order sheet for", `<option value="` + s.People[Operator].ID + `"`}, HasNot: []string{`<option value="` + s.People[Inspector].ID, `<option value=""`}})
		for i := range 6 {
			read(Operator, func(item string) string { return of[item] + fmt.Sprint(11+i%2) })
		}
		for _, who := range []string{Operator, Inspector} {
			s.run(t, Row{Who: who, Path: "/studies/1/read", Status: http.StatusOK, Has: []string{"Nothing to read now"}, HasNot: []string{"Type from the order sheet"}})
		}
		s.Run(t, []Row{
			{Name: "worked out", Who: Desk, Path: "/studies/1", Status: http.StatusOK, Has: []string{"Between persons", "of the tolerance from 0 to", "common practice"}, HasNot: []string{"Confirm it</button>", "%GRR", "ndc"}},
			Posted("confirmed by an inspector", Operator, "/studies/1/confirm", nil, http.StatusForbidden),
			Posted("confirmed", Inspector, "/studies/1/confirm", nil, http.StatusSeeOther),
			Posted("confirmed is confirmed", Inspector, "/studies/1/confirm", nil, http.StatusUnprocessableEntity),
			{Name: "the rule is the owner's", Who: Inspector, Path: "/families/" + family + "/rule?result=dish_abs", Status: http.StatusForbidden},
			{Name: "what a rule costs needs values", Who: Owner, Path: "/families/" + family + "/rule?result=dish_abs", Status: http.StatusOK, Has: []string{"Take it from the budget, revision 1", "from ten on the costs can be told"}},
			{Name: "no guard for a full reading", Who: Owner, Path: "/families/" + family + "/rule?result=lateral_tir", Status: http.StatusOK, Has: []string{"cannot judge a limited full run-out reading", "disabled"}},
			Posted("without a reason", Owner, "/families/"+family+"/rule?result=dish_abs", url.Values{"from": {"1"}, "from_budget": {"yes"}, "rule": {"iso14253"}}, http.StatusUnprocessableEntity),
			Posted("a gauge that is unfit", Owner, "/families/"+family+"/rule?result=dish_abs", url.Values{"from": {"1"}, "u": {"1.3"}, "rule": {"guarded"}, "reason": {"r"}}, http.StatusUnprocessableEntity, "The gauge is unfit for this tolerance"),
			Posted("the same under simple acceptance", Owner, "/families/"+family+"/rule?result=dish_abs", url.Values{"from": {"1"}, "u": {"1.3"}, "reason": {"r"}}, http.StatusUnprocessableEntity, "The gauge is unfit for this tolerance"),
			Posted("no uncertainty", Owner, "/families/"+family+"/rule?result=dish_abs", url.Values{"from": {"1"}, "rule": {"nonbinary"}, "reason": {"r"}}, http.StatusUnprocessableEntity, "needs an uncertainty"),
			Posted("chosen", Owner, "/families/"+family+"/rule?result=dish_abs", url.Values{"from": {"1"}, "from_budget": {"yes"}, "rule": {"iso14253"}, "reason": {"after the study"}}, http.StatusSeeOther),
		})
		spec, err := s.Store.SpecificationInForce(t.Context(), family, nil)
		s.Must(err)
		budgets, err := s.Store.Budgets(t.Context(), family)
		s.Must(err)
		limit, _, _ := spec.Limit("dish_abs")
		if spec.Revision != 2 || limit.Rule != "iso14253" || limit.GuardFactor != "0.82" || limit.Budget != budgets[0].ID || limit.U != budgets[0].U {
			t.Errorf("the specification has %+v, the budget is %+v", limit, budgets[0])
		}
		s.run(t, Row{Who: Desk, Path: "/specifications/" + spec.ID, Status: http.StatusOK, Has: []string{"/budgets/" + limit.Budget, "ISO 14253-1", "guard factor 0.82"}})
	})
}

// The costs on the page are those of the service: twelve wheels with a dish of 0.2
// to 0.5 mm, measured with 0.1 mm against 1.0.
func TestTheRulePageShowsWhatEachRuleCosts(t *testing.T) {
	s := On(t, openSQLite(t))
	family := *s.Item[models.KindWheel].FamilyID
	for i := range 12 {
		sub := s.Extremes()
		sub.Serial = *s.AnotherWheel().Serial
		for k := range sub.Sets {
			if sub.Sets[k].Characteristic == "dish" {
				sub.Sets[k].Values = []string{"67.4", fmt.Sprintf("%.1f", 67.8+float64(i)/20)}
			}
		}
		s.MustRecord(sub)
	}
	s.Run(t, []Row{
		Posted("for a typed figure", Owner, "/families/"+family+"/rule?result=dish_abs", url.Values{"from": {"1"}, "u": {"0,1"}, "look": {"yes"}}, http.StatusOK, "12 first sets after stress relief", "They are few", "Simple acceptance", "Guarded acceptance", "Acceptance by the ISO 14253-1 rule"),
		Posted("for one that is unfit", Owner, "/families/"+family+"/rule?result=tension_mean_tight", url.Values{"from": {"1"}, "u": {"400"}, "look": {"yes"}}, http.StatusOK, "Gauge unfit for this tolerance"),
		{Name: "by the interface, with a comma", Who: Desk, Path: api.Base + "/rule-costs?family=" + family + "&result=dish_abs&u=%200,1", Status: http.StatusOK, Has: []string{`"u":"0.1"`, `"rule":"nonbinary"`}},
		{Name: "for a word", Who: Desk, Path: api.Base + "/rule-costs?family=" + family + "&result=dish_abs&u=abc", Status: http.StatusUnprocessableEntity, Has: []string{`"field":"u"`, `"not_a_number"`}},
		{Name: "for what is no number", Who: Desk, Path: api.Base + "/rule-costs?family=" + family + "&result=dish_abs&u=NaN", Status: http.StatusUnprocessableEntity, Has: []string{`"field":"u"`, `"not_a_number"`}},
		{Name: "for one with an exponent", Who: Desk, Path: api.Base + "/rule-costs?family=" + family + "&result=dish_abs&u=1e400", Status: http.StatusUnprocessableEntity, Has: []string{`"field":"u"`, `"not_a_number"`}},
		{Name: "for less than none", Who: Desk, Path: api.Base + "/rule-costs?family=" + family + "&result=dish_abs&u=-1", Status: http.StatusUnprocessableEntity, Has: []string{`"field":"u"`}},
		{Name: "for none", Who: Desk, Path: api.Base + "/rule-costs?family=" + family + "&result=dish_abs&u=0,0", Status: http.StatusUnprocessableEntity, Has: []string{`"field":"u"`}},
		{Name: "by the interface", Who: Desk, Path: api.Base + "/rule-costs?family=" + family + "&result=dish_abs&u=0.1", Status: http.StatusOK, Has: []string{`"rule":"nonbinary"`, `"values":12`, `"few":true`, `"first_sets":true`}},
	})
}
