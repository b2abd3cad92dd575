package web

import (
	"fmt"
	"strconv"

	"tracewright/models/work/shelf"
)

// ShelfGroup is what is due at about one time.
type ShelfGroup struct {
	Name, Note string
	Care       bool // to be done now
	Rows       []ShelfRow
	More       []Act // to the rows that are not shown
}

// Longest lists of the page: what is due now is shown nearly whole, of the rest
// the beginning. A group that is looked at by itself goes on page by page.
const (
	nowShown   = 200
	soonShown  = 60
	laterShown = 12
)

// shelfAsk is the part of the shelf that is looked at: a group by itself, from a
// row on; empty is the shelf as a whole.
type shelfAsk struct {
	Group string
	From  int
}

// shelfGroups are the groups of the shelf, or one of them by itself.
func (s *site) shelfGroups(look shelf.Look, ask shelfAsk) []ShelfGroup {
	var groups []ShelfGroup
	for _, g := range []struct {
		key, name, note string
		rows            []*shelf.Row
		most            int
	}{
		{"today", "Charge these today", "worst first", look.Today, nowShown},
		{"waiting", "Charging, resting, or to be read", "nothing is estimated between a charge and the reading after it", look.Waiting, soonShown},
		{"soon", "Within 14 days", "", look.Soon, soonShown},
		{"later", "Later", "", look.Later, laterShown},
	} {
		if len(g.rows) == 0 || ask.Group != "" && ask.Group != g.key {
			continue
		}
		out := ShelfGroup{Name: g.name, Note: g.note, Care: g.key == "today"}
		from, most := 0, g.most
		if ask.Group != "" {
			from, most = min(max(ask.From, 0), len(g.rows)-1), nowShown
		}
		to := min(from+most, len(g.rows))
		switch n := len(g.rows); {
		case to-from < n:
			out.Note = fmt.Sprintf("%d to %d of %d", from+1, to, n)
			out.More = shelfMore(g.key, ask.Group == g.key, from, to, n)
		case out.Note == "":
			out.Note = plural(n, "item", "items")
		}
		for _, r := range g.rows[from:to] {
			out.Rows = append(out.Rows, s.shelfRow(r, look.Day, out.Care))
		}
		groups = append(groups, out)
	}
	return groups
}

// shelfMore leads to the rows of a group before and after those that are shown;
// from the shelf as a whole to the group by itself.
func shelfMore(key string, alone bool, from, to, n int) []Act {
	at := func(row int) string { return fmt.Sprintf("/shelf?group=%s&from=%d", key, row) }
	if !alone {
		return []Act{{Text: "Show all", Path: at(0)}}
	}
	var out []Act
	if from > 0 {
		out = append(out, Act{Text: "Earlier", Path: at(max(0, from-nowShown))})
	}
	if to < n {
		out = append(out, Act{Text: "Next " + strconv.Itoa(min(nowShown, n-to)), Path: at(to)})
	}
	return out
}

// pageFrom reads the row that a page begins with; what is no number is the first.
func pageFrom(typed string) int {
	n, err := strconv.Atoi(typed)
	if err != nil {
		return 0
	}
	return n
}
