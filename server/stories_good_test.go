package main

import (
	"encoding/json"
	"html"
	"math"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"tracewright/server/calc"
	"tracewright/testdata/demo"
)

// families gives the ids of a shop's families by their kind.
func (s askedShop) families(t testing.TB) map[string][]string {
	t.Helper()
	var answer struct {
		Families []struct{ ID, Kind string }
	}
	if err := json.Unmarshal([]byte(s.read(t, "/api/v1/families")), &answer); err != nil {
		t.Fatal(err)
	}
	out := map[string][]string{}
	for _, f := range answer.Families {
		out[f.Kind] = append(out[f.Kind], f.ID)
	}
	return out
}

var markup = regexp.MustCompile(`(?s)<script.*?</script>|<[^>]*>`)

// sees is a page as its reader has it before them.
func (s askedShop) sees(t testing.TB, path string) string {
	t.Helper()
	return strings.Join(strings.Fields(html.UnescapeString(markup.ReplaceAllString(s.read(t, path), " "))), " ")
}

// returnedLots are the lots of which a family's page says that more came back.
func (s askedShop) returnedLots(t testing.TB, family string) []string {
	t.Helper()
	var answer struct {
		Lots []struct {
			Lot  string
			More bool
		}
		Months []struct {
			Month string
			More  bool
		}
		Sentences []struct{ Message string }
	}
	if err := json.Unmarshal([]byte(s.read(t, "/api/v1/returns?family="+family)), &answer); err != nil {
		t.Fatal(err)
	}
	page := s.sees(t, "/returns?family="+family)
	for _, said := range answer.Sentences {
		if text := strings.TrimSuffix(said.Message, "."); !strings.Contains(page, text) {
			t.Errorf("the interface says, and the page does not: %s", said.Message)
		}
	}
	var found []string
	for _, l := range answer.Lots {
		if l.More {
			found = append(found, l.Lot)
		}
	}
	for _, m := range answer.Months {
		if m.More {
			found = append(found, m.Month)
		}
	}
	return found
}

// The lot whose spokes break is what the page of returns finds, and nothing else: the
// rims, nipples and motors that stood beside it are explained by it.
func TestReturnsFindTheSpokeLot(t *testing.T) {
	s := ask(t, demo.Story, 1)
	found := map[string]bool{}
	for _, family := range s.families(t)["wheel"] {
		for _, lot := range s.returnedLots(t, family) {
			found[lot] = true
		}
	}
	if len(found) != 1 || !found[s.truth.SpokeLot] {
		t.Errorf("found %v, planted was %s", found, s.truth.SpokeLot)
	}
	for _, family := range s.families(t)["wheel"] {
		page := s.sees(t, "/returns?family="+family)
		if !strings.Contains(page, "It knows only the returns that it was told of.") {
			t.Error("the page does not say that it knows only what it was told of")
		}
		if strings.Contains(page, "with lot "+s.truth.SpokeLot+" came back, where") {
			return
		}
	}
	t.Errorf("no page says that lot %s comes back", s.truth.SpokeLot)
}

// The lot of blocks that discharges itself falls faster between its two readings.
func TestHowGoodFindsTheLotThatDischargesItself(t *testing.T) {
	s := ask(t, demo.Story, 1)
	for _, family := range s.families(t)["block"] {
		page := s.sees(t, "/how-good?"+url.Values{"family": {family}, "result": {"block_ocv25"}}.Encode())
		if !strings.Contains(page, "Blocks of lot "+s.truth.StockLot+" fall by") {
			t.Errorf("nothing is said of lot %s: %.1500s", s.truth.StockLot, page)
		}
	}
}

// In a shop where nothing happened no lot and no month comes back more than the others.
// At 5 % for all lots of a family together, and again for its months, two families
// would say something in about one of five shops if their tests were exact; they err
// towards saying nothing. This seed is one whose claims were not looked at before.
func TestReturnsFindNothingInAQuietShop(t *testing.T) {
	s := ask(t, demo.Quiet, 1)
	for _, family := range s.families(t)["wheel"] {
		if found := s.returnedLots(t, family); len(found) > 0 {
			t.Errorf("found %v in a shop where nothing was planted", found)
		}
	}
	for _, family := range s.families(t)["block"] {
		if page := s.sees(t, "/how-good?"+url.Values{"family": {family}, "result": {"block_ocv25"}}.Encode()); strings.Contains(page, "between two readings (") {
			t.Error("a lot of blocks falls faster in a shop where nothing was planted")
		}
	}
}

// What the page counts by age is what the command line counts from the same shipments
// and returns.
func TestReturnsAgreeWithTheCommandLine(t *testing.T) {
	s := ask(t, demo.Story, 1)
	for _, family := range s.families(t)["wheel"] {
		var answer struct {
			AsOf   string `json:"as_of"`
			Months []struct {
				Month string         `json:"month"`
				ByAge map[string]int `json:"by_age"`
				Back  struct{ N int }
			}
			Ages []struct {
				Age, Returns       int
				AtRisk             int `json:"at_risk"`
				Hazard, Cumulative float64
			}
		}
		if err := json.Unmarshal([]byte(s.read(t, "/api/v1/returns?family="+family)), &answer); err != nil {
			t.Fatal(err)
		}
		number := func(month string) int {
			at, err := time.Parse("2006-01", month)
			if err != nil {
				t.Fatal(err)
			}
			return at.Year()*12 + int(at.Month())
		}
		asOf := number(answer.AsOf)
		shipped, returned := map[string]int{}, map[string]map[string]int{}
		for _, m := range answer.Months {
			at := number(m.Month)
			if at > asOf {
				continue
			}
			key := strconv.Itoa(at)
			shipped[key], returned[key] = m.Back.N, map[string]int{}
			for age, n := range m.ByAge {
				if a, err := strconv.Atoi(age); err == nil && at+a <= asOf {
					returned[key][age] = n
				}
			}
		}
		input, err := json.Marshal(map[string]any{"shipped_by_month": shipped, "returns_by_ship_month_and_age": returned, "as_of_month": asOf})
		if err != nil {
			t.Fatal(err)
		}
		output, err := calc.Run("returns_triangle", input)
		if err != nil {
			t.Fatal(err)
		}
		var want struct {
			Rows []struct {
				Age, Returns int
				AtRisk       int     `json:"at_risk"`
				Hazard       float64 `json:"hazard"`
				Cumulative   float64 `json:"cum_F"`
			}
		}
		if err := json.Unmarshal(output, &want); err != nil {
			t.Fatal(err)
		}
		if len(want.Rows) == 0 || len(want.Rows) != len(answer.Ages) {
			t.Fatalf("%d ages, the command line has %d", len(answer.Ages), len(want.Rows))
		}
		for i, w := range want.Rows {
			if got := answer.Ages[i]; got.Age != w.Age || got.Returns != w.Returns || got.AtRisk != w.AtRisk || math.Abs(got.Hazard-w.Hazard) > 1e-6 || math.Abs(got.Cumulative-w.Cumulative) > 1e-6 {
				t.Errorf("age %d: %+v, the command line %+v", i, got, w)
			}
		}
	}
}
