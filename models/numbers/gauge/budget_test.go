package gauge

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// The end gauge of JCGM 100:2008, H.1.6: uc = 32 nm, nu_eff = 16.7 taken as 16,
// t99(16) = 2.92, U99 = 93 nm, which the guide finds from the rounded 32 nm.
// Inputs as in its table H.1, in nanometres.
func TestEndGauge(t *testing.T) {
	b, err := Combine([]Component{
		{Name: "standard", Shape: Stated, Value: 25, DoF: 18},
		{Name: "difference", Shape: Stated, Value: 9.7, DoF: 25.6},
		{Name: "expansion", Shape: Stated, Value: 2.9, DoF: 50},
		{Name: "temperature", Shape: Stated, Value: 16.6, DoF: 2},
	}, 0.99)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "uc", b.Combined, 32, 0.5)
	near(t, "effective degrees of freedom", b.DoF, 16.7, 0.1)
	near(t, "used", b.DoFUsed, 16, 0)
	near(t, "k", b.K, 2.92, 0.005)
	near(t, "U from the rounded uc", b.K*32, 93, 0.6)
	var share float64
	for _, c := range b.Contributions {
		share += c.Share
	}
	near(t, "shares", share, 1, 1e-12)
}

// JCGM 100:2008, table G.2: t for a fraction p and degrees of freedom, printed
// with two decimals.
func TestCoverage(t *testing.T) {
	// The table heads three columns by 68.27, 95.45 and 99.73 % and means the
	// fractions within one, two and three sigma.
	sigmas := func(k float64) float64 { return math.Erf(k / math.Sqrt2) }
	fractions := []float64{sigmas(1), 0.90, 0.95, sigmas(2), 0.99, sigmas(3)}
	for nu, row := range map[float64][]float64{
		1:           {1.84, 6.31, 12.71, 13.97, 63.66, 235.80},
		2:           {1.32, 2.92, 4.30, 4.53, 9.92, 19.21},
		5:           {1.11, 2.02, 2.57, 2.65, 4.03, 5.51},
		10:          {1.05, 1.81, 2.23, 2.28, 3.17, 3.96},
		20:          {1.03, 1.72, 2.09, 2.13, 2.85, 3.42},
		50:          {1.01, 1.68, 2.01, 2.05, 2.68, 3.16},
		100:         {1.005, 1.660, 1.984, 2.025, 2.626, 3.077},
		math.Inf(1): {1, 1.645, 1.960, 2, 2.576, 3},
	} {
		for i, p := range fractions {
			k, err := Coverage(p, nu)
			if err != nil {
				t.Errorf("p = %v, nu = %v: %v", p, nu, err)
			}
			near(t, "k", k, row[i], 0.0051)
		}
	}
	far, err := Coverage(0.95, 1e300)
	if err != nil {
		t.Error(err)
	}
	near(t, "k for more degrees of freedom than can be told", far, 1.959964, 1e-6)
}

// Each shape by its definition (JCGM 100:2008, 4.2.3, 4.3.3 to 4.3.9, F.2.2.1),
// with a sensitivity of -2.
func TestShapes(t *testing.T) {
	for _, test := range []struct {
		c   Component
		u   float64
		dof float64
	}{
		{Component{Shape: Stated, Value: 6, K: 2}, 3, 0},
		{Component{Shape: Stated, Value: 6}, 6, 0},
		{Component{Shape: Repeats, Value: 6, N: 9}, 2, 8},
		{Component{Shape: Repeats, Value: 6, N: 1, DoF: 40}, 6, 40},
		{Component{Shape: Repeats, Value: 6, N: 4, DoF: 40}, 3, 40},
		{Component{Shape: Resolution, Value: 6}, math.Sqrt(3), 0},
		{Component{Shape: Rectangular, Value: 3}, math.Sqrt(3), 0},
		{Component{Shape: Triangular, Value: 6}, math.Sqrt(6), 0},
		{Component{Shape: UShaped, Value: 2}, math.Sqrt(2), 0},
	} {
		test.c.Sensitivity = -2
		b, err := Combine([]Component{test.c}, 0.95)
		if err != nil {
			t.Errorf("%+v: %v", test.c, err)
			continue
		}
		near(t, string(test.c.Shape), b.Combined, 2*test.u, 1e-12)
		if b.DoFUsed != test.dof || b.Infinite != (test.dof == 0) {
			t.Errorf("%+v: %v degrees of freedom, infinite %t; want %v", test.c, b.DoFUsed, b.Infinite, test.dof)
		}
	}
}

// Effective degrees of freedom that are a whole number stay it: one component
// has its own, for every number.
func TestFloorOfWholeNumbers(t *testing.T) {
	for n := 2; n <= 2000; n++ {
		b, err := Combine([]Component{{Shape: Repeats, Value: 0.1, N: n}}, 0.95)
		if err != nil || b.DoFUsed != float64(n-1) {
			t.Fatalf("%d repeats: %v degrees of freedom, %v", n, b.DoFUsed, err)
		}
	}
}

func TestCombineRefuses(t *testing.T) {
	good := Component{Shape: Stated, Value: 1}
	for _, test := range []struct {
		name     string
		c        Component
		coverage float64
		reason   error
		argument string
	}{
		{"coverage 0", good, 0, stats.ErrOutOfRange, "coverage"},
		{"coverage 1", good, 1, stats.ErrOutOfRange, "coverage"},
		{"coverage NaN", good, math.NaN(), stats.ErrOutOfRange, "coverage"},
		{"unknown shape", Component{Shape: "heap", Value: 1}, 0.95, stats.ErrOutOfRange, "components[0].shape"},
		{"no shape", Component{Value: 1}, 0.95, stats.ErrOutOfRange, "components[0].shape"},
		{"negative value", Component{Shape: Stated, Value: -1}, 0.95, stats.ErrOutOfRange, "components[0].value"},
		{"value NaN", Component{Shape: Stated, Value: math.NaN()}, 0.95, stats.ErrNotFinite, "components[0].value"},
		{"negative k", Component{Shape: Stated, Value: 1, K: -2}, 0.95, stats.ErrOutOfRange, "components[0].k"},
		{"k of a resolution", Component{Shape: Resolution, Value: 1, K: 2}, 0.95, stats.ErrOutOfRange, "components[0].k"},
		{"n of a resolution", Component{Shape: Resolution, Value: 1, N: 2}, 0.95, stats.ErrOutOfRange, "components[0].n"},
		{"no repeats", Component{Shape: Repeats, Value: 1}, 0.95, stats.ErrOutOfRange, "components[0].n"},
		{"one repeat without a pool", Component{Shape: Repeats, Value: 1, N: 1}, 0.95, stats.ErrOutOfRange, "components[0].n"},
		{"negative degrees of freedom", Component{Shape: Stated, Value: 1, DoF: -1}, 0.95, stats.ErrOutOfRange, "components[0].dof"},
		{"half a degree of freedom", Component{Shape: Stated, Value: 1, DoF: 0.5}, 0.95, stats.ErrOutOfRange, "components"},
		{"sensitivity infinite", Component{Shape: Stated, Value: 1, Sensitivity: math.Inf(1)}, 0.95, stats.ErrNotFinite, "components[0].sensitivity"},
		{"nothing uncertain", Component{Shape: Stated}, 0.95, stats.ErrOutOfRange, "components"},
		{"overflow", Component{Shape: Stated, Value: math.MaxFloat64, Sensitivity: 10}, 0.95, stats.ErrNotFinite, "components[0].value"},
		{"overflow when expanded", Component{Shape: Stated, Value: math.MaxFloat64}, 0.95, stats.ErrNotFinite, "coverage"},
	} {
		t.Run(test.name, func(t *testing.T) {
			b, err := Combine([]Component{test.c}, test.coverage)
			if err == nil {
				t.Fatalf("answered %+v", b)
			}
			refuses(t, err, test.reason, test.argument)
		})
	}
	_, err := Combine(nil, 0.95)
	refuses(t, err, stats.ErrOutOfRange, "components")
	for _, nu := range []float64{0, -1, 0.99, math.NaN(), math.Inf(-1)} {
		_, err := Coverage(0.95, nu)
		refuses(t, err, stats.ErrOutOfRange, "degrees of freedom")
	}
}

func drawComponents(r *rapid.T) []Component {
	return rapid.SliceOfN(rapid.Custom(func(r *rapid.T) Component {
		return Component{
			Shape: rapid.SampledFrom([]Shape{Stated, Resolution, Rectangular, Triangular, UShaped}).Draw(r, "shape"),
			Value: rapid.Float64Range(1e-3, 1e3).Draw(r, "value"),
			DoF:   float64(rapid.IntRange(0, 60).Draw(r, "dof")),
		}
	}), 1, 8).Draw(r, "components")
}

// The order of components is of no matter, another unit scales u and U alone,
// one component more never makes the result surer, and the effective degrees of
// freedom lie between the least of the components and their sum.
func TestBudgetProperties(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		components := drawComponents(r)
		b, err := Combine(components, 0.95)
		if err != nil {
			r.Fatal(err)
		}
		shuffled := rapid.Permutation(components).Draw(r, "order")
		o, err := Combine(shuffled, 0.95)
		if err != nil || math.Abs(o.Combined-b.Combined) > 1e-12*b.Combined || math.Abs(o.DoF-b.DoF) > 1e-9*b.DoF {
			r.Fatalf("in another order %+v, %v; first %+v", o, err, b)
		}
		scaled := slices.Clone(components)
		for i := range scaled {
			scaled[i].Value *= 1024 // Exact in binary.
		}
		s, err := Combine(scaled, 0.95)
		if err != nil || s.Combined != 1024*b.Combined || s.K != b.K || s.DoF != b.DoF {
			r.Fatalf("in another unit %+v, %v; first %+v", s, err, b)
		}
		fewer, err := Combine(append(components[1:], Component{Shape: Stated, Value: 1e-9}), 0.95)
		if err != nil || fewer.Combined > b.Combined*(1+1e-9) {
			r.Fatalf("without the first %v, with it %v, %v", fewer.Combined, b.Combined, err)
		}
		if b.Infinite {
			return
		}
		least, sum := math.Inf(1), 0.0
		for _, c := range components {
			if c.DoF == 0 {
				return // Infinitely many beside finite ones: the sum bounds nothing.
			}
			least, sum = min(least, c.DoF), sum+c.DoF
		}
		if b.DoF < least*(1-1e-9) || b.DoF > sum*(1+1e-9) {
			r.Fatalf("%v effective degrees of freedom outside %v to %v", b.DoF, least, sum)
		}
	})
}
