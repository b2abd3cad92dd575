package web

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/receive"
)

// The title of a list of lots counts what is on the page, and says where that is not
// all there is.
func TestTheTitleOfLots(t *testing.T) {
	s := sampleSite()
	line := func(day int) receive.Line {
		return receive.Line{Lot: models.Lot{ReceivedAt: time.Date(2026, 11, day, 12, 0, 0, 0, time.UTC)}}
	}
	next := models.LotKey{ReceivedAt: line(3).ReceivedAt, Code: "x"}
	three := []receive.Line{line(26), line(20), line(5)}
	for _, c := range []struct {
		name  string
		page  LotsPage
		lines []receive.Line
		next  models.LotKey
		want  string
	}{
		{"none at all", LotsPage{}, nil, models.LotKey{}, "No lot yet"},
		{"none in a state", LotsPage{State: Field{Value: lotsUsedUp}}, nil, models.LotKey{}, "None of these lots"},
		{"none so far", LotsPage{State: Field{Value: lotsUsedUp}, Older: "/lots"}, nil, next, "None of these lots from 3 Nov 2026 on"},
		{"all", LotsPage{}, three, models.LotKey{}, "Three lots, received from 5 Nov 2026 to 26 Nov 2026"},
		{"one", LotsPage{State: Field{Value: lotsUsedUp}}, three[:1], models.LotKey{}, "One lot, received on 26 Nov 2026"},
		{"the first page", LotsPage{Older: "/lots"}, three, next, "The last 3 lots, received from 5 Nov 2026 to 26 Nov 2026"},
		{"a later page", LotsPage{Newest: "/lots"}, three, models.LotKey{}, "Three older lots, received from 5 Nov 2026 to 26 Nov 2026"},
	} {
		if got := s.lotsAnswer(c.page, c.lines, c.next); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
