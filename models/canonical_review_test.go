package models

import "time"

func encodingsOfReviews(at time.Time) []encoding {
	return []encoding{
		{Review{ID: "v1", Period: ReviewWeek, FirstDay: "2031-05-12", Edition: 2, Content: "{}", ContentHash: "c0", FileHash: "f0", MadeAt: at, MadeBy: "p1"},
			`{"content":"c0","edition":2,"file":"f0","first_day":"2031-05-12","id":"v1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","period":"week"}`},
	}
}
