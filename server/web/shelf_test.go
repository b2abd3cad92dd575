package web

import (
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/shelf"
)

// At most 30 % of charge by air, and a test summary of the pack's own design: a
// lithium row says which of them it lacks. A loose cell has no summary of a pack.
func TestWhatALithiumRowSaysOfItsCarriage(t *testing.T) {
	pack := func(summary string) *models.PackForm {
		return &models.PackForm{Chemistry: "lifepo4", TestSummary: summary}
	}
	for _, row := range []struct {
		name   string
		form   *models.PackForm
		charge *float64
		most   float64
		want   string
	}{
		{"lead-acid", &models.PackForm{Chemistry: "agm"}, number(98), 0, ""},
		{"lithium nobody tested", pack(""), number(25), 30, "no test summary: ask the carrier"},
		{"as charged", pack("TS-41"), number(30.1), 30, "not by air as charged, over 30\u00a0%"},
		{"at the limit", pack("TS-41"), number(30), 30, "by air up to 30\u00a0%"},
		{"its charge is not known", pack("TS-41"), nil, 30, "by air up to 30\u00a0%"},
		{"a loose cell", nil, number(60), 30, "not by air as charged, over 30\u00a0%"},
	} {
		if got := carriage(&shelf.Row{Form: row.form, SoCPct: row.charge, AirMaxPct: row.most}); got != row.want {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
}

// A lithium pack that was discharged is not "as charged", and is not sent full.
func TestADischargedLithiumPackIsNextOut(t *testing.T) {
	s, look := sampleSite(), sampleShelf()
	row := *look.Next
	row.AirMaxPct, row.SoCPct, row.Rest, row.State = 30, nil, 1, shelf.Discharged
	look.Next = &row
	if got := s.nextOut(look); !strings.HasSuffix(got, ": it was discharged; charge it to no more than its carrier takes, let it rest 1\u00a0h and read it.") {
		t.Error(got)
	}
}

// What is due for its health and high enough to ship is not said to wait for a charge;
// what is too low is too low to ship, whatever charge is estimated beside it.
func TestAPackThatIsDueMayShipAsItStands(t *testing.T) {
	s, look := sampleSite(), sampleShelf()
	row := *look.Next
	row.AirMaxPct, row.State, row.TooLow, row.Due = 0, shelf.Standing, false, look.Day
	look.Next = &row
	for _, c := range []struct {
		ready     time.Time
		says, row string
	}{
		{look.Day.AddDate(0, 0, 40), "; if it stays, charge it today.", "may ship until "},
		{look.Day, "; if it stays, charge it today.", "may ship until "},
		{look.Day.AddDate(0, 0, -1), "then it may ship on ", "too low to ship since "},
		{time.Time{}, "then it may ship on ", ""},
	} {
		row.ReadyUntil = c.ready
		if got := s.nextOut(look); !strings.Contains(got, c.says) || strings.Contains(got, "as it stands") != strings.HasPrefix(c.says, ";") {
			t.Errorf("ready until %v: %s", c.ready, got)
		}
		if got := s.shelfRow(&row, look.Day, true).Ready; !strings.HasPrefix(got, c.row) {
			t.Errorf("ready until %v: %s", c.ready, got)
		}
	}
}

// Of 20,000 packs no page shows more than its longest lists, and page by page
// every row once.
func TestALongShelfIsShownInParts(t *testing.T) {
	const n = 20_000
	s, look := sampleSite(), sampleShelf()
	row := *look.Later[1]
	look.Later = nil
	for i := range n {
		r := row
		r.Item.ID = strconv.Itoa(i)
		r.Item.MakerNumber = &r.Item.ID
		look.Later = append(look.Later, &r)
	}
	whole := s.shelfPage(Frame{}, look, shelfAsk{})
	if last := whole.Groups[len(whole.Groups)-1]; len(last.Rows) != laterShown || last.Note != "1 to 12 of 20000" || last.More[0].Path != "/shelf?group=later&from=0" {
		t.Errorf("the whole shelf: %d rows, %s, %v", len(last.Rows), last.Note, last.More)
	}
	seen := 0
	for from := 0; from < n; {
		page := s.shelfPage(Frame{}, look, shelfAsk{Group: "later", From: from})
		if len(page.Groups) != 1 || len(page.Groups[0].Rows) > nowShown {
			t.Fatalf("from %d: %d groups, %d rows", from, len(page.Groups), len(page.Groups[0].Rows))
		}
		g := page.Groups[0]
		for _, r := range g.Rows {
			if r.Serial != strconv.Itoa(seen) {
				t.Fatalf("row %d is %s", seen, r.Serial)
			}
			seen++
		}
		if next := g.More[len(g.More)-1]; strings.HasPrefix(next.Text, "Next") {
			from = from + nowShown
			if next.Path != fmt.Sprintf("/shelf?group=later&from=%d", from) {
				t.Fatalf("next is %s", next.Path)
			}
			continue
		}
		break
	}
	if seen != n {
		t.Errorf("%d rows were shown", seen)
	}
	for _, from := range []int{-5, n, 10 * n} { // an address that somebody typed
		if page := s.shelfPage(Frame{}, look, shelfAsk{Group: "later", From: from}); len(page.Groups[0].Rows) == 0 {
			t.Errorf("from %d nothing is shown", from)
		}
	}
}

// What a date was set for by an order, by hand, or by both.
func TestWhatAPackIsWantedFor(t *testing.T) {
	s, look := sampleSite(), sampleShelf()
	for _, row := range []struct{ order, wanted, want string }{
		{"", "2027-06-01", ", wanted 1\u00a0Jun"},
		{"4471", "2027-06-01", ", for order 4471, 1\u00a0Jun"},
		{"4471", "", ", for order 4471"},
	} {
		r := *look.Today[1]
		r.Order, r.Wanted, r.DueBy = row.order, row.wanted, shelf.ByReady
		if got := s.shelfRow(&r, look.Day, true).Why; got != row.want {
			t.Errorf("order %q, wanted %q: %q, want %q", row.order, row.wanted, got, row.want)
		}
	}
}
