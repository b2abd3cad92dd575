package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// NIST/SEMATECH e-Handbook, 7.2.6.2: the 90th percentile of twelve gauge
// measurements is 95.1981.
func TestQuantileOfTheHandbook(t *testing.T) {
	x := []float64{95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610, 95.1591, 95.1195, 95.1065, 95.0925, 95.1990, 95.1682}
	q, err := Quantile(x, 0.9, QuantileMean)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "90th percentile", q, 95.1981, 5e-5)
}

func TestQuantileByHand(t *testing.T) {
	x := []float64{4, 1, 3, 2}
	for _, test := range []struct {
		p    float64
		rule QuantileRule
		want float64
	}{
		{0.25, QuantileMode, 1.75}, {0.25, QuantileMean, 1.25}, {0.5, QuantileMode, 2.5}, {0.5, QuantileMean, 2.5},
		{0, QuantileMean, 1}, {0.05, QuantileMean, 1}, {1, QuantileMode, 4}, {0.99, QuantileMean, 4},
	} {
		q, err := Quantile(x, test.p, test.rule)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "quantile", q, test.want, 1e-12)
	}
}

func TestQuantilesAreOrdered(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		x := drawGroups(r, 2)[0]
		p, higher := rapid.Float64Range(0, 1).Draw(r, "p"), rapid.Float64Range(0, 1).Draw(r, "higher")
		p, higher = min(p, higher), max(p, higher)
		for _, rule := range []QuantileRule{QuantileMean, QuantileMode} {
			a, errA := Quantile(x, p, rule)
			b, errB := Quantile(x, higher, rule)
			if errA != nil || errB != nil || a > b+1e-12 {
				r.Fatalf("rule %d: %v at %v, %v at %v, %v, %v", rule, a, p, b, higher, errA, errB)
			}
		}
	})
}

func TestPoolByHand(t *testing.T) {
	p, err := Pool([]float64{2, 10}, []float64{1, 2})
	if err != nil || p.Squares != 12 || p.DF != 3 || p.SD != 2 {
		t.Errorf("%+v, %v; want the root of 12/3", p, err)
	}
}

// NIST/SEMATECH e-Handbook, 6.5.4.1: means and covariances as printed.
func TestMeanCovarianceOfTheHandbook(t *testing.T) {
	mean, covariance, err := MeanCovariance([][]float64{{4, 2, 0.60}, {4.2, 2.1, 0.59}, {3.9, 2, 0.58}, {4.3, 2.1, 0.62}, {4.1, 2.2, 0.63}})
	if err != nil {
		t.Fatal(err)
	}
	want := [][]float64{{0.025, 0.0075, 0.00175}, {0.0075, 0.0070, 0.00135}, {0.00175, 0.00135, 0.00043}}
	for j, m := range []float64{4.10, 2.08, 0.604} {
		near(t, "mean", mean[j], m, 1e-12)
		for k := range want[j] {
			near(t, "covariance", covariance[j][k], want[j][k], 1e-12)
		}
	}
}

func TestParetoByHand(t *testing.T) {
	rows, err := Pareto([]Tally{{"W07", 5}, {"W01", 90}, {"P04", 5}})
	if err != nil || len(rows) != 3 {
		t.Fatal(rows, err)
	}
	for i, want := range []struct {
		code       string
		cumulative float64
		overlaps   bool
	}{{"W01", 0.9, false}, {"P04", 0.95, true}, {"W07", 1, false}} {
		near(t, want.code, rows[i].Cumulative, want.cumulative, 1e-12)
		if rows[i].Code != want.code || rows[i].OverlapsNext != want.overlaps {
			t.Errorf("row %d: %+v; want %+v", i, rows[i], want)
		}
	}
}

func TestPowerProfileByHand(t *testing.T) {
	// 1 2 4 are their own mirror about 2 on a log scale, so that the power is 0, and
	// there the squares of the logs about ln 2 are 2 ln^2 2.
	p, err := PowerProfileOf([]float64{1, 2, 4})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "power", p.Lambda, 0, 1e-6)
	near(t, "log-likelihood", p.LogLikelihood, -3*math.Ln2-1.5*math.Log(2*math.Ln2*math.Ln2/3), 1e-9)
	// At power 1 it is that of the values themselves: squares 14/3 about 7/3.
	llf, err := p.At(1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "log-likelihood at 1", llf, -1.5*math.Log(14./9), 1e-9)
	low, high, err := p.Interval(0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "interval is its own mirror", low+high, 0, 1e-5)
	for _, end := range []float64{low, high} {
		if llf, err = p.At(end); err != nil {
			t.Fatal(err)
		}
		near(t, "likelihood lost at the end", 2*(p.LogLikelihood-llf), 3.841459, 1e-5) // Chi-square, 0.95, 1.
	}
}

func TestDescriptionsRefuse(t *testing.T) {
	quantile := func(p float64, rule QuantileRule, x ...float64) func() error {
		return func() error { _, err := Quantile(x, p, rule); return about("x", err) }
	}
	pool := func(squares, df []float64) func() error {
		return func() error { _, err := Pool(squares, df); return err }
	}
	power := func(x ...float64) func() error {
		return func() error { _, err := PowerProfileOf(x); return about("x", err) }
	}
	checkRefusals(t, []refusal{
		{"quantile of nothing", quantile(0.5, QuantileMean), "x", ErrTooFew},
		{"quantile above 1", quantile(1.5, QuantileMean, 1, 2), "p", ErrOutOfRange},
		{"quantile NaN", quantile(math.NaN(), QuantileMean, 1, 2), "p", ErrOutOfRange},
		{"quantile by rule 8", quantile(0.5, 8, 1, 2), "rule", ErrOutOfRange},
		{"pool of nothing", pool(nil, nil), "ss", ErrTooFew},
		{"pool that does not go along", pool([]float64{1, 2}, []float64{1}), "df", ErrOutOfRange},
		{"negative squares", pool([]float64{1, -2}, []float64{1, 1}), "ss[1]", ErrOutOfRange},
		{"no degrees of freedom", pool([]float64{1}, []float64{0}), "df[0]", ErrOutOfRange},
		{"power of two values", power(1, 2), "x", ErrTooFew},
		{"power of equal values", power(2, 2, 2), "x", ErrNoSpread},
	})
}
