package servertest

import (
	"fmt"
	"html"
	"net/http"
	"net/url"
	"regexp"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// The pages of a chart with whatever is asked of them: every answer is in words,
// and none is a blank picture.
func TestTheChartsPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		family := *s.Item[models.KindWheel].FamilyID
		key := "/charts?family=" + family + "&place=stand+1&result=lateral_tir"
		page := func(name, path string, has ...string) Row {
			return Row{Name: name, Who: Owner, Path: path, Status: http.StatusOK, Has: has, HasNot: []string{"NaN", "{place}", "[chart", "[open"}}
		}
		s.Run(t, []Row{
			page("a family without a result", key, "Nothing was measured at stand 1 in this time", "Limits need 20 wheels."),
			page("an end before its start", key+"&from=2031-05-12&to=2031-05-11", "This chart cannot be drawn", "The end lies before the start."),
			page("a single day", key+"&from=2031-05-12&to=2031-05-12", "Nothing was measured at stand 1 in this time"),
			page("no date at all", key+"&from=tomorrow", "is not a date"),
			page("a result nobody knows", "/charts?family="+family+"&result=shine", "This chart cannot be drawn"),
			page("a characteristic never measured", "/charts?family="+family+"&result=adjacent_diff_pct_a", "Nothing was measured in this time"),
			page("a filter that matches nothing", "/charts?family="+family+"&place=moon", "Nothing was measured at moon"),
			page("a rule nobody knows", key+"&rule=moon", "[moon] is not one of the choices"),
			page("many readings of one item", "/charts?family="+*s.Item[models.KindPack].FamilyID+"&result=block_r25", "is many readings of one item"),
			page("a product nobody knows", key+"&product="+models.NewID(), "The product that was asked for is no product of", ": all its products are shown."),
			page("a product of another family", key+"&product="+*s.Item[models.KindPack].ProductID, " is no product of ", ": all its products are shown."),
		})
		var serials []string
		for i := range 51 {
			item := s.AnotherWheel()
			s.Now = s.Now.Add(5 * time.Second)
			sub := s.Extremes()
			sub.Serial, sub.Place = *item.Serial, "stand 1"
			sub.Sets[0].Values = []string{fmt.Sprintf("0.%02d", 26+i*7%9), "0.00"}
			if i == 50 {
				sub.Sets[0].Values[0] = "2.5"
			}
			s.MustRecord(sub)
			serials = append(serials, ident.Print(*item.Serial))
			switch i {
			case 0:
				s.Run(t, []Row{page("one result", key, "Needs 20 for limits, has 1", "the points stand alone")})
			case 19:
				s.Run(t, []Row{page("the twentieth gives limits", key, "Stand 1 is in control", "provisional")})
			}
		}
		hidden := func(more ...string) url.Values {
			v := url.Values{"family": {family}, "place": {"stand 1"}, "result": {"lateral_tir"}}
			for i := 0; i+1 < len(more); i += 2 {
				v.Set(more[i], more[i+1])
			}
			return v
		}
		var asked url.Values
		s.Must(s.App.Services.Watch.CatchUp(t.Context()))
		s.Run(t, []Row{
			page("every chart with a signal is named on each", "/charts?family="+family+"&result=radial_tir", "stand 1: one signal without a cause"),
			page("and among what needs attention", "/attention", "Lateral run-out, full reading, stand 1: a point beyond its limit, no cause given"),
			{Name: "a signal asks for its cause", Who: Operator, Path: key, Status: http.StatusOK, Has: []string{"Stand 1 has 1 of the last 20 beyond a limit", "Why? No cause given yet", "lies above the limit of the process"}, After: func(t *testing.T, _ http.Header, body []byte) {
				asked = hidden()
				for _, found := range regexp.MustCompile(`<input type="hidden" name="(rule|side|inspection|signal)" value="([^"]*)">`).FindAllStringSubmatch(string(body), -1) {
					asked.Set(found[1], found[2])
				}
			}},
			{Name: "who only looks is not asked", Who: Desk, Path: key, Status: http.StatusOK, HasNot: []string{"Save the cause", "Freeze these limits", "Give a cause"}},
			{Name: "the points for a spreadsheet", Who: Desk, Path: key + "&as=csv", Status: http.StatusOK, Has: []string{"full reading (mm)", "upper limit (mm)", ",2.5,"}, HasNot: []string{"either side of the centre in turn"}},
			{Name: "in its other form", Who: Desk, Path: key + "&as=csv&form=semicolons", Status: http.StatusOK, Has: []string{"upper limit (mm)", ";2,5;"}},
			{Name: "rules that are asked for stay in the address", Who: Desk, Path: key + "&rule=eight_one_side&rule=six_trending", Status: http.StatusOK, Has: []string{"as=csv", "rules=eight_one_side%2Csix_trending"}},
			{Name: "of what cannot be drawn there is none", Who: Desk, Path: key + "&as=csv&rule=moon", Status: http.StatusUnprocessableEntity},
			{Name: "what needs attention leads to the signal", Who: Operator, Path: "/attention", Status: http.StatusOK, After: func(t *testing.T, _ http.Header, body []byte) {
				found := regexp.MustCompile(`href="(/charts\?[^"]*signal=beyond_limit\.high\.[^"]*)#code"`).FindSubmatch(body)
				if found == nil {
					t.Fatal("no address of the signal")
				}
				s.Run(t, []Row{{Name: "with its form", Who: Operator, Path: html.UnescapeString(string(found[1])), Status: http.StatusOK, Has: []string{"Why? No cause given yet", `id="code"`, serials[50]}}})
			}},
			{Name: "a signal that is gone", Who: Operator, Path: key + "&signal=beyond_limit.low." + models.NewID(), Status: http.StatusOK, Has: []string{"The signal that was asked for is on this chart no longer"}},
			{Name: "a cause without a code", Who: Operator, Method: http.MethodPost, Path: "/charts/causes", Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, Before: func(r *Row) { r.Body = asked.Encode() }, Status: http.StatusUnprocessableEntity, Has: []string{"Nothing was saved", "This is needed."}},
			{Name: "a cause", Who: Operator, Method: http.MethodPost, Path: "/charts/causes", Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, Before: func(r *Row) {
				asked.Set("code", "misread")
				asked.Set("note", "a nought too many")
				r.Body = asked.Encode()
			}, Status: http.StatusSeeOther},
			page("it stays beside its signal", key, "Stand 1 is in control", "Misread or mistyped. A nought too many. "),
			{Name: "and nobody is asked again", Who: Owner, Path: "/attention", Before: func(*Row) { s.Must(s.App.Services.Watch.CatchUp(t.Context())) }, Status: http.StatusOK, Has: []string{"o signal without a cause"}, HasNot: []string{"no cause given"}},
			Posted("an operator chooses no baseline", Operator, "/charts/baselines", hidden("first", serials[0], "last", serials[40]), http.StatusForbidden),
			Posted("a baseline that is too short", Owner, "/charts/baselines", hidden("first", serials[0], "last", serials[5]), http.StatusUnprocessableEntity, "A baseline needs 20 points, and this stretch has 6."),
			Posted("a serial that is not on the chart", Owner, "/charts/baselines", hidden("first", "W99-00001-X", "last", serials[30]), http.StatusUnprocessableEntity, "There is no such point on this chart."),
			Posted("a point left out without a reason", Owner, "/charts/baselines", hidden("first", serials[0], "last", serials[30], "excluded", serials[3]), http.StatusUnprocessableEntity, "Say why"),
			Posted("a baseline", Owner, "/charts/baselines", hidden("first", serials[0], "last", serials[30], "excluded", serials[3]+" it was dropped", "note", "the new stand"), http.StatusSeeOther),
			page("its phase is told", key, "Baseline of 30 wheels, frozen on", "the new stand", "Without "+serials[3]+": it was dropped."),
			Posted("an event in the future", Operator, "/charts/happenings", hidden("day", "2099-01-01", "words", "roller replaced", "where", "here"), http.StatusUnprocessableEntity, "its moment lies ahead"),
			Posted("an event", Operator, "/charts/happenings", hidden("day", "2031-05-12", "at", "12:02", "words", "roller replaced", "where", "here"), http.StatusSeeOther),
			page("it stands on the chart", key, "Roller replaced ("),
		})
		spec, err := s.Store.SpecificationInForce(t.Context(), family, nil)
		s.Must(err)
		spec.ID, spec.Revision, spec.Reason = models.NewID(), spec.Revision+1, "wider"
		for i, c := range spec.Characteristics {
			for j, l := range c.Results {
				if l.Result == "lateral_tir" {
					spec.Characteristics[i].Results[j].High = "0.90"
				}
			}
		}
		s.Must(s.Store.AddSpecification(t.Context(), models.NewStamp(s.Owner, s.Now), spec))
		s.Run(t, []Row{page("a frozen baseline whose specification changed", key, "The limits belong to specification 1; judge against 2 after a new baseline.")})
	})
}
