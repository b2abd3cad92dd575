package spc

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// An index counts in spreads of the process: neither the unit nor, for shapes
// that may lie anywhere, the origin of the scale changes it.
func TestCapabilityFollowsUnitAndOrigin(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		shape := rapid.SampledFrom(stats.Shapes()).Draw(r, "shape")
		x := rapid.SliceOfN(rapid.Float64Range(0.5, 3), 20, 60).Draw(r, "x")
		x = append(x, 0.4, 3.5)
		low, high := rapid.Float64Range(0.01, 0.6).Draw(r, "low"), rapid.Float64Range(2.5, 9).Draw(r, "high")
		target := rapid.Float64Range(0.7, 2.4).Draw(r, "target")
		unit := math.Exp2(float64(rapid.IntRange(-40, 40).Draw(r, "unit")))
		var shift float64
		if shape == stats.ShapeNormal || shape == stats.ShapeLargestExtreme {
			shift = float64(rapid.IntRange(-100, 100).Draw(r, "shift"))
		}
		ask := func(move func(float64) float64) (CapabilityReport, error) {
			moved := make([]float64, len(x))
			for i, v := range x {
				moved[i] = move(v)
			}
			return Capability(CapabilityQuestion{
				Values: moved, Shape: shape, Control: InControl,
				Tolerance: Tolerance{Low: to(move(low)), High: to(move(high)), Target: to(move(target))},
			})
		}
		a, err := ask(func(v float64) float64 { return v })
		if err != nil {
			return // No power bends the sample.
		}
		b, err := ask(func(v float64) float64 { return unit * (v + shift) })
		if err != nil {
			r.Fatal(err)
		}
		near := func(name string, a, b *Index) {
			if (a == nil) != (b == nil) || a != nil && math.Abs(a.Value-b.Value) > 1e-6*(1+math.Abs(a.Value)) {
				r.Fatalf("%s: %s %+v, in another unit %+v", shape, name, a, b)
			}
		}
		near("Pp", a.Pp, b.Pp)
		near("Ppk", &a.Ppk, &b.Ppk)
		near("Cpm", a.Cpm, b.Cpm)
		if a.Outside.Below != b.Outside.Below || a.Outside.Above != b.Outside.Above {
			r.Fatalf("outside %+v, in another unit %+v", a.Outside, b.Outside)
		}
	})
}

// The percentiles of a normal distribution are three standard deviations away,
// so that both ways give the same indices; and Ppk is never above Pp.
func TestPercentilesOfTheNormalAreTheUsualOnes(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		mean, sd := rapid.Float64Range(-50, 50).Draw(r, "mean"), rapid.Float64Range(0.01, 20).Draw(r, "sd")
		low := rapid.Float64Range(-100, 90).Draw(r, "low")
		tolerance := Tolerance{Low: to(low), High: to(low + rapid.Float64Range(0.1, 150).Draw(r, "width"))}
		d, err := stats.NewDistribution(stats.ShapeNormal, mean, sd)
		if err != nil {
			r.Fatal(err)
		}
		p, err := PercentileCapability(d, tolerance)
		if err != nil {
			r.Fatal(err)
		}
		c, err := NormalCapabilityOf(NormalProcess{Mean: mean, SD: sd, N: 30}, tolerance, 0.9)
		if err != nil {
			r.Fatal(err)
		}
		for _, pair := range [][2]float64{{*p.Pp, c.Cp.Value}, {*p.PpkLow, *c.CpkLow}, {*p.PpkHigh, *c.CpkHigh}, {p.Ppk, c.Cpk.Value}} {
			if math.Abs(pair[0]-pair[1]) > 1e-8*(1+math.Abs(pair[1])) {
				r.Fatalf("%+v by percentiles, %+v by the usual formulas", p, c)
			}
		}
		if c.Cpk.Value > c.Cp.Value*(1+1e-12) || c.CpkAtLeast > c.Cpk.Value || c.Cpk.Interval.Low > c.CpkAtLeast {
			r.Fatalf("out of order: %+v", c)
		}
		if c.Cp.Interval.Low > c.Cp.Value || c.Cp.Interval.High < c.Cp.Value {
			r.Fatalf("Cp %+v outside its interval", c.Cp)
		}
	})
}

// The interval of Ppk by percentiles holds the true index in about 95 % of
// samples of 200: between 92 and 98 %, which is 3 standard errors of 400 samples
// and one point for the nearness of a normal law. For a half-normal it is known
// to be less, about 90 %.
func TestPercentileIntervalsHoldTheTruth(t *testing.T) {
	tests := []struct {
		name       string
		shape      stats.Shape
		parameters []float64
		low, high  *float64
		draw       func(*rand.Rand) float64
	}{
		{"Weibull", stats.ShapeWeibull, []float64{1.8, 0.22}, nil, to(0.7), func(r *rand.Rand) float64 { return 0.22 * math.Pow(r.ExpFloat64(), 1/1.8) }},
		{"lognormal", stats.ShapeLognormal, []float64{-1.6, 0.35}, to(0.05), to(0.7), func(r *rand.Rand) float64 { return math.Exp(-1.6 + 0.35*r.NormFloat64()) }},
		{"Rayleigh", stats.ShapeRayleigh, []float64{0.1}, nil, to(0.4), func(r *rand.Rand) float64 { return 0.1 * math.Hypot(r.NormFloat64(), r.NormFloat64()) }},
		{"largest extreme value", stats.ShapeLargestExtreme, []float64{5, 0.7}, to(3), to(12), func(r *rand.Rand) float64 { return 5 - 0.7*math.Log(r.ExpFloat64()) }},
		{"gamma", stats.ShapeGamma, []float64{2, 1}, nil, to(10), func(r *rand.Rand) float64 { return r.ExpFloat64() + r.ExpFloat64() }},
		{"half-normal", stats.ShapeFoldedNormal, []float64{0, 0.15}, nil, to(0.5), func(r *rand.Rand) float64 { return math.Abs(0.15 * r.NormFloat64()) }},
		{"folded normal", stats.ShapeFoldedNormal, []float64{0.2, 0.1}, nil, to(0.6), func(r *rand.Rand) float64 { return math.Abs(0.2 + 0.1*r.NormFloat64()) }},
		{"exponential", stats.ShapeExponential, []float64{2.5}, nil, to(15), func(r *rand.Rand) float64 { return 2.5 * r.ExpFloat64() }},
		{"Box-Cox", stats.ShapeBoxCox, []float64{0.5, 1, 0.3}, nil, to(5), func(r *rand.Rand) float64 { return math.Pow(1.5+0.15*r.NormFloat64(), 2) }},
	}
	const samples = 400
	for i, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			tolerance := Tolerance{Low: test.low, High: test.high}
			d, err := stats.NewDistribution(test.shape, test.parameters...)
			if err != nil {
				t.Fatal(err)
			}
			truth, err := PercentileCapability(d, tolerance)
			if err != nil {
				t.Fatal(err)
			}
			held := 0
			for sample := range samples {
				x := seeded(200, uint64(1000*i+sample), test.draw)
				report, err := Capability(CapabilityQuestion{Values: x, Tolerance: tolerance, Control: InControl, Shape: test.shape})
				if err != nil {
					t.Fatal(err)
				}
				if in := report.Ppk.Interval; in != nil && in.Low <= truth.Ppk && truth.Ppk <= in.High {
					held++
				}
			}
			least := 0.92
			if test.name == "half-normal" {
				least = 0.86
			}
			if share := float64(held) / samples; share < least || share > 0.98 {
				t.Errorf("%.3f of the intervals hold %v", share, truth.Ppk)
			}
		})
	}
}
