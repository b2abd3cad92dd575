package pack

import (
	"errors"
	"slices"
	"testing"

	"tracewright/models/numbers/measure"
)

// Sums by hand; default tolerance 0.02 V + 0.003 V a block (common practice).
func TestSeriesSum(t *testing.T) {
	for _, row := range []struct {
		name       string
		blocks     []string
		pack, tol  string
		sum, diff  string
		verdict    string
		candidates []int
		best       int
		leads      bool
	}{
		{"agrees", []string{"12.86", "12.87"}, "25.73", "0.02", "25.73", "0.00", SumOK, nil, 0, false},
		{"tolerance itself, above", []string{"12.86", "12.87"}, "25.75", "0.02", "25.73", "0.02", SumOK, nil, 0, false},
		{"tolerance itself, below", []string{"12.86", "12.87"}, "25.71", "0.02", "25.73", "-0.02", SumOK, nil, 0, false},
		{"a tenth of a millivolt more", []string{"12.86", "12.87"}, "25.7501", "0.02", "25.73", "0.0201", SumMismatch, nil, 0, false},
		{"one of three reversed", []string{"12.60", "12.80", "13.00"}, "12.80", "0.02", "38.40", "-25.60", ReversedBlock, []int{2}, 2, false},
		{"one of two reversed reads near zero", []string{"12.80", "12.90"}, "0.10", "0.02", "25.70", "-25.60", ReversedBlock, []int{1}, 1, false},
		{"matched blocks cannot be told apart", []string{"12.80", "12.80", "12.80"}, "12.80", "0.02", "38.40", "-25.60", ReversedBlock, []int{1, 2, 3}, 1, false},
		{"the nearest is best", []string{"12.805", "12.800"}, "12.804", "0.02", "25.605", "-12.801", MissingBlock, []int{1, 2}, 2, false},
		{"leads on the wrong poles", []string{"12.80", "12.90", "12.85"}, "-38.55", "0.02", "38.55", "-77.10", SumMismatch, nil, 0, true},
		{"a single block the wrong way", []string{"12.80"}, "-12.80", "0.02", "12.80", "-25.60", ReversedBlock, []int{1}, 1, true},
		{"a little below zero is no reversal", []string{"12.80", "12.80"}, "-0.01", "0.02", "25.60", "-25.61", ReversedBlock, []int{1, 2}, 1, false},
		{"signed block", []string{"12.80", "-12.80", "12.80"}, "12.80", "0.02", "12.80", "0.00", SumOK, nil, 0, false},
	} {
		t.Run(row.name, func(t *testing.T) {
			s, err := SeriesSum(decs(t, row.blocks...), dec(t, row.pack), dec(t, row.tol))
			if err != nil {
				t.Fatal(err)
			}
			if s.Sum.String() != row.sum || s.Diff.String() != row.diff {
				t.Errorf("sum %s, difference %s, want %s, %s", s.Sum, s.Diff, row.sum, row.diff)
			}
			if s.Verdict != row.verdict || !slices.Equal(s.Candidates, row.candidates) || s.Best != row.best || s.LeadsReversed != row.leads {
				t.Errorf("got %+v, want %s %v best %d leads %v", s, row.verdict, row.candidates, row.best, row.leads)
			}
		})
	}
}

func TestDefaultSumTolerance(t *testing.T) {
	for blocks, want := range map[int]string{1: "0.023", 3: "0.029", 4: "0.032", 16: "0.068"} {
		if got, err := DefaultSumTolerance(blocks); err != nil || got.String() != want {
			t.Errorf("%d blocks: got %v, %v, want %s", blocks, got, err, want)
		}
	}
}

func TestSeriesSumRefuses(t *testing.T) {
	var none measure.Decimal
	good, v, tol := decs(t, "12.8"), dec(t, "12.8"), dec(t, "0.02")
	for name, args := range map[string]struct {
		blocks    []measure.Decimal
		pack, tol measure.Decimal
	}{
		"no blocks":          {nil, v, tol},
		"block not given":    {[]measure.Decimal{none}, v, tol},
		"pack not given":     {good, none, tol},
		"no tolerance":       {good, v, none},
		"negative tolerance": {good, v, dec(t, "-0.02")},
	} {
		if _, err := SeriesSum(args.blocks, args.pack, args.tol); !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}
