package main

import (
	"encoding/csv"
	"encoding/json"
	"html"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tracewright/testdata/demo"
)

// sheet is a table of a page as a spreadsheet has it, by its headings.
func (s askedShop) sheet(t testing.TB, path string) []map[string]string {
	t.Helper()
	text := s.read(t, path)
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff"))).ReadAll()
	if err != nil || len(rows) == 0 {
		t.Fatalf("%s: %v: %.200s", path, err, text)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		named := map[string]string{}
		for i, head := range rows[0] {
			named[head] = row[i]
		}
		out = append(out, named)
	}
	return out
}

// Every table of how good and of what comes back is offered on its page, opens as CSV
// with its units in the headings, and has the numbers of the interface.
func TestTheTablesOfHowGoodAndReturnsAreThoseOfTheInterface(t *testing.T) {
	s := ask(t, demo.Story, 1)
	family := s.families(t)["wheel"][0]
	linked := func(page, table string) string {
		t.Helper()
		path := page + "&as=csv&table=" + table
		query, err := url.ParseQuery(path[strings.Index(path, "?")+1:])
		if err != nil {
			t.Fatal(err)
		}
		query.Del("table")
		want := page[:strings.Index(page, "?")] + "?" + query.Encode() + "&table=" + table
		if text := html.UnescapeString(s.read(t, page)); !strings.Contains(text, `href="`+want+`"`) {
			t.Errorf("%s does not lead to its table %s, at %s", page, table, want)
		}
		return want
	}

	page := "/how-good?family=" + family + "&result=lateral_tir"
	var good struct {
		Beyond    struct{ K, N int }
		Histogram struct{ Counts []int }
	}
	if err := json.Unmarshal([]byte(s.read(t, "/api/v1/how-good/lateral_tir?family="+family)), &good); err != nil {
		t.Fatal(err)
	}
	first, certified := 0, 0
	for _, row := range s.sheet(t, linked(page, "histogram")) {
		n, err := strconv.Atoi(row["first readings"])
		last, err2 := strconv.Atoi(row["certified"])
		_, err3 := strconv.ParseFloat(row["up to (mm)"], 64)
		if err != nil || err2 != nil || err3 != nil {
			t.Fatalf("a bin is %v", row)
		}
		first, certified = first+n, certified+last
	}
	if first != good.Beyond.N || certified == 0 {
		t.Errorf("the bins hold %d first readings and %d certified, the interface has %d", first, certified, good.Beyond.N)
	}
	if rows := s.sheet(t, linked(page, "beyond")); len(rows) != good.Beyond.K || rows[0]["upper limit (mm)"] == "" || rows[0]["serial"] == "" {
		t.Errorf("%d items beyond the limit, the interface has %d: %v", len(rows), good.Beyond.K, rows[:min(1, len(rows))])
	}
	found := false
	for _, row := range s.sheet(t, linked(page, "results")) {
		if row["result"] == "Lateral run-out, full reading" {
			found = row["beyond"] == strconv.Itoa(good.Beyond.K) && row["read"] == strconv.Itoa(good.Beyond.N) && row["unit"] == "mm" && row["share (%)"] != ""
		}
	}
	if !found {
		t.Error("the table of every result has another share")
	}
	blocks := "/how-good?family=" + s.families(t)["block"][0] + "&result=block_ocv25"
	if rows := s.sheet(t, linked(blocks, "falls")); len(rows) < 2 || rows[0]["mean fall (mV a day)"] == "" {
		t.Errorf("falls by lot: %v", rows)
	}

	page = "/returns?family=" + family
	var back struct {
		Back   struct{ K, N int }
		Months []struct {
			Month string
			Back  struct{ K, N int }
			ByAge map[string]int `json:"by_age"`
		}
		Lots []struct {
			Lot  string
			Back struct{ K, N int }
		}
		Ages  []struct{ Returns int }
		Curve []struct{ Survival float64 }
	}
	if err := json.Unmarshal([]byte(s.read(t, "/api/v1/returns?family="+family)), &back); err != nil {
		t.Fatal(err)
	}
	months := s.sheet(t, linked(page, "months"))
	for i, m := range back.Months {
		row := months[i]
		if row["shipped in"] != m.Month || row["left"] != strconv.Itoa(m.Back.N) || row["back"] != strconv.Itoa(m.Back.K) || row["back at age 1 (months)"] != "" && row["back at age 1 (months)"] != strconv.Itoa(m.ByAge["1"]) {
			t.Errorf("%v, the interface %+v", row, m)
		}
	}
	lots := map[string]string{}
	for _, row := range s.sheet(t, linked(page, "lots")) {
		lots[row["lot"]] = row["back"] + " of " + row["left"]
	}
	for _, l := range back.Lots {
		if want := strconv.Itoa(l.Back.K) + " of " + strconv.Itoa(l.Back.N); lots[l.Lot] != want {
			t.Errorf("lot %s: %s, the interface %s", l.Lot, lots[l.Lot], want)
		}
	}
	if rows := s.sheet(t, linked(page, "ages")); len(rows) != len(back.Ages) || rows[1]["back"] != strconv.Itoa(back.Ages[1].Returns) {
		t.Errorf("%d ages, the interface %d", len(rows), len(back.Ages))
	}
	if rows := s.sheet(t, linked(page, "curve")); len(rows) < 2 || rows[0]["came back (%)"] != "0.00" {
		t.Errorf("the curve is %v", rows)
	}
	if rows := s.sheet(t, linked(page, "ahead")); len(rows) < 3 || rows[0]["within (months)"] != "3" {
		t.Errorf("what is expected is %v", rows)
	}
	share := ""
	for _, row := range s.sheet(t, linked(page, "families")) {
		share += row["back"] + " of " + row["left"] + " "
	}
	if want := strconv.Itoa(back.Back.K) + " of " + strconv.Itoa(back.Back.N) + " "; !strings.Contains(share, want) {
		t.Errorf("the families have %s, not %s", share, want)
	}
}

// From a chart to how good the same values are, and back.
func TestAChartAndHowGoodLeadToEachOther(t *testing.T) {
	s := ask(t, demo.Story, 1)
	key := "?family=" + s.families(t)["wheel"][0] + "&place=stand+2&result=lateral_tir"
	for from, to := range map[string]string{"/charts": "/how-good", "/how-good": "/charts"} {
		page := html.UnescapeString(s.read(t, from+key))
		if !strings.Contains(page, `href="`+to+key+`"`) {
			t.Errorf("%s does not lead to %s", from+key, to+key)
		}
	}
}

// A whole shop has more going on than one page's samples: nothing that the owner's
// questions say is left without words.
func TestTheOwnersQuestionsAreAllInWords(t *testing.T) {
	s := ask(t, demo.Story, 1)
	if open, err := s.app.Services.Watch.Open(t.Context()); err != nil || len(open) < 2 {
		t.Fatalf("%d open signals, %v: the charts' page has too little to say", len(open), err)
	}
	without := regexp.MustCompile(`\[[a-z][a-z0-9_.]+\]|\{[a-z_]+\}`)
	for _, path := range []string{"/attention", "/charts", "/how-good", "/failures", "/differences", "/effect", "/returns", "/reviews"} {
		if found := without.FindString(s.sees(t, path)); found != "" {
			t.Errorf("%s says %s", path, found)
		}
	}
}
