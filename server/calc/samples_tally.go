package calc

import (
	"maps"
	"slices"

	"tracewright/models/numbers/stats"
)

// tallyKinds sort counts.
var tallyKinds = []Kind{
	{
		Name:    "pareto",
		Does:    "defect counts by size with cumulative shares, and whether the order is settled",
		Source:  "counts descending, then code; 95 % intervals by Garwood 1936",
		Example: `{"counts":{"W01":14,"W07":3,"P04":14,"K02":1}}`,
		Run:     of(pareto),
	},
}

type paretoInput struct {
	Counts map[string]int `json:"counts"`
}

type paretoRow struct {
	Code       string     `json:"code"`
	N          int        `json:"n"`
	CumPercent float64    `json:"cum_pct"`
	Interval   [2]float64 `json:"count_ci95"`
	// Overlaps the next: the order of these two is not settled.
	Overlaps bool `json:"overlaps_next"`
}

type paretoAnswer struct {
	Rows []paretoRow `json:"rows"`
}

func pareto(in paretoInput) (paretoAnswer, error) {
	codes := slices.Sorted(maps.Keys(in.Counts))
	counts := make([]stats.Tally, len(codes))
	for i, code := range codes {
		counts[i] = stats.Tally{Code: code, Count: in.Counts[code]}
	}
	rows, err := stats.Pareto(counts)
	if err != nil {
		return paretoAnswer{}, argument("", "counts", err)
	}
	answer := paretoAnswer{Rows: make([]paretoRow, len(rows))}
	for i, r := range rows {
		answer.Rows[i] = paretoRow{
			Code: r.Code, N: r.Count, CumPercent: 100 * r.Cumulative,
			Interval: pair(r.Interval), Overlaps: r.OverlapsNext,
		}
	}
	return answer, nil
}
