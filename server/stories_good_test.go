package main

import (
	"encoding/json"
	"html"
	"net/url"
	"regexp"
	"strings"
	"testing"

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
