package pack

import (
	"fmt"

	"tracewright/models/numbers/measure"
)

// Verdicts of SeriesSum, in the order they are tried.
const (
	SumOK         = "ok"
	ReversedBlock = "reversed_block_suspected"
	MissingBlock  = "missing_block_suspected"
	SumMismatch   = "mismatch"
)

// SeriesResult compares a pack's voltage with the sum of its blocks.
type SeriesResult struct {
	Sum           measure.Decimal // V, sum of the blocks
	Diff          measure.Decimal // V, pack minus sum, signed
	Verdict       string          // SumOK, ReversedBlock, MissingBlock, SumMismatch
	Candidates    []int           // places, from 1, that would explain it; empty for SumOK and SumMismatch
	Best          int             // the candidate that explains it best; 0 without candidates
	LeadsReversed bool            // the pack reads clearly negative: leads or harness reversed
}

// DefaultSumTolerance gives 0.02 V + 0.003 V a block. Common practice, no
// source.
func DefaultSumTolerance(blocks int) (measure.Decimal, error) {
	return measure.Round(0.02+0.003*float64(blocks), 3)
}

// SeriesSum compares the voltage of a string, signed, with the sum S of the
// voltages of its blocks, same session and same meter, in exact decimals.
// Within tol it is SumOK. Otherwise every place j with |S - 2 V_j - pack| <= tol
// may hold a reversed block; failing that, every j with |S - V_j - pack| <= tol
// may be missing or bypassed; failing that it is SumMismatch. Blocks that match
// well cannot be told apart by the sum: tap readings decide. Source: arithmetic;
// tolerance common practice, no source.
func SeriesSum(blocks []measure.Decimal, pack, tol measure.Decimal) (SeriesResult, error) {
	if err := checkSeries(blocks, pack, tol); err != nil {
		return SeriesResult{}, err
	}
	var out SeriesResult
	var err error
	if out.Sum, err = measure.Sum(blocks...); err != nil {
		return SeriesResult{}, fmt.Errorf("sum of blocks: %w", err)
	}
	if out.Diff, err = pack.Sub(out.Sum); err != nil {
		return SeriesResult{}, fmt.Errorf("pack minus sum: %w", err)
	}
	out.LeadsReversed = pack.Cmp(tol.Neg()) < 0
	out.Candidates = []int{}
	if out.Diff.Abs().Cmp(tol) <= 0 {
		out.Verdict = SumOK
		return out, nil
	}
	for _, fault := range []struct {
		verdict string
		times   int64
	}{{ReversedBlock, 2}, {MissingBlock, 1}} {
		if err := out.explain(blocks, tol, measure.FromInt(fault.times)); err != nil {
			return SeriesResult{}, err
		}
		if len(out.Candidates) > 0 {
			out.Verdict = fault.verdict
			return out, nil
		}
	}
	out.Verdict = SumMismatch
	return out, nil
}

// explain collects the places j for which |Diff + times V_j| <= tol.
func (r *SeriesResult) explain(blocks []measure.Decimal, tol, times measure.Decimal) error {
	var nearest measure.Decimal
	for i, v := range blocks {
		taken, err := v.MulExact(times)
		if err != nil {
			return fmt.Errorf("block %d: %w", i+1, err)
		}
		left, err := r.Diff.Add(taken)
		if err != nil {
			return fmt.Errorf("block %d: %w", i+1, err)
		}
		if left = left.Abs(); left.Cmp(tol) > 0 {
			continue
		}
		r.Candidates = append(r.Candidates, i+1)
		if r.Best == 0 || left.Cmp(nearest) < 0 {
			r.Best, nearest = i+1, left
		}
	}
	return nil
}

// checkSeries refuses what cannot be summed.
func checkSeries(blocks []measure.Decimal, pack, tol measure.Decimal) error {
	if len(blocks) == 0 {
		return fieldf("blocks_V", "no blocks")
	}
	for i, v := range blocks {
		if !v.Given() {
			return fieldf(fmt.Sprintf("blocks_V[%d]", i), "is missing")
		}
	}
	if !pack.Given() {
		return fieldf("pack_V", "is missing")
	}
	if !tol.Given() || tol.Sign() < 0 {
		return fieldf("tol_V", "must be zero or more")
	}
	return nil
}
