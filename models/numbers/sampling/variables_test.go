package sampling

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// Every constant of MIL-STD-414, letters B to I, with the probability of
// acceptance at its AQL as integrated elsewhere, four decimals.
func TestFactorsOfMilStd414(t *testing.T) {
	for _, row := range table(t, "milstd414_k.csv") {
		plan := Variables{whole(t, row[1]), number(t, row[3])}
		pa, err := plan.Characteristic(number(t, row[2]) / 100)
		apart(t, row[0]+" at "+row[2], pa, err, number(t, row[4]), 0.00005001)
	}
}

// The non-central t of gonum, another algorithm, where it does not underflow.
func TestCharacteristicAgainstNoncentralT(t *testing.T) {
	for _, plan := range []Variables{{2, 0.5}, {3, 1.12}, {5, 1.53}, {10, 0}, {10, -0.4}, {25, 1.85}, {60, 2.5}, {150, 1.7}} {
		for _, p := range []float64{1e-6, 0.001, 0.02, 0.1, 0.5, 0.8} {
			root := math.Sqrt(float64(plan.Size))
			other := distuv.NoncentralT{Nu: float64(plan.Size - 1), Mu: -distuv.UnitNormal.Quantile(p) * root}
			got, err := plan.Characteristic(p)
			apart(t, "characteristic", got, err, 1-other.CDF(plan.Factor*root), 1e-9)
		}
	}
}

// Closed forms. Of two values with k = 0 the mean has to be inside:
// Phi(z sqrt(2)), and so at any size.
func TestCharacteristicInClosedForm(t *testing.T) {
	for _, n := range []int{2, 3, 50, MaxMeasured} {
		for _, p := range []float64{1e-300, 1e-5, 0.3, 0.5, 0.9} {
			got, err := Variables{n, 0}.Characteristic(p)
			z := -distuv.UnitNormal.Quantile(p)
			apart(t, "k = 0", got, err, distuv.UnitNormal.CDF(z*math.Sqrt(float64(n))), 1e-10)
		}
	}
	// Two values, half of all beyond the limit: the mean over s is
	// P(z > k s sqrt(2)) of two normal values, an angle: atan(1/(k sqrt(2)))/pi.
	for _, k := range []float64{0.1, 1, 7, 99} {
		got, err := Variables{2, k}.Characteristic(0.5)
		apart(t, "two values", got, err, math.Atan(1/(k*math.Sqrt2))/math.Pi, 1e-10)
	}
}

// A seeded simulation: lots of known quality are accepted as often as computed.
func TestCharacteristicBySimulation(t *testing.T) {
	const lots = 40_000
	random := rand.New(rand.NewPCG(414, 1957))
	high := 0.
	for _, plan := range []Variables{{5, 1.53}, {15, 1.79}} {
		for _, p := range []float64{0.01, 0.05, 0.15} {
			mean := distuv.UnitNormal.Quantile(p)
			accepted := 0
			x := make([]float64, plan.Size)
			for range lots {
				for i := range x {
					x[i] = mean + random.NormFloat64()
				}
				d, err := AcceptByK(x, Limits{High: &high}, plan.Factor)
				if err != nil {
					t.Fatal(err)
				}
				if d.Accept {
					accepted++
				}
			}
			want, err := plan.Characteristic(p)
			apart(t, "accepted", float64(accepted)/lots, err, want, 3.5*math.Sqrt(want*(1-want)/lots))
		}
	}
}

// The estimate of the fraction beyond a limit has no bias.
func TestNonconformingIsUnbiased(t *testing.T) {
	const samples = 40_000
	random := rand.New(rand.NewPCG(50, 1955))
	high := 0.
	for _, n := range []int{3, 4, 5, 20} {
		const p = 0.08
		mean := distuv.UnitNormal.Quantile(p)
		estimates, x := make([]float64, samples), make([]float64, n)
		for i := range estimates {
			for j := range x {
				x[j] = mean + random.NormFloat64()
			}
			d, err := AcceptByM(x, Limits{High: &high}, 0.5)
			if err != nil {
				t.Fatal(err)
			}
			estimates[i] = d.Total
		}
		average, err := stats.Mean(estimates)
		sd, errSD := stats.SD(estimates)
		if errSD != nil {
			t.Fatal(errSD)
		}
		apart(t, "average estimate", average, err, p, 3.5*sd/math.Sqrt(samples))
	}
}

// For n = 4 the beta distribution is the uniform one: p = 1/2 - Q/3. For n = 3 it
// is the arcsine.
func TestNonconformingInClosedForm(t *testing.T) {
	for _, q := range []float64{-2, -1, -0.3, 0, 0.4, 1, 1.1, 5} {
		got, err := Nonconforming(q, 4)
		apart(t, "n = 4", got, err, min(max(0.5-q/3, 0), 1), 1e-14)
		got, err = Nonconforming(q, 3)
		x := min(max(0.5-q*math.Sqrt(3)/4, 0), 1)
		apart(t, "n = 3", got, err, 2/math.Pi*math.Asin(math.Sqrt(x)), 1e-13)
	}
}

// With one limit, k and M are two forms of one rule.
func TestFormsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-100, 100), 3, 40).Draw(t, "x")
		if spread := slices.Max(x) - slices.Min(x); spread < 1e-6 {
			t.Skip("no spread")
		}
		k := rapid.Float64Range(-0.5, 1).Draw(t, "k")
		limit := rapid.Float64Range(-100, 100).Draw(t, "limit")
		limits := Limits{High: &limit}
		if rapid.Bool().Draw(t, "low") {
			limits = Limits{Low: &limit}
		}
		byK, err := AcceptByK(x, limits, k)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(byK.Index-k) < 1e-9 {
			t.Skip("on the line")
		}
		most, err := Nonconforming(k, len(x))
		if err != nil {
			t.Fatal(err)
		}
		byM, err := AcceptByM(x, limits, most)
		if err != nil || most > 0 && most < 1 && byM.Accept != byK.Accept {
			t.Errorf("index %v: by k %v, by M (%v against %v) %v, %v", byK.Index, byK.Accept, byM.Total, most, byM.Accept, err)
		}
	})
}

// More beyond the limit is never accepted more often, nor does a sharper factor
// accept more.
func TestVariablesCharacteristicFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plan := Variables{rapid.IntRange(2, 2000).Draw(t, "n"), rapid.Float64Range(-3, 20).Draw(t, "k")}
		p := rapid.Float64Range(1e-9, 0.999).Draw(t, "p")
		worse := rapid.Float64Range(p, 0.9999).Draw(t, "worse")
		sharper := Variables{plan.Size, plan.Factor + rapid.Float64Range(0, 3).Draw(t, "sharper")}
		a, err := plan.Characteristic(p)
		b, errB := plan.Characteristic(worse)
		c, errC := sharper.Characteristic(p)
		if err != nil || errB != nil || errC != nil || b > a+1e-9 || c > a+1e-9 || a > 1 || b < 0 {
			t.Errorf("%+v: %v at %v, %v at %v, %v by %v; %v, %v, %v", plan, a, p, b, worse, c, sharper.Factor, err, errB, errC)
		}
	})
}

func TestVariablesRefuse(t *testing.T) {
	low, high, nan := 1., 2., math.NaN()
	x := []float64{1.1, 1.2, 1.4}
	byK := func(x []float64, limits Limits, k float64) func() error {
		return func() error { _, err := AcceptByK(x, limits, k); return err }
	}
	byM := func(x []float64, limits Limits, most float64) func() error {
		return func() error { _, err := AcceptByM(x, limits, most); return err }
	}
	for _, test := range []struct {
		name, argument string
		err            error
		call           func() error
	}{
		{"no values", "x", stats.ErrTooFew, byK(nil, Limits{High: &high}, 1)},
		{"one value", "x", stats.ErrTooFew, byK(x[:1], Limits{High: &high}, 1)},
		{"two values for M", "x", stats.ErrTooFew, byM(x[:2], Limits{High: &high}, 0.1)},
		{"all equal", "x", stats.ErrNoSpread, byK([]float64{1, 1, 1}, Limits{High: &high}, 1)},
		{"not a number", "x", stats.ErrNotFinite, byK([]float64{1, nan}, Limits{High: &high}, 1)},
		{"no limits", "lsl, usl", stats.ErrOutOfRange, byM(x, Limits{}, 0.1)},
		{"limits crossed", "lsl", stats.ErrOutOfRange, byM(x, Limits{&high, &low}, 0.1)},
		{"limit not a number", "usl", stats.ErrNotFinite, byM(x, Limits{High: &nan}, 0.1)},
		{"both limits by k", "lsl, usl", stats.ErrOutOfRange, byK(x, Limits{&low, &high}, 1)},
		{"factor not a number", "k", stats.ErrOutOfRange, byK(x, Limits{High: &high}, nan)},
		{"most above all", "M", stats.ErrOutOfRange, byM(x, Limits{High: &high}, 1.1)},
		{"too many values", "x", stats.ErrOutOfRange, byK(make([]float64, MaxMeasured+1), Limits{High: &high}, 1)},
		{"plan of one", "n", stats.ErrOutOfRange, func() error { _, err := Variables{1, 1}.Characteristic(0.1); return err }},
		{"plan of 1e9", "n", stats.ErrOutOfRange, func() error { _, err := Variables{1e9, 1}.Characteristic(0.1); return err }},
		{"nothing beyond", "p", stats.ErrOutOfRange, func() error { _, err := Variables{5, 1}.Characteristic(0); return err }},
		{"estimate from two", "n", stats.ErrOutOfRange, func() error { _, err := Nonconforming(1, 2); return err }},
	} {
		t.Run(test.name, func(t *testing.T) { wantArgument(t, test.call(), test.argument, test.err) })
	}
}

// On the edge is within: of 1, 2, 3 the mean is 2 and the deviation 1, so that Q is 1
// for a limit of 1; and what is expected beyond the limits may be as much as is allowed.
func TestOnTheEdgeIsAccepted(t *testing.T) {
	x, low := []float64{1, 2, 3}, 1.
	byK, err := AcceptByK(x, Limits{Low: &low}, 1)
	if err != nil || byK.Index != 1 || !byK.Accept {
		t.Errorf("by k: %+v, %v", byK, err)
	}
	byM, err := AcceptByM(x, Limits{Low: &low}, 1)
	if err != nil || !(byM.Total > 0 && byM.Total < 1) {
		t.Fatalf("by M: %+v, %v", byM, err)
	}
	if byM, err = AcceptByM(x, Limits{Low: &low}, byM.Total); err != nil || !byM.Accept {
		t.Errorf("as much as is allowed: %+v, %v", byM, err)
	}
	if _, err := AcceptByM(x, Limits{Low: &low, High: &low}, 0.1); err == nil {
		t.Error("limits that are one are taken")
	}
}
