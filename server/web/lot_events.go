package web

import (
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
)

// EventRow is one thing that happened to a lot.
type EventRow struct {
	When, Who string
	What      []Span
	Why       string
	key       string // sorts by the moment
}

// lotEvents lists what happened to a lot, the newest first.
func (s *site) lotEvents(story receive.Story, people map[string]string) []EventRow {
	var rows []EventRow
	plain := func(text string) []Span { return []Span{{Text: text}} }
	for _, d := range story.Decisions {
		what := words.Sentence(english.LotState(d.Decision))
		if d.Quantity > 0 {
			what += ": " + pieces(d.Quantity) + " " + story.Material.Unit
		}
		why := d.Reason
		if d.CheckID != nil {
			why = "by the incoming inspection"
		}
		rows = append(rows, EventRow{s.minute(d.DecidedAt), name(people, d.DecidedBy), plain(what), why, models.TimeText(d.DecidedAt) + d.ID})
	}
	for _, x := range story.Scraps {
		why := s.fault(x.Code, x.ScrappedAt)
		if x.Reason != "" {
			why += ": " + x.Reason
		}
		rows = append(rows, EventRow{s.minute(x.ScrappedAt), name(people, x.ScrappedBy), plain(pieces(x.Quantity) + " thrown away"), why, models.TimeText(x.ScrappedAt) + x.ID})
	}
	for _, c := range story.Counts {
		what := pieces(c.Counted) + " counted, as expected"
		if c.Difference() != 0 {
			what = pieces(c.Counted) + " counted, " + moreOrFewer(c.Difference()) + " than expected"
		}
		rows = append(rows, EventRow{s.minute(c.CountedAt), name(people, c.CountedBy), plain(what), "", models.TimeText(c.CountedAt) + c.ID})
	}
	for _, e := range story.Explanations {
		what := "Explained: " + moreOrFewer(e.Difference) + " than expected"
		if e.CountID == nil {
			what = "Explained: " + pieces(-e.Difference) + " more used than came"
		}
		rows = append(rows, EventRow{s.minute(e.ExplainedAt), name(people, e.ExplainedBy), plain(what), e.Reason, models.TimeText(e.ExplainedAt) + e.ID})
	}
	link := func(text, id string) []Span {
		return []Span{{Text: text}, {Text: story.Codes[id], Mono: true, Path: lotPath(story.Codes[id])}}
	}
	for _, m := range story.Contents {
		if m.ViaID == nil {
			rows = append(rows, EventRow{s.minute(m.MixedAt), name(people, m.MixedBy), link(pieces(m.Quantity)+" put in of lot ", m.LotID), "", models.TimeText(m.MixedAt) + m.ID})
		}
	}
	for _, m := range story.Bins {
		if m.ViaID == nil {
			rows = append(rows, EventRow{s.minute(m.MixedAt), name(people, m.MixedBy), link(pieces(m.Quantity)+" put into bin ", m.MixID), "", models.TimeText(m.MixedAt) + m.ID})
		}
	}
	slices.SortFunc(rows, func(a, b EventRow) int { return strings.Compare(b.key, a.key) })
	return rows
}
