package gauge

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

func TestMeanUncertainty(t *testing.T) {
	// 3^2/4 + 2^2 = 6.25; the systematic part stays for any number of readings.
	for _, test := range []struct {
		s, systematic, want float64
		n                   int
	}{{3, 2, 2.5, 4}, {3, 0, 1, 9}, {0, 2, 2, 1}, {3, 2, 2.0000005625, 4_000_000}} {
		u, err := MeanUncertainty(test.s, test.n, test.systematic)
		if err != nil {
			t.Error(err)
		}
		near(t, "u of a mean", u, test.want, 1e-9)
	}
	for _, test := range []struct {
		s, systematic float64
		n             int
		reason        error
		argument      string
	}{
		{-1, 0, 2, stats.ErrOutOfRange, "s"}, {1, -1, 2, stats.ErrOutOfRange, "systematic"}, {1, 1, 0, stats.ErrOutOfRange, "n"},
		{math.NaN(), 0, 2, stats.ErrNotFinite, "s"}, {1, math.Inf(1), 2, stats.ErrNotFinite, "systematic"},
	} {
		_, err := MeanUncertainty(test.s, test.n, test.systematic)
		refuses(t, err, test.reason, test.argument)
	}
}

// A voltage of 12 V over 3 A and so on, by hand from the laws in the comments.
func TestPropagation(t *testing.T) {
	a, b := Quantity{12, 0.3}, Quantity{3, 0.1}
	for _, test := range []struct {
		name        string
		of          func(a, b Quantity, r float64) (Quantity, error)
		a, b        Quantity
		correlation float64
		value, u    float64
	}{
		{"ratio", Ratio, a, b, 0, 4, 4 * math.Sqrt(0.025*0.025+1./900)},
		{"ratio, correlated", Ratio, a, b, 0.5, 4, 4 * math.Sqrt(0.025*0.025+1./900-2*0.5*0.025/30)},
		{"ratio, the same relative error in both", Ratio, a, Quantity{3, 0.075}, 1, 4, 0},
		{"ratio of nothing", Ratio, Quantity{0, 0.3}, b, 0.7, 0, 0.1},
		{"ratio of opposite signs, the same error in both", Ratio, a, Quantity{-3, 0.075}, -1, -4, 0},
		{"product", Product, a, b, 0, 36, 36 * math.Sqrt(0.025*0.025+1./900)},
		{"product, opposite errors", Product, a, Quantity{3, 0.075}, -1, 36, 0},
		{"sum", Sum, a, b, 0, 15, math.Sqrt(0.1)},
		{"sum of one instrument", Sum, a, b, 1, 15, 0.4},
		{"difference of one instrument", Difference, a, b, 1, 9, 0.2},
		{"difference", Difference, a, b, 0, 9, math.Sqrt(0.1)},
	} {
		t.Run(test.name, func(t *testing.T) {
			q, err := test.of(test.a, test.b, test.correlation)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "value", q.Value, test.value, 1e-12)
			near(t, "u", q.U, test.u, 1e-9)
		})
	}
	for _, test := range []struct {
		a, b     Quantity
		r        float64
		reason   error
		argument string
	}{
		{a, Quantity{0, 1}, 0, stats.ErrOutOfRange, "b"},
		{a, b, 1.01, stats.ErrOutOfRange, "correlation"},
		{a, b, math.NaN(), stats.ErrNotFinite, "correlation"},
		{Quantity{1, -1}, b, 0, stats.ErrOutOfRange, "uncertainty of a"},
		{a, Quantity{1, math.NaN()}, 0, stats.ErrNotFinite, "uncertainty of b"},
		{Quantity{math.MaxFloat64, 1}, Quantity{0.1, 0}, 0, stats.ErrNotFinite, "a, b"},
	} {
		_, err := Ratio(test.a, test.b, test.r)
		refuses(t, err, test.reason, test.argument)
	}
}

// The first-order law against readings drawn by chance (JCGM 101:2008, 7): within
// four standard errors of 20 000 draws where the uncertainties are small.
func TestRatioAgainstDraws(t *testing.T) {
	chance := stats.NewRandom(5)
	for _, r := range []float64{0, 0.9, -0.6} {
		a, b := Quantity{620, 2}, Quantity{1080, 4}
		q, err := Ratio(a, b, r)
		if err != nil {
			t.Fatal(err)
		}
		draws := make([]float64, 20_000)
		for i := range draws {
			x, y := chance.Normal(), chance.Normal()
			draws[i] = (a.Value + a.U*x) / (b.Value + b.U*(r*x+math.Sqrt(1-r*r)*y))
		}
		sd, err := stats.SD(draws)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "u of a ratio", q.U, sd, 4*sd/math.Sqrt(2*20_000))
	}
}

// A ratio does not depend on the unit of its parts, and its uncertainty grows
// with each of theirs when they are independent.
func TestRatioProperties(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		draw := func(name string) Quantity {
			return Quantity{rapid.Float64Range(1, 1e4).Draw(r, name), rapid.Float64Range(0, 10).Draw(r, "u of "+name)}
		}
		a, b, correlation := draw("a"), draw("b"), rapid.Float64Range(-1, 1).Draw(r, "correlation")
		q, err := Ratio(a, b, correlation)
		if err != nil {
			r.Fatal(err)
		}
		scaled, err := Ratio(Quantity{8 * a.Value, 8 * a.U}, Quantity{8 * b.Value, 8 * b.U}, correlation)
		if err != nil || scaled != q {
			r.Fatalf("in another unit %v, %v; first %v", scaled, err, q)
		}
		apart, err := Ratio(a, b, 0)
		if err != nil {
			r.Fatal(err)
		}
		more, err := Ratio(Quantity{a.Value, a.U + 1}, b, 0)
		if err != nil || more.U <= apart.U {
			r.Fatalf("a less sure gives %v, %v; before %v", more, err, apart)
		}
	})
}

func TestMeanOf(t *testing.T) {
	one, err := MeanOf([]float64{0.21})
	if err != nil || one.SpreadKnown || one.DoF != 0 || one.Value != 0.21 {
		t.Errorf("one reading: %+v, %v", one, err)
	}
	same, err := MeanOf([]float64{0.21, 0.21, 0.21})
	if err != nil || !same.SpreadKnown || same.U != 0 {
		t.Errorf("readings that never differ: %+v, %v", same, err)
	}
	_, err = MeanOf(nil)
	refuses(t, err, stats.ErrTooFew, "readings")
	_, err = MeanOf([]float64{1, math.NaN()})
	refuses(t, err, stats.ErrNotFinite, "readings")
}
