package stats

import (
	"fmt"
	"math"
	"slices"
)

// Adjusted is how much values change with x once other factors are allowed for.
type Adjusted struct {
	Estimate, SE float64
	// DF is that of the interval: the number of days that the estimate really
	// rests on, less one.
	DF float64
	Interval
}

const mostSweeps = 200

// AdjustedDifference estimates b in
//
//	y = b x + one constant for each value of each factor + error,
//
// by least squares: y and x are freed of the factors, by turns until nothing
// changes (Frisch and Waugh, Econometrica 1, 1933; Lovell, Journal of the American
// Statistical Association 58, 1963), and b = sum(x y)/sum(x^2) of what is left. x
// of 0 and 1 gives the difference between two kinds of values.
//
// Errors of a day may resemble each other. The standard error is that of
// clusters (Liang and Zeger, Biometrika 73, 1986),
//
//	SE^2 = G/(G-1) sum over days of (sum over the day of x e)^2 / (sum x^2)^2,
//
// with G days, and t has the effective number of days (Carter, Schnepel and
// Steigerwald, Review of Economics and Statistics 99, 2017), here with equal
// errors, (sum a)^2/sum a^2 with a the sum of x^2 over a day, less one.
//
// Fewer than three effective days are too few.
func AdjustedDifference(y, x []float64, day []int, confidence float64, factors ...[]int) (Adjusted, error) {
	if err := checkOpen("confidence", confidence); err != nil {
		return Adjusted{}, err
	}
	for name, list := range map[string][]float64{"y": y, "x": x} {
		if err := Check(list, 3); err != nil {
			return Adjusted{}, about(name, err)
		}
	}
	if len(x) != len(y) || len(day) != len(y) {
		return Adjusted{}, outside("x", len(x), "must be as many as y")
	}
	freeY, err := Freed(y, factors...)
	if err != nil {
		return Adjusted{}, about("y", err)
	}
	freeX, err := Freed(x, factors...)
	if err != nil {
		return Adjusted{}, about("x", err)
	}
	var squares, products float64
	for i, v := range freeX {
		squares += v * v
		products += v * freeY[i]
	}
	if !(squares > 1e-9*float64(len(x))) {
		return Adjusted{}, about("x", fmt.Errorf("nothing of it is left beside the factors: %w", ErrNoSpread))
	}
	a := Adjusted{Estimate: products / squares}
	scores, rests := map[int]float64{}, map[int]float64{}
	for i, v := range freeX {
		scores[day[i]] += v * (freeY[i] - a.Estimate*v)
		rests[day[i]] += v * v
	}
	var meat, sum, sumSquares float64
	for d, s := range scores {
		meat += s * s
		sum += rests[d]
		sumSquares += rests[d] * rests[d]
	}
	days := float64(len(scores))
	a.DF = sum*sum/sumSquares - 1
	if days < 3 || a.DF < 2 {
		return Adjusted{}, about("day", fmt.Errorf("%.1f effective days: %w", a.DF+1, ErrTooFew))
	}
	a.SE = math.Sqrt(days/(days-1)*meat) / squares
	t, err := TQuantile((1+confidence)/2, a.DF)
	if err != nil {
		return Adjusted{}, err
	}
	a.Low, a.High = a.Estimate-t*a.SE, a.Estimate+t*a.SE
	_, err = finite("standard error", a.SE)
	return a, err
}

// timesDrawnIn is how often the residuals of [RobustDifference] are drawn in.
const timesDrawnIn = 4

// RobustDifference is [AdjustedDifference] with the residuals that lie far out
// drawn in, by [DrawnIn], and the estimate found again from what results, a few
// times over (Huber, Robust Statistics, 1981, 7.8), so that a few wild values do
// not make it. A group that differs as a whole is not drawn in.
func RobustDifference(y, x []float64, day []int, confidence float64, factors ...[]int) (Adjusted, error) {
	a, err := AdjustedDifference(y, x, day, confidence, factors...)
	if err != nil {
		return a, err
	}
	freeX, err := Freed(x, factors...)
	if err != nil {
		return a, err
	}
	y = slices.Clone(y)
	for range timesDrawnIn {
		rest, err := Freed(y, factors...)
		if err != nil {
			return a, err
		}
		for i := range rest {
			rest[i] -= a.Estimate * freeX[i]
		}
		for i, e := range DrawnIn(rest) {
			y[i] += e - rest[i]
		}
		if a, err = AdjustedDifference(y, x, day, confidence, factors...); err != nil {
			return a, err
		}
	}
	return a, nil
}

// DrawnIn draws values that lie far out in to where far begins, at 3.5 robust
// standard deviations (1.4826 times the median distance from the median: Hampel,
// Journal of the American Statistical Association 69, 1974). Values of which half
// are the same have no such deviation and stay as they are.
func DrawnIn(values []float64) []float64 {
	middle, err := Median(values)
	if err != nil {
		return values
	}
	away := make([]float64, len(values))
	for i, v := range values {
		away[i] = math.Abs(v - middle)
	}
	spread, err := Median(away)
	if err != nil || spread == 0 {
		return values
	}
	out, far := slices.Clone(values), 3.5*1.4826*spread
	for i, v := range out {
		out[i] = min(max(v, middle-far), middle+far)
	}
	return out
}

// Freed takes from each value the constants of its factors, with the mean of all:
// what is left has mean 0 within each value of each factor, as near as rounding
// lets it. One factor takes one turn, several go by turns.
func Freed(values []float64, factors ...[]int) ([]float64, error) {
	mean, err := Mean(values)
	if err != nil {
		return nil, err
	}
	free := make([]float64, len(values))
	scale := 0.
	for i, v := range values {
		free[i] = v - mean
		scale = max(scale, math.Abs(free[i]))
	}
	for range mostSweeps {
		moved := 0.
		for _, f := range factors {
			if len(f) != len(values) {
				return nil, outside("factors", len(f), "must be as many as the values")
			}
			sums, counts := map[int]float64{}, map[int]float64{}
			for i, k := range f {
				sums[k] += free[i]
				counts[k]++
			}
			for i, k := range f {
				off := sums[k] / counts[k]
				free[i] -= off
				moved = max(moved, math.Abs(off))
			}
		}
		if len(factors) < 2 || moved <= 1e-12*scale {
			break
		}
	}
	return free, nil
}
