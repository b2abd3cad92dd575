package stats

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Tally is a count under a code.
type Tally struct {
	Code  string
	Count int
}

// ParetoRow is one bar of a Pareto diagram.
type ParetoRow struct {
	Tally
	// Cumulative is the share of this and all larger ones in the whole, 0 to 1.
	Cumulative float64
	// Interval is the exact 95 % interval for the mean behind the count.
	Interval Interval
	// OverlapsNext: the interval reaches into that of the next row, so chance
	// could have put the two the other way round.
	OverlapsNext bool
}

// Pareto sorts counts from the largest down, equal ones by code.
func Pareto(counts []Tally) ([]ParetoRow, error) {
	if len(counts) == 0 {
		return nil, about("counts", fmt.Errorf("no count: %w", ErrTooFew))
	}
	rows := make([]ParetoRow, len(counts))
	total := 0.
	for i, c := range counts {
		intervals, err := CountIntervalsOf(c.Count, 0.95)
		if err != nil {
			return nil, &ArgumentError{Argument: "counts." + c.Code, Err: fmt.Errorf("%d must be a count, not negative: %w", c.Count, ErrOutOfRange)}
		}
		rows[i] = ParetoRow{Tally: c, Interval: intervals.TwoSided}
		total += float64(c.Count)
	}
	if total == 0 {
		return nil, about("counts", fmt.Errorf("all are 0: %w", ErrTooFew))
	}
	slices.SortFunc(rows, func(a, b ParetoRow) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.Code, b.Code))
	})
	sum := 0.
	for i := range rows {
		sum += float64(rows[i].Count)
		rows[i].Cumulative = math.Min(sum/total, 1)
		if i+1 < len(rows) {
			rows[i].OverlapsNext = rows[i].Interval.Low <= rows[i+1].Interval.High
		}
	}
	return rows, nil
}
