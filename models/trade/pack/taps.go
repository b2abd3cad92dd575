package pack

import (
	"fmt"
	"slices"

	"tracewright/models/numbers/measure"
)

// Placed is a block as recorded at a place of the string, place 1 at pack minus.
type Placed struct {
	ID  string
	OCV measure.Decimal // V, measured singly
}

// TapOrderResult compares the order found at the taps with the recorded one.
type TapOrderResult struct {
	PositionV     []measure.Decimal // V of each place, from the taps
	RecordedSum   measure.Decimal   // V, sum of |place - recorded block|
	BestOrder     []string          // ids in the order that fits the taps best
	BestSum       measure.Decimal   // V, its sum
	RunnerUpSum   measure.Decimal   // V, the least sum of any other order; not given with one block
	SwapSuspected bool              // a place is off by more than tol and another order fits better
}

// TapOrder checks the recorded order of the blocks of a string against its tap
// voltages (cumulative from pack minus, one after each block), in exact
// decimals. Differences of the taps are the voltages of the places; the order
// with the least sum of |place - block| fits best.
//
// With one number per block, pairing both lists in rising order is such an
// order (for a < b and x < y, |a-x| + |b-y| <= |a-y| + |b-x|), and since any
// order becomes that one by exchanging neighbours without ever raising the sum,
// the runner-up differs from it by one exchange of neighbours. Of equally good
// orders the recorded one is given.
//
// It is evidence only when the runner-up is worse by more than the repeatability
// of the meter, about 3 to 5 mV; otherwise scan the serials again. Source: the
// assignment problem on a line, textbook; tolerance common practice, no source.
func TapOrder(taps []measure.Decimal, recorded []Placed, tol measure.Decimal) (TapOrderResult, error) {
	if err := checkTaps(taps, recorded, tol); err != nil {
		return TapOrderResult{}, err
	}
	places, err := differences(taps)
	if err != nil {
		return TapOrderResult{}, err
	}
	out := TapOrderResult{PositionV: places}
	asRecorded := identity(len(recorded))
	if out.RecordedSum, err = sumApart(places, recorded, asRecorded); err != nil {
		return TapOrderResult{}, err
	}
	placesRising, blocksRising := identity(len(places)), identity(len(recorded))
	slices.SortStableFunc(placesRising, func(a, b int) int { return places[a].Cmp(places[b]) })
	slices.SortStableFunc(blocksRising, func(a, b int) int { return recorded[a].OCV.Cmp(recorded[b].OCV) })
	best := pair(placesRising, blocksRising)
	if out.BestSum, err = sumApart(places, recorded, best); err != nil {
		return TapOrderResult{}, err
	}
	for i := 1; i < len(blocksRising); i++ {
		exchanged := slices.Clone(blocksRising)
		exchanged[i-1], exchanged[i] = exchanged[i], exchanged[i-1]
		sum, err := sumApart(places, recorded, pair(placesRising, exchanged))
		if err != nil {
			return TapOrderResult{}, err
		}
		if i == 1 || sum.Cmp(out.RunnerUpSum) < 0 {
			out.RunnerUpSum = sum
		}
	}
	fitsBetter := out.BestSum.Cmp(out.RecordedSum) < 0
	if !fitsBetter {
		best = asRecorded
	}
	for _, block := range best {
		out.BestOrder = append(out.BestOrder, recorded[block].ID)
	}
	off, err := anyApart(places, recorded, tol)
	if err != nil {
		return TapOrderResult{}, err
	}
	out.SwapSuspected = off && fitsBetter
	return out, nil
}

// differences turns cumulative taps into the voltage of each place.
func differences(taps []measure.Decimal) ([]measure.Decimal, error) {
	below := measure.FromInt(0)
	places := make([]measure.Decimal, len(taps))
	for i, tap := range taps {
		d, err := tap.Sub(below)
		if err != nil {
			return nil, fmt.Errorf("tap %d: %w", i+1, err)
		}
		places[i], below = d, tap
	}
	return places, nil
}

// identity is the order 0, 1, 2 ...
func identity(n int) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	return order
}

// pair gives the block at each place when the lists are joined element by
// element.
func pair(places, blocks []int) []int {
	order := make([]int, len(places))
	for i, place := range places {
		order[place] = blocks[i]
	}
	return order
}

// sumApart is the sum of |place - block| for an order of blocks.
func sumApart(places []measure.Decimal, recorded []Placed, order []int) (measure.Decimal, error) {
	sum := measure.FromInt(0)
	for place, block := range order {
		d, err := places[place].Sub(recorded[block].OCV)
		if err == nil {
			sum, err = sum.Add(d.Abs())
		}
		if err != nil {
			return measure.Decimal{}, fmt.Errorf("place %d: %w", place+1, err)
		}
	}
	return sum, nil
}

// anyApart says whether a place differs from its recorded block by more than
// tol.
func anyApart(places []measure.Decimal, recorded []Placed, tol measure.Decimal) (bool, error) {
	for i := range places {
		d, err := places[i].Sub(recorded[i].OCV)
		if err != nil {
			return false, fmt.Errorf("place %d: %w", i+1, err)
		}
		if d.Abs().Cmp(tol) > 0 {
			return true, nil
		}
	}
	return false, nil
}

// checkTaps refuses what cannot be compared.
func checkTaps(taps []measure.Decimal, recorded []Placed, tol measure.Decimal) error {
	if len(recorded) == 0 {
		return fieldf("recorded", "no blocks")
	}
	if len(taps) != len(recorded) {
		return fieldf("tap_V", "%d taps for %d blocks", len(taps), len(recorded))
	}
	for i, tap := range taps {
		if !tap.Given() {
			return fieldf(fmt.Sprintf("tap_V[%d]", i), "is missing")
		}
	}
	seen := map[string]bool{}
	for i, block := range recorded {
		place := fmt.Sprintf("recorded[%d]", i)
		switch {
		case block.ID == "":
			return fieldf(place+".id", "is missing")
		case seen[block.ID]:
			return fieldf(place+".id", "%q stands twice", block.ID)
		case !block.OCV.Given():
			return fieldf(place+".ocv_V", "is missing")
		}
		seen[block.ID] = true
	}
	if !tol.Given() || tol.Sign() < 0 {
		return fieldf("tol_V", "must be zero or more")
	}
	return nil
}
