package stats

import (
	"fmt"
	"math"
)

// Anova is a one-way analysis of variance.
type Anova struct {
	N, Groups                                   int
	Mean                                        float64 // Of all values.
	Means                                       []float64
	DFBetween, DFWithin                         float64
	SSBetween, SSWithin, SSTotal                float64
	MSBetween, MSWithin                         float64
	F, P, RSquared, ResidualSD                  float64
	BetweenVariance, BetweenVarianceAsEstimated float64

	perGroup float64 // n0
}

// OneWay compares the means of at least two groups with one value or more each,
// more values than groups, that vary within the groups (e-Handbook 7.4.3.3).
//
//	SS between = sum(n_i (mean_i - mean)^2), SS within = sum of squares about the group means
//
// F is the ratio of the mean squares and P the chance of a larger one among
// groups that do not differ. BetweenVariance is the component of the groups when
// they are a sample of many, (MS between - MS within)/n0 with n0 =
// (N - sum(n_i^2)/N)/(k-1), not below 0; BetweenVarianceAsEstimated may be.
//
// All sums are taken about the first value, so that a large common part costs no
// digits.
func OneWay(groups [][]float64) (Anova, error) {
	if err := checkGroups(groups, 1); err != nil {
		return Anova{}, err
	}
	origin := groups[0][0]
	a := Anova{Groups: len(groups), Means: make([]float64, len(groups))}
	sums, within := make([]float64, len(groups)), make([]float64, len(groups))
	var squaredSizes float64
	for i, group := range groups {
		moved := make([]float64, len(group))
		for j, v := range group {
			moved[j] = v - origin
		}
		n := float64(len(group))
		sums[i] = Sum(moved)
		a.Means[i] = sums[i] / n
		squares, err := sumOfSquares(moved)
		if err != nil {
			return Anova{}, about(fmt.Sprintf("groups[%d]", i), err)
		}
		within[i] = squares
		a.N += len(group)
		squaredSizes += n * n
	}
	total, k := float64(a.N), float64(len(groups))
	a.Mean = Sum(sums) / total
	between := make([]float64, len(groups))
	for i, group := range groups {
		d := a.Means[i] - a.Mean
		between[i] = float64(len(group)) * d * d
		a.Means[i] += origin
	}
	a.Mean += origin
	a.SSBetween, a.SSWithin = Sum(between), Sum(within)
	a.SSTotal = a.SSBetween + a.SSWithin
	a.DFBetween, a.DFWithin = k-1, total-k
	if a.DFWithin < 1 {
		return Anova{}, about("groups", fmt.Errorf("one value in each: %w", ErrTooFew))
	}
	if a.SSWithin == 0 {
		return Anova{}, about("groups", fmt.Errorf("within each group %w", ErrNoSpread))
	}
	a.MSBetween, a.MSWithin = a.SSBetween/a.DFBetween, a.SSWithin/a.DFWithin
	a.F, a.RSquared, a.ResidualSD = a.MSBetween/a.MSWithin, a.SSBetween/a.SSTotal, math.Sqrt(a.MSWithin)
	a.perGroup = (total - squaredSizes/total) / (k - 1)
	a.BetweenVarianceAsEstimated = (a.MSBetween - a.MSWithin) / a.perGroup
	a.BetweenVariance = max(a.BetweenVarianceAsEstimated, 0)
	for _, v := range []float64{a.SSTotal, a.F, a.RSquared, a.Mean} {
		if _, err := finite("analysis of variance", v); err != nil {
			return Anova{}, about("groups", err)
		}
	}
	var err error
	a.P, err = FAbove(a.F, a.DFBetween, a.DFWithin)
	return a, err
}

// ShareBetween is the interval of the share of the variance that lies between the
// groups, as a sample of many, in that between and within:
//
//	(F/f - 1) / (F/f - 1 + n0),  f the quantiles of F with (1 +- confidence)/2 below them,
//
// not below 0 (Searle, Casella and McCulloch, Variance Components, 1992, 3.6). It is
// exact for groups of one size, and close for others.
func (a Anova) ShareBetween(confidence float64) (Interval, error) {
	if err := checkOpen("confidence", confidence); err != nil {
		return Interval{}, err
	}
	var ends [2]float64
	for i, p := range []float64{(1 + confidence) / 2, (1 - confidence) / 2} {
		f, err := FQuantile(p, a.DFBetween, a.DFWithin)
		if err != nil {
			return Interval{}, about("confidence", err)
		}
		more := a.F/f - 1
		ends[i] = max(0, more/(more+a.perGroup))
		if math.IsInf(more, 1) {
			ends[i] = 1
		}
	}
	return Interval{Low: ends[0], High: ends[1]}, nil
}

// MostGroups bounds how many groups are compared.
const MostGroups = 10_000

// checkGroups wants two groups or more of at least least finite values each.
func checkGroups(groups [][]float64, least int) error {
	if len(groups) < 2 {
		return about("groups", fmt.Errorf("%d groups where 2 are needed: %w", len(groups), ErrTooFew))
	}
	if len(groups) > MostGroups {
		return outside("groups", len(groups), "groups are more than 10000")
	}
	for i, group := range groups {
		if err := Check(group, least); err != nil {
			return about(fmt.Sprintf("groups[%d]", i), err)
		}
	}
	return nil
}
