package web

import (
	"context"
	"net/url"

	"tracewright/models/words"
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
