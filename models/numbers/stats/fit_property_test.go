package stats

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawSample makes a sample of positive values with a spread.
func drawSample(r *rapid.T) []float64 {
	x := rapid.SliceOfN(rapid.Float64Range(0.05, 5), 5, 40).Draw(r, "x")
	if slices.Max(x) < 1.2*slices.Min(x) {
		x = append(x, 2*slices.Max(x))
	}
	return x
}

// Counting in another unit scales the distribution and changes nothing else,
// and neither does the order of the values.
func TestFitFollowsTheUnit(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		x := drawSample(r)
		shape := rapid.SampledFrom(Shapes()).Draw(r, "shape")
		unit := math.Exp(rapid.Float64Range(-60, 60).Draw(r, "unit"))
		z := rapid.Float64Range(-3, 3).Draw(r, "z")
		one, err := Fit(shape, x)
		if err != nil {
			return // Some samples have no power that bends them.
		}
		other := make([]float64, len(x))
		for i, v := range x {
			other[len(x)-1-i] = v * unit
		}
		two, err := Fit(shape, other)
		if err != nil {
			r.Fatal(err)
		}
		a, errA := one.QuantileAt(z)
		b, errB := two.QuantileAt(z)
		if (errA == nil) != (errB == nil) || math.Abs(b/unit-a) > 1e-6*(math.Abs(a)+1e-3) {
			r.Fatalf("%s: quantile %v, %v; in the other unit %v, %v", shape, a, errA, b/unit, errB)
		}
	})
}

// A zero moved along the scale moves what lives on the whole line.
func TestFitFollowsTheOrigin(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		x := drawSample(r)
		shape := rapid.SampledFrom([]Shape{ShapeNormal, ShapeLargestExtreme}).Draw(r, "shape")
		shift := rapid.Float64Range(-1000, 1000).Draw(r, "shift")
		one, err := Fit(shape, x)
		if err != nil {
			r.Fatal(err)
		}
		other := make([]float64, len(x))
		for i, v := range x {
			other[i] = v + shift
		}
		two, err := Fit(shape, other)
		if err != nil {
			r.Fatal(err)
		}
		a, b := one.Parameters(), two.Parameters()
		if math.Abs(b[0].Value-shift-a[0].Value) > 1e-9 || math.Abs(b[1].Value-a[1].Value) > 1e-9 {
			r.Fatalf("%s: %v, shifted by %v %v", shape, a, shift, b)
		}
	})
}

// In samples that do come from the shape, 5 % are called doubtful: within 3
// standard errors of 4000 samples of 100 for the shapes whose limits are
// published, between 3 and 7 % for the two whose limits are ours and depend on
// an estimate.
func TestGoodnessFalseAlarms(t *testing.T) {
	const samples, size = 4000, 100
	for i, d := range truths() {
		t.Run(d.name, func(t *testing.T) {
			n := samples
			low, high := 0.05-3*math.Sqrt(0.05*0.95/samples), 0.05+3*math.Sqrt(0.05*0.95/samples)
			switch d.shape {
			case ShapeBoxCox, ShapeFoldedNormal:
				n, low, high = 1000, 0.03, 0.07
			case ShapeGamma, ShapeWeibull, ShapeLargestExtreme:
				// The tables hold for large samples, and their modification for
				// 100 values is good to about half a point.
				low, high = low-0.005, high+0.005
			}
			r := rand.New(rand.NewPCG(5, uint64(i)))
			x := make([]float64, size)
			doubtful := 0
			for range n {
				for j := range x {
					x[j] = d.draw(r)
				}
				fitted, err := Fit(d.shape, x)
				if err != nil {
					t.Fatal(err)
				}
				g, err := fitted.Goodness(x)
				if err != nil {
					t.Fatal(err)
				}
				if g.Doubtful {
					doubtful++
				}
			}
			if rate := float64(doubtful) / float64(n); rate < low || rate > high {
				t.Errorf("%.3f of the samples are doubtful; want %.3f to %.3f", rate, low, high)
			}
		})
	}
}

// A shape that is plainly wrong is doubted.
func TestGoodnessDoubts(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	x := make([]float64, 200)
	for i := range x {
		x[i] = r.ExpFloat64()
	}
	for _, test := range []struct {
		shape    Shape
		doubtful bool
	}{{ShapeNormal, true}, {ShapeRayleigh, true}, {ShapeLargestExtreme, true}, {ShapeExponential, false}, {ShapeWeibull, false}, {ShapeGamma, false}} {
		d, err := Fit(test.shape, x)
		if err != nil {
			t.Fatal(err)
		}
		if g, err := d.Goodness(x); err != nil || g.Doubtful != test.doubtful {
			t.Errorf("exponential values as %s: %+v, %v; want doubtful %t", test.shape, g, err, test.doubtful)
		}
	}
}

func BenchmarkFit(b *testing.B) {
	r := rand.New(rand.NewPCG(3, 3))
	x := make([]float64, 10_000)
	for i := range x {
		x[i] = math.Abs(1 + 0.5*r.NormFloat64())
	}
	for _, shape := range Shapes() {
		b.Run(string(shape), func(b *testing.B) {
			for range b.N {
				if _, err := Fit(shape, x); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
