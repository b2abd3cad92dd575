package web

import (
	"context"
	"fmt"

	"tracewright/models"
)

const (
	// claimsCounted is how many waiting claims the first page reads.
	claimsCounted = 50
	// mostClaimRows is how many get a row each before the rest share one.
	mostClaimRows = 4
)

// claimRows are the claims that nobody has answered, the oldest first, and how
// many there are. Who answers none is led to read it.
func (s *site) claimRows(ctx context.Context, frame Frame) ([]TodayRow, int, error) {
	waiting, err := s.services.Claims.Waiting(ctx, claimsCounted)
	if err != nil {
		return nil, 0, err
	}
	items, err := s.claimedItems(ctx, waiting)
	if err != nil {
		return nil, 0, err
	}
	var rows []TodayRow
	do := "Open the claim"
	if frame.Actor.May(models.ActClaims) {
		do = "Answer"
	}
	n := 0
	for _, v := range waiting {
		if v.State != models.ClaimOpen {
			continue
		}
		if n++; n > mostClaimRows {
			continue
		}
		rows = append(rows, TodayRow{Mark: Mark{"triangle", "Claim", "care"}, Title: []Span{{Text: "Claim "}, {Text: v.Number, Mono: true, Path: claimPath(v.Number)}, {Text: " on "}, claimedSpan(v, items), {Text: " waits for an answer"}},
			Line: s.claimWhat(v), Since: "since " + s.day(v.OpenedAt), Act: Act{Text: do, Path: claimPath(v.Number)}})
	}
	if n > mostClaimRows {
		rows = append(rows, TodayRow{Mark: Mark{"triangle", "Claims", "care"}, Title: []Span{{Text: fmt.Sprintf("%d more claims wait for an answer", n-mostClaimRows)}}, Act: Act{Text: "See the claims", Path: "/claims"}})
	}
	return rows, n, nil
}
