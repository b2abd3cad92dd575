package web

import (
	"slices"
	"strconv"

	"tracewright/models"
	"tracewright/models/words"
)

// mostHolds is how many holds get a row each before the rest share one.
const mostHolds = 5

// holdRows are the open holds, the oldest first.
func (s *site) holdRows(frame Frame, holds []models.HeldItem, people map[string]string) []TodayRow {
	var rows []TodayRow
	for i, h := range holds {
		if i == mostHolds && len(holds) > mostHolds+1 {
			return append(rows, TodayRow{Mark: Mark{"bars", "On hold", "hold"}, Title: []Span{{Text: moreHeld(holds[i:]) + " are on hold"}},
				Line: "The oldest is from " + s.day(h.RaisedAt) + ".", Act: Act{Text: "See all holds", Path: "/holds"}})
		}
		rows = append(rows, s.holdRow(frame, h, people))
	}
	return rows
}

func (s *site) holdRow(frame Frame, h models.HeldItem, people map[string]string) TodayRow {
	row := TodayRow{Mark: Mark{"bars", "On hold", "hold"}, Since: "since " + s.day(h.RaisedAt), Line: "Raised by " + name(people, h.RaisedBy) + ": " + stopped(english.HoldReason(h.Code, h.Reason))}
	reason := s.fault(h.Code, h.RaisedAt)
	path := heldPath(h)
	if h.ItemID == nil {
		row.Title = []Span{{Text: "Lot "}, {Text: h.Lot, Mono: true, Path: path}, {Text: ": " + reason}}
		row.Act = Act{Text: "Open the lot", Path: path}
	} else {
		row.Title = []Span{{Text: words.Sentence(english.Kind(h.Kind)) + " "}, {Text: words.Serial(h.Name()), Mono: true, Path: path}, {Text: ": " + reason}}
		row.Act = Act{Text: "Open the " + english.Kind(h.Kind), Path: path}
		if h.Code == models.RecheckFailed && h.Away() {
			row.Mark = Mark{"cross", "With its owner", "fail"}
			row.Title[2].Text = " was " + english.State(h.State) + ", and a recheck of it failed"
		}
	}
	if frame.Actor.May(models.ActLiftHold) {
		row.Act = Act{Text: "Decide", Path: "/holds/" + h.ID + "/lift"}
	}
	return row
}

// heldPath is the page of what a hold is on.
func heldPath(h models.HeldItem) string {
	if h.ItemID == nil {
		return lotPath(h.Lot)
	}
	return itemPath(h.Serial, *h.ItemID)
}

// heldOnce keeps the oldest hold on each item and lot: each is one thing that waits,
// whatever else is raised on it.
func heldOnce(holds []models.HeldItem) []models.HeldItem {
	seen := map[string]bool{}
	var once []models.HeldItem
	for _, h := range holds {
		on := pointed(h.ItemID) + pointed(h.LotID)
		if !seen[on] {
			once = append(once, h)
		}
		seen[on] = true
	}
	return once
}

// moreHeld counts what shares a row: "18 more items", "18 more items and lots".
func moreHeld(holds []models.HeldItem) string {
	what := " more items"
	if slices.ContainsFunc(holds, func(h models.HeldItem) bool { return h.LotID != nil }) {
		what += " and lots"
	}
	return strconv.Itoa(len(holds)) + what
}
