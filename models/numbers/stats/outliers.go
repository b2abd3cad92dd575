package stats

import (
	"cmp"
	"math"
	"slices"
)

// Grubbs is the test for one outlier among normal values.
type Grubbs struct {
	// High is (max - mean)/s and Low is (mean - min)/s; G is the larger of them,
	// of the value at Index.
	High, Low, G float64
	Index        int
	Value        float64
	// TwoSided is the critical value of G, OneSided that of High or Low alone
	// where the side was fixed beforehand. Outlier: G is beyond TwoSided.
	TwoSided, OneSided float64
	Outlier            bool
}

// GrubbsOf tests at least 3 values, not all equal, at the level alpha (Grubbs,
// Annals of Mathematical Statistics 21, 1950; e-Handbook 1.3.5.17.1),
//
//	critical = (n-1)/sqrt(n) sqrt(t^2/(n-2+t^2)),
//
// t with alpha/(2n) above it and n-2 degrees of freedom, alpha/n one-sided. Of
// equally extreme values the first is named.
func GrubbsOf(x []float64, alpha float64) (Grubbs, error) {
	if err := checkOpen("alpha", alpha); err != nil {
		return Grubbs{}, err
	}
	z, _, _, err := standardised(x, 3)
	if err != nil {
		return Grubbs{}, about("x", err)
	}
	var g Grubbs
	for i, v := range z {
		g.High, g.Low = max(g.High, v), max(g.Low, -v)
		if math.Abs(v) > g.G {
			g.G, g.Index, g.Value = math.Abs(v), i, x[i]
		}
	}
	n := float64(len(x))
	if g.TwoSided, err = grubbsCritical(n, alpha/(2*n)); err != nil {
		return Grubbs{}, err
	}
	if g.OneSided, err = grubbsCritical(n, alpha/n); err != nil {
		return Grubbs{}, err
	}
	g.Outlier = g.G > g.TwoSided
	return g, nil
}

func grubbsCritical(n, tail float64) (float64, error) {
	if tail == 0 {
		return 0, outside("alpha", tail, "is too small for so many values")
	}
	t, err := TQuantile(tail, n-2)
	if err != nil {
		return 0, err
	}
	return finite("critical value", (n-1)/math.Sqrt(n)*math.Sqrt(t*t/(n-2+t*t)))
}

// MostOutliers is how many outliers can be looked for at once.
const MostOutliers = 100

// ManyOutliers is the generalised test for up to k outliers: the most extreme
// value is taken out, k times.
type ManyOutliers struct {
	Statistics []float64 // |value - mean|/s, of what was left each time.
	Critical   []float64
	Values     []float64 // Taken out, in that order.
	Indexes    []int
	// Count is how many of them are outliers: up to the last statistic beyond its
	// critical value, so that one outlier cannot hide another.
	Count int
}

// ManyOutliersOf looks for up to k outliers, k from 1 to [MostOutliers] and at
// most n-2, at the level alpha (Rosner, Technometrics 25, 1983; e-Handbook
// 1.3.5.17.3),
//
//	critical_i = (n-i) t/sqrt((n-i-1+t^2)(n-i+1)),
//
// t with alpha/(2(n-i+1)) above it and n-i-1 degrees of freedom. The critical
// values are close for 25 values or more, fair from 15.
func ManyOutliersOf(x []float64, k int, alpha float64) (ManyOutliers, error) {
	if err := checkOpen("alpha", alpha); err != nil {
		return ManyOutliers{}, err
	}
	if _, _, _, err := standardised(x, 3); err != nil {
		return ManyOutliers{}, about("x", err)
	}
	if k < 1 || k > min(len(x)-2, MostOutliers) {
		return ManyOutliers{}, outside("k", k, "must be from 1 to 2 less than the number of values, 100 at most")
	}
	// In sorted order the most extreme value is always the first or the last.
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	left := make([]float64, len(x))
	for i, at := range order {
		left[i] = x[at]
	}
	var m ManyOutliers
	for i := 1; i <= k; i++ {
		mean, err := Mean(left)
		if err != nil {
			return ManyOutliers{}, about("x", err)
		}
		sd, err := SD(left)
		if err != nil {
			return ManyOutliers{}, about("x", err)
		}
		statistic, last := 0., len(left)-1
		high := left[last]-mean > mean-left[0]
		at := 0
		if high {
			at = last
		}
		if left[last] > left[0] && sd > 0 {
			statistic = math.Abs(left[at]-mean) / sd
		}
		m.Statistics, m.Values, m.Indexes = append(m.Statistics, statistic), append(m.Values, left[at]), append(m.Indexes, order[at])
		if high {
			left, order = left[:last], order[:last]
		} else {
			left, order = left[1:], order[1:]
		}
		critical, err := rosnerCritical(float64(len(x)), float64(i), alpha)
		if err != nil {
			return ManyOutliers{}, err
		}
		if m.Critical = append(m.Critical, critical); statistic > critical {
			m.Count = i
		}
	}
	return m, nil
}

func rosnerCritical(n, i, alpha float64) (float64, error) {
	tail := alpha / (2 * (n - i + 1))
	if tail == 0 {
		return 0, outside("alpha", alpha, "is too small for so many values")
	}
	t, err := TQuantile(tail, n-i-1)
	if err != nil {
		return 0, err
	}
	// Divided through by t, which may be very large.
	return finite("critical value", (n-i)/math.Sqrt(((n-i-1)/(t*t)+1)*(n-i+1)))
}
