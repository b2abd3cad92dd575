package stats

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// first and second are figures of a distribution: its parameters.
func first(d Distribution) (float64, error)  { return d.Parameters()[0].Value, nil }
func second(d Distribution) (float64, error) { return d.Parameters()[1].Value, nil }

// Standard errors of maximum-likelihood estimates in books (Meeker and Escobar,
// Statistical Methods for Reliability Data; Johnson, Kotz and Balakrishnan): of
// one parameter exactly, of two by the expected information, which a sample of
// 20,000 has to about one in a hundred.
func TestStandardError(t *testing.T) {
	const n = 20_000
	root := math.Sqrt(n)
	r := rand.New(rand.NewPCG(8, 8))
	draws := make([]float64, n)
	for i := range draws {
		draws[i] = r.ExpFloat64()
	}
	mapped := func(f func(float64) float64) []float64 {
		x := make([]float64, n)
		for i, v := range draws {
			x[i] = f(v)
		}
		return x
	}
	gumbel := mapped(func(v float64) float64 { return 5 - 0.7*math.Log(v) })
	weibull := mapped(func(v float64) float64 { return 0.2 * math.Pow(v, 0.5) })
	tests := []struct {
		name   string
		shape  Shape
		x      []float64
		figure func(Distribution) (float64, error)
		want   func(p []Parameter) float64
		within float64
	}{
		{"exponential mean: mean/sqrt(n)", ShapeExponential, draws, first, func(p []Parameter) float64 { return p[0].Value / root }, 1e-5},
		{"Rayleigh sigma: sigma/(2 sqrt(n))", ShapeRayleigh, draws, first, func(p []Parameter) float64 { return p[0].Value / (2 * root) }, 1e-5},
		{"normal mean: sigma/sqrt(n)", ShapeNormal, draws, first, func(p []Parameter) float64 { return p[1].Value / root }, 1e-3},
		{"normal sigma: sigma/sqrt(2n)", ShapeNormal, draws, second, func(p []Parameter) float64 { return p[1].Value / (math.Sqrt2 * root) }, 1e-3},
		{"largest extreme location: 1.0533 scale/sqrt(n)", ShapeLargestExtreme, gumbel, first, func(p []Parameter) float64 { return 1.0533 * p[1].Value / root }, 0.02},
		{"largest extreme scale: 0.7797 scale/sqrt(n)", ShapeLargestExtreme, gumbel, second, func(p []Parameter) float64 { return 0.7797 * p[1].Value / root }, 0.02},
		{"Weibull shape: 0.7797 shape/sqrt(n)", ShapeWeibull, weibull, first, func(p []Parameter) float64 { return 0.7797 * p[0].Value / root }, 0.02},
		{"Weibull scale: 1.0533 scale/(shape sqrt(n))", ShapeWeibull, weibull, second, func(p []Parameter) float64 { return 1.0533 * p[1].Value / (p[0].Value * root) }, 0.02},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			d, err := Fit(test.shape, test.x)
			if err != nil {
				t.Fatal(err)
			}
			got, err := d.StandardError(test.x, test.figure)
			if want := test.want(d.Parameters()); err != nil || math.Abs(got/want-1) > test.within {
				t.Errorf("got %v, %v; want %v", got, err, want)
			}
		})
	}
}

func TestStandardErrorRefuses(t *testing.T) {
	d, err := NewDistribution(ShapeNormal, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	wrong := errors.New("no such figure")
	if _, err := d.StandardError([]float64{-1, 0, 1}, func(Distribution) (float64, error) { return 0, wrong }); !errors.Is(err, wrong) {
		t.Errorf("a figure that fails: %v", err)
	}
	if _, err := d.StandardError([]float64{1}, first); !errors.Is(err, ErrTooFew) {
		t.Errorf("one value: %v", err)
	}
	if _, err := d.StandardError([]float64{1, math.NaN()}, first); !errors.Is(err, ErrNotFinite) {
		t.Errorf("a NaN: %v", err)
	}
	// Values that did not make this distribution and that it cannot hold.
	weibull, err := NewDistribution(ShapeWeibull, 2, 1)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := weibull.StandardError([]float64{-1, -2}, first); !errors.Is(err, ErrUnsettled) {
		t.Errorf("values below 0: %v", err)
	}
	if _, err := (Distribution{}).StandardError([]float64{1, 2}, first); !errors.Is(err, ErrShape) {
		t.Errorf("no shape: %v", err)
	}
}
