package web

import (
	"context"
	"fmt"

	"tracewright/models"
)

// mostClaimRows is how many claims get a row each before the rest share one.
const mostClaimRows = 4

// claimRows are the claims that nobody has answered, the oldest first, and how
// many there are. Who answers none is led to read it.
func (s *site) claimRows(ctx context.Context, frame Frame) ([]TodayRow, int, error) {
	n, err := s.services.Claims.Unanswered(ctx)
	if err != nil || n == 0 {
		return nil, 0, err
	}
	shown := n
	if n > mostClaimRows+1 {
		shown = mostClaimRows
	}
	// Those without an answer come first.
	waiting, err := s.services.Claims.Waiting(ctx, shown)
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
	for _, v := range waiting {
		if v.State != models.ClaimOpen { // Answered since they were counted.
			continue
		}
		rows = append(rows, TodayRow{Mark: Mark{"triangle", "Claim", "care"}, Title: []Span{{Text: "Claim "}, {Text: v.Number, Mono: true, Path: claimPath(v.Number)}, {Text: " on "}, claimedSpan(v, items), {Text: " waits for an answer"}},
			Line: s.claimWhat(v), Since: "since " + s.day(v.OpenedAt), Act: Act{Text: do, Path: claimPath(v.Number)}})
	}
	if shown < n {
		rows = append(rows, TodayRow{Mark: Mark{"triangle", "Claims", "care"}, Title: []Span{{Text: fmt.Sprintf("%d more claims wait for an answer", n-shown)}}, Act: Act{Text: "See the claims", Path: "/claims"}})
	}
	return rows, n, nil
}
