package stats

import (
	"fmt"
	"math"
)

// Yield is a share of good with its 95 % interval.
type Yield struct {
	Estimate  float64
	Low, High float64
}

// RolledYield is the share of items that would pass every check at once if the
// checks failed independently of each other: the product of 1 - failed[i]/of over
// the checks. Of several checks that tend to fail together it lies below the share
// that did pass them all.
//
// The interval recovers variances (MOVER; Zou and Donner, Statistics in Medicine
// 27, 2008): each -ln(1 - p) has the limits that follow from the Wilson interval of
// its p, and their sum lies as far from its own limits as the root of the squared
// distances added up. It takes the checks as independent and is about 95 %. A check
// at which everything failed makes the yield 0, with the lowest limit 0 too.
func RolledYield(failed []int, of int) (Yield, error) {
	if of < 1 {
		return Yield{}, outside("of", of, "must be 1 or more")
	}
	var sum, below, above float64
	for i, k := range failed {
		if k < 0 || k > of {
			return Yield{}, outside(fmt.Sprintf("failed[%d]", i), k, fmt.Sprintf("must be from 0 to %d", of))
		}
		share, err := ProportionIntervalsOf(k, of, 0.95)
		if err != nil {
			return Yield{}, err
		}
		loss := -math.Log1p(-share.Estimate) // Infinite where everything failed.
		sum += loss
		low, high := -math.Log1p(-share.Wilson.Low), -math.Log1p(-share.Wilson.High)
		if math.IsInf(loss, 1) {
			continue
		}
		below += (loss - low) * (loss - low)
		above += (high - loss) * (high - loss)
	}
	if math.IsInf(sum, 1) {
		return Yield{High: allFailed(failed, of)}, nil
	}
	return Yield{Estimate: math.Exp(-sum), Low: math.Exp(-(sum + math.Sqrt(above))), High: math.Exp(-max(0, sum-math.Sqrt(below)))}, nil
}

// allFailed is the upper limit where one check failed every time: that of the share
// that passes this check alone.
func allFailed(failed []int, of int) float64 {
	high := 1.
	for _, k := range failed {
		if share, err := ProportionIntervalsOf(k, of, 0.95); err == nil && k == of {
			high = min(high, 1-share.Wilson.Low)
		}
	}
	return high
}

// FewestForSum is the least number of amounts whose sum gets an interval.
const FewestForSum = 5

// SumInterval is the 95 % interval of a sum of amounts that come one by one, as many
// as chance brings (a compound Poisson process): the variance of the sum is the sum
// of the squares, and the interval the sum +- 1.96 times its root, cut at 0
// (Feller, An Introduction to Probability Theory, vol. 2, VI.4). It rests on the
// normal distribution and wants FewestForSum amounts.
func SumInterval(sum, squares float64, n int) (Interval, error) {
	if n < FewestForSum {
		return Interval{}, about("n", fmt.Errorf("%d amounts where %d are needed: %w", n, FewestForSum, ErrTooFew))
	}
	if _, err := finite("sum", sum); err != nil {
		return Interval{}, err
	}
	if _, err := finite("squares", squares); err != nil || squares < 0 {
		return Interval{}, about("squares", ErrOutOfRange)
	}
	half := -normalAt(0.025, 0.975) * math.Sqrt(squares)
	return Interval{Low: max(0, sum-half), High: sum + half}, nil
}
