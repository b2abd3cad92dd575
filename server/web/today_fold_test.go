package web

import (
	"bytes"
	"slices"
	"strings"
	"testing"
)

// sampleLongDay has eight things that need somebody.
func sampleLongDay(p TodayPage) TodayPage {
	p.Rows = slices.Repeat(p.Rows[:1], 8)
	for i := range p.Rows {
		p.Rows[i].Act.First = i == 0
	}
	p.fold()
	return p
}

// A long list is parted where a narrow page folds it: the rest says how many it
// holds, and goes on counting. A list with one row more stays whole.
func TestALongDayFolds(t *testing.T) {
	one := TodayRow{Title: []Span{{Text: "Something"}}, Act: Act{Text: "See", Path: "/"}}
	body, err := renderPage("today", sampleLongDay(TodayPage{Frame: sampleFrame("Today", "/"), Rows: []TodayRow{one}}))
	if err != nil {
		t.Fatal(err)
	}
	first, rest, folded := bytes.Cut(body, []byte(`<summary>3 more</summary><ol class="list" start="6">`))
	if !folded || bytes.Count(first, []byte("Something")) != 5 || bytes.Count(rest, []byte("Something")) != 3 {
		t.Errorf("folded %t, %d rows before and %d in it", folded, strings.Count(string(first), "Something"), strings.Count(string(rest), "Something"))
	}
	six := TodayPage{Rows: slices.Repeat([]TodayRow{one}, shownFirst+1)}
	if six.fold(); len(six.Rest) != 0 || len(six.Rows) != shownFirst+1 {
		t.Errorf("%d rows and %d folded of six", len(six.Rows), len(six.Rest))
	}
}
