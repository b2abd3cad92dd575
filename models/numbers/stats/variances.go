package stats

import (
	"fmt"
	"math"
)

// VarianceTests compare the spread of groups.
type VarianceTests struct {
	// Bartlett is for normal values and mistakes long tails for unequal spread.
	Bartlett, BartlettDF, BartlettP float64
	// Levene is the analysis of variance of |x - group median|, which holds for
	// other shapes (Brown and Forsythe, Journal of the American Statistical
	// Association 69, 1974).
	Levene, LeveneP float64
}

// VarianceTestsOf compares at least two groups of two values or more, none of
// them all equal. Bartlett's statistic, chi-square with k-1 degrees of freedom
// (e-Handbook 1.3.5.7), is
//
//	T = ((N-k) ln s_p^2 - sum((n_i-1) ln s_i^2)) / (1 + (sum(1/(n_i-1)) - 1/(N-k))/(3(k-1)))
//
// and Levene's is F with k-1 and N-k degrees of freedom (1.3.5.10).
func VarianceTestsOf(groups [][]float64) (VarianceTests, error) {
	if err := checkGroups(groups, 2); err != nil {
		return VarianceTests{}, err
	}
	k := float64(len(groups))
	sds := make([]float64, len(groups))
	away := make([][]float64, len(groups))
	var total, squares, reciprocals float64
	for i, group := range groups {
		field := fmt.Sprintf("groups[%d]", i)
		var err error
		if sds[i], err = SD(group); err != nil {
			return VarianceTests{}, about(field, err)
		}
		if allEqual(group) || sds[i] == 0 {
			return VarianceTests{}, about(field, ErrNoSpread)
		}
		middle, err := Median(group)
		if err != nil {
			return VarianceTests{}, about(field, err)
		}
		away[i] = make([]float64, len(group))
		for j, v := range group {
			away[i][j] = math.Abs(v - middle)
		}
		df := float64(len(group) - 1)
		total += df
		squares += df * sds[i] * sds[i]
		reciprocals += 1 / df
	}
	pooled := math.Sqrt(squares / total)
	var t VarianceTests
	for i, group := range groups {
		t.Bartlett -= 2 * float64(len(group)-1) * math.Log(sds[i]/pooled)
	}
	t.Bartlett = max(t.Bartlett/(1+(reciprocals-1/total)/(3*(k-1))), 0)
	t.BartlettDF = k - 1
	if _, err := finite("Bartlett's statistic", t.Bartlett); err != nil {
		return VarianceTests{}, about("groups", err)
	}
	var err error
	if t.BartlettP, err = ChiSquareAbove(t.Bartlett, t.BartlettDF); err != nil {
		return VarianceTests{}, err
	}
	levene, err := OneWay(away)
	if err != nil {
		return VarianceTests{}, fmt.Errorf("distances from the medians: %w", err)
	}
	t.Levene, t.LeveneP = levene.F, levene.P
	return t, nil
}
