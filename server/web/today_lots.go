package web

import (
	"context"
	"fmt"
	"net/url"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
	"tracewright/models/work/stock"
)

// lotsInDoubt are the lots of blocks that screening doubts and nobody has
// decided about.
func (s *site) lotsInDoubt(ctx context.Context) ([]stock.Doubted, error) {
	products, err := s.blockProducts(ctx)
	if err != nil {
		return nil, err
	}
	return s.services.Stock.Doubted(ctx, products)
}

func (s *site) doubtRow(d stock.Doubted) TodayRow {
	return TodayRow{Mark: Mark{"triangle", "Lot in doubt", "care"},
		Title: []Span{{Text: "Lot "}, {Text: d.Lot, Mono: true}, {Text: ": decide about " + plural(d.Open, "block", "blocks")}},
		Line:  words.Sentence(say(d.Reasons[0])) + " They go into no pack until then.",
		Since: "read " + s.day(d.Since), Act: Act{Text: "Open the lot", Path: "/blocks/lots/" + url.PathEscape(d.Lot)}}
}

// mostLotRows is how many lots get a row each before the rest share one.
const mostLotRows = 4

// lotRows are the lots that wait for somebody, each with the next act, or with the
// lot itself for who may not do it.
func (s *site) lotRows(frame Frame, questions []receive.Question, people map[string]string) []TodayRow {
	var rows []TodayRow
	for i, q := range questions {
		if i == mostLotRows && len(questions) > mostLotRows+1 {
			rows = append(rows, TodayRow{Mark: Mark{"triangle", "Lots", "care"}, Title: []Span{{Text: fmt.Sprintf("%d more lots wait for somebody", len(questions)-i)}}, Act: Act{Text: "See the lots", Path: "/lots"}})
			break
		}
		path := lotPath(q.Lot.Code)
		next := func(act models.Act, do, to string) Act {
			if !frame.Actor.May(act) {
				return Act{Text: "Open the lot", Path: path}
			}
			return Act{Text: do, Path: to}
		}
		lot := Span{Text: q.Lot.Code, Mono: true, Path: path}
		switch q.Kind {
		case receive.AskQuarantine:
			row := TodayRow{Mark: Mark{"bars", "Quarantine", "hold"}, Title: []Span{{Text: "Lot "}, lot, {Text: " waits for a decision"}}, Since: "since " + s.day(q.About.DecidedAt), Act: next(models.ActLiftHold, "Decide", path),
				Line: "By " + name(people, q.About.DecidedBy) + ": " + stopped(q.About.Reason)}
			if q.About.CheckID != nil {
				row.Line = "Its incoming inspection did not pass."
			}
			rows = append(rows, row)
		case receive.AskLook:
			rows = append(rows, TodayRow{Mark: Mark{"triangle", "Lot", "care"}, Title: []Span{{Text: "Lot "}, lot, {Text: ": " + lookSays(*q.Look)}}, Since: "since " + s.day(q.Lot.ReceivedAt),
				Line: "Its material asks for it, and nobody has decided without it.", Act: next(models.ActReceive, "Inspect", path+"/inspect")})
		case receive.AskBeyond:
			rows = append(rows, TodayRow{Mark: Mark{"triangle", "Lot", "care"}, Title: []Span{{Text: pieces(q.Pieces) + " more of lot "}, lot, {Text: " " + wereOf(q.Pieces) + " used than came"}},
				Line: words.Sentence(q.Lot.Description) + ". " + pieces(q.Lot.Quantity) + " came.", Act: next(models.ActReceive, "Explain", path+"/explain")})
		case receive.AskCount:
			rows = append(rows, TodayRow{Mark: Mark{"triangle", "Lot", "care"}, Title: []Span{{Text: moreOrFewer(q.Pieces) + " counted of lot "}, lot, {Text: " than expected"}}, Since: "since " + s.day(q.Count.CountedAt),
				Line: pieces(q.Count.Counted) + " counted, " + pieces(q.Count.Expected) + " expected.", Act: next(models.ActReceive, "Explain", path+"/explain")})
		}
	}
	return rows
}
