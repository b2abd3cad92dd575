package monitor

import (
	"testing"

	"tracewright/models/numbers/spc"
)

// What decides a chart: the table for what the program brings along, the values for
// what the shop made itself.
func TestNatureOfResults(t *testing.T) {
	skewed := []float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 2, 9}
	even := []float64{8, 9, 10, 11, 12, 8, 9, 10, 11, 12, 8, 9, 10, 11, 12, 8, 9, 10, 11, 12}
	for _, row := range []struct {
		name, result string
		counted      bool
		values       []float64
		want         Nature
		one, several string
	}{
		{"a run-out", "lateral_tir", false, even, Skewed, "individuals_log", "short_run_ratio"},
		{"a share in per cent", "adjacent_diff_pct_a", false, nil, FromZero, "individuals_root", "short_run_root"},
		{"a distance from a target", "dish_abs", false, nil, FromZero, "individuals_root", "short_run_root"},
		{"a tension", "tension_mean_tight", false, nil, Level, "individuals", "short_run_ratio"},
		{"to either side", "dish_offset", false, nil, Signed, "individuals", "short_run_standardised"},
		{"a long tail", "ocv_lowest", false, nil, LongTail, "individuals", "short_run_ratio"},
		{"the shop's own, counted", "own_scratches", true, even, CountedThings, "c", "c"},
		{"the shop's own, without a value", "own_gap", false, nil, Level, "individuals", "short_run_ratio"},
		{"the shop's own, even", "own_gap", false, even, Level, "individuals", "short_run_ratio"},
		{"the shop's own, skewed", "own_gap", false, skewed, Skewed, "individuals_log", "short_run_ratio"},
		{"skewed, but one too few to say so", "own_gap", false, skewed[1:], Level, "individuals", "short_run_ratio"},
		{"the shop's own, with a zero", "own_gap", false, append([]float64{0}, skewed...), FromZero, "individuals_root", "short_run_root"},
		{"the shop's own, with a negative", "own_gap", false, append([]float64{-1, 0}, even...), Signed, "individuals", "short_run_standardised"},
	} {
		t.Run(row.name, func(t *testing.T) {
			n := natureOf(row.result, row.counted, row.values)
			one, _ := chartFor(n, false)
			several, _ := chartFor(n, true)
			if n != row.want || one != row.one || several != row.several {
				t.Errorf("%s, %s and %s; want %s, %s and %s", n, one, several, row.want, row.one, row.several)
			}
		})
	}
	for n := range charted {
		for _, several := range []bool{false, true} {
			kind, _ := chartFor(n, several)
			if _, err := spc.ChartOf(kind); err != nil {
				t.Errorf("%s has a chart that is none: %v", n, err)
			}
		}
	}
}

// Up to the next of 1, 2 and 5: the limits do not breathe with the order book.
func TestRunLengthsAreRound(t *testing.T) {
	for _, row := range [][2]float64{{200, 200}, {201, 500}, {500, 500}, {501, 1000}, {999.9, 1000}, {3800, 5000}, {1_000_000, 1_000_000}} {
		if got := roundUp(row[0]); got < row[1]*(1-1e-9) || got > row[1]*(1+1e-9) {
			t.Errorf("%v goes up to %v, want %v", row[0], got, row[1])
		}
	}
}
