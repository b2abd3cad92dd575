package stats

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// ballBearings are revolutions to failure in millions (Lieblein and Zelen,
// Journal of Research NBS 57, 1956, as reprinted in Lawless, Statistical Models
// and Methods for Lifetime Data). Data and estimates from memory.
var ballBearings = []float64{
	17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.40, 51.84, 51.96, 54.12, 55.56, 67.80,
	68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.40,
}

// miceSurvival are weeks of survival of male mice (Gross and Clark, Survival
// Distributions, 1975, as used for the gamma distribution in Lawless). From
// memory.
var miceSurvival = []float64{
	152, 152, 115, 109, 137, 88, 94, 77, 160, 165, 125, 40, 128, 123, 136, 101, 62, 153, 83, 69,
}

func TestFitAgainstPublishedEstimates(t *testing.T) {
	tests := []struct {
		name   string
		shape  Shape
		x      []float64
		want   []float64
		within []float64 // Half a unit of the last printed digit.
	}{
		{"Weibull, ball bearings: 2.10 and 81.9", ShapeWeibull, ballBearings, []float64{2.10, 81.9}, []float64{0.005, 0.05}},
		{"gamma, mice: 8.80 and 12.9", ShapeGamma, miceSurvival, []float64{8.80, 12.9}, []float64{0.005, 0.05}},
		// The likelihood divides by n: 0.522 printed; with n-1 = 22 it is
		// 0.522 sqrt(23/22) = 0.5337.
		{"lognormal, ball bearings: 4.150 and 0.522", ShapeLognormal, ballBearings, []float64{4.150, 0.5337}, []float64{0.0005, 0.0005}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			d, err := Fit(test.shape, test.x)
			if err != nil {
				t.Fatal(err)
			}
			for i, p := range d.Parameters() {
				if math.Abs(p.Value-test.want[i]) > test.within[i] {
					t.Errorf("%s = %v; want %v within %v", p.Name, p.Value, test.want[i], test.within[i])
				}
			}
		})
	}
}

// Estimators with a closed form, worked by hand.
func TestFitClosedForms(t *testing.T) {
	tests := []struct {
		name  string
		shape Shape
		x     []float64
		want  []float64
	}{
		{"normal: mean and s", ShapeNormal, []float64{1, 2, 3, 4, 5}, []float64{3, math.Sqrt(2.5)}},
		{"lognormal: of the logarithms", ShapeLognormal, []float64{1, math.E, math.E * math.E}, []float64{1, 1}},
		{"exponential: the mean, a zero is allowed", ShapeExponential, []float64{0, 1, 2, 5}, []float64{2}},
		{"Rayleigh: root of half the mean square", ShapeRayleigh, []float64{1, 7}, []float64{math.Sqrt(12.5)}},
		// Kurtosis about 0 above 3 leaves no mean: sigma is the root mean square.
		{"folded normal: half-normal", ShapeFoldedNormal, []float64{0, 0, 0, 0, 0, 0, 0, 0, 1, 3}, []float64{0, 1}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			d, err := Fit(test.shape, test.x)
			if err != nil {
				t.Fatal(err)
			}
			for i, p := range d.Parameters() {
				if math.Abs(p.Value-test.want[i]) > 1e-14*(1+math.Abs(test.want[i])) {
					t.Errorf("%s = %v; want %v", p.Name, p.Value, test.want[i])
				}
			}
		})
	}
}

// truth is a distribution and a way to draw from it that does not use this
// package.
type truth struct {
	name  string
	shape Shape
	want  []float64
	draw  func(*rand.Rand) float64
}

func truths() []truth {
	return []truth{
		{"normal", ShapeNormal, []float64{10, 2}, func(r *rand.Rand) float64 { return 10 + 2*r.NormFloat64() }},
		{"lognormal", ShapeLognormal, []float64{-1.6, 0.35}, func(r *rand.Rand) float64 { return math.Exp(-1.6 + 0.35*r.NormFloat64()) }},
		{"Weibull", ShapeWeibull, []float64{1.8, 0.22}, func(r *rand.Rand) float64 { return 0.22 * math.Pow(r.ExpFloat64(), 1/1.8) }},
		{"gamma", ShapeGamma, []float64{3, 0.5}, func(r *rand.Rand) float64 { return 0.5 * (r.ExpFloat64() + r.ExpFloat64() + r.ExpFloat64()) }},
		{"gamma below 1", ShapeGamma, []float64{0.5, 2}, func(r *rand.Rand) float64 { z := r.NormFloat64(); return z * z }},
		{"folded normal", ShapeFoldedNormal, []float64{0.3, 0.12}, func(r *rand.Rand) float64 { return math.Abs(0.3 + 0.12*r.NormFloat64()) }},
		{"Rayleigh", ShapeRayleigh, []float64{0.1}, func(r *rand.Rand) float64 { return 0.1 * math.Hypot(r.NormFloat64(), r.NormFloat64()) }},
		{"largest extreme value", ShapeLargestExtreme, []float64{5, 0.7}, func(r *rand.Rand) float64 { return 5 - 0.7*math.Log(r.ExpFloat64()) }},
		{"exponential", ShapeExponential, []float64{2.5}, func(r *rand.Rand) float64 { return 2.5 * r.ExpFloat64() }},
		// y = 2(sqrt(x) - 1) has mean 1 and sd 0.2; below 0 it would have to be 15 sd away.
		{"Box-Cox", ShapeBoxCox, []float64{0.5, 1, 0.2}, func(r *rand.Rand) float64 { return math.Pow(1+(1+0.2*r.NormFloat64())/2, 2) }},
	}
}

// Over 200 samples of 1000 the estimates lie around the truth within 3 standard
// errors of their mean. Skewed estimators are biased by the order of 1/n, which
// at that size is a tenth of the error allowed.
func TestFitRecoversTheTruth(t *testing.T) {
	const samples, size = 200, 1000
	for i, d := range truths() {
		t.Run(d.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(20_26, uint64(i)))
			found := make([][]float64, len(d.want))
			x := make([]float64, size)
			for range samples {
				for j := range x {
					x[j] = d.draw(r)
				}
				fitted, err := Fit(d.shape, x)
				if err != nil {
					t.Fatal(err)
				}
				for j, p := range fitted.Parameters() {
					found[j] = append(found[j], p.Value)
				}
			}
			for j, want := range d.want {
				s, err := Summarise(found[j])
				if err != nil {
					t.Fatal(err)
				}
				if standardError := s.SD / math.Sqrt(samples); math.Abs(s.Mean-want) > 3*standardError {
					t.Errorf("parameter %d: mean %v, standard error %v; want %v", j, s.Mean, standardError, want)
				}
			}
		})
	}
}

// density writes each density as books do, apart from the code under test.
func density(shape Shape, p []float64, x float64) float64 {
	normal := func(m, s, y float64) float64 { return math.Exp(-(y-m)*(y-m)/(2*s*s)) / (s * math.Sqrt(2*math.Pi)) }
	switch shape {
	case ShapeNormal:
		return normal(p[0], p[1], x)
	case ShapeLognormal:
		return normal(p[0], p[1], math.Log(x)) / x
	case ShapeWeibull:
		return p[0] / p[1] * math.Pow(x/p[1], p[0]-1) * math.Exp(-math.Pow(x/p[1], p[0]))
	case ShapeGamma:
		return math.Pow(x, p[0]-1) * math.Exp(-x/p[1]) / (math.Gamma(p[0]) * math.Pow(p[1], p[0]))
	case ShapeFoldedNormal:
		return normal(p[0], p[1], x) + normal(-p[0], p[1], x)
	case ShapeRayleigh:
		return x / (p[0] * p[0]) * math.Exp(-x*x/(2*p[0]*p[0]))
	case ShapeLargestExtreme:
		z := (x - p[0]) / p[1]
		return math.Exp(-z-math.Exp(-z)) / p[1]
	case ShapeExponential:
		return math.Exp(-x/p[0]) / p[0]
	}
	y := (math.Pow(x, p[0]) - 1) / p[0]
	return normal(p[1], p[2], y) * math.Pow(x, p[0]-1)
}

// No parameter can be moved without losing likelihood, after the n-1 of the
// normal shapes is undone; the log-likelihood is the one of the density in
// books.
func TestFitIsTheMostLikely(t *testing.T) {
	for i, d := range truths() {
		t.Run(d.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(7, uint64(i)))
			const n = 60
			x := make([]float64, n)
			for j := range x {
				x[j] = d.draw(r)
			}
			fitted, err := Fit(d.shape, x)
			if err != nil {
				t.Fatal(err)
			}
			var p []float64
			for _, parameter := range fitted.Parameters() {
				p = append(p, parameter.Value)
			}
			likelihood := func(p []float64) float64 {
				var sum float64
				for _, v := range x {
					sum += math.Log(density(d.shape, p, v))
				}
				return sum
			}
			got, err := fitted.LogLikelihood(x)
			if want := likelihood(p); err != nil || math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
				t.Errorf("log-likelihood %v, %v; the density of books gives %v", got, err, want)
			}
			if d.shape == ShapeNormal || d.shape == ShapeLognormal || d.shape == ShapeBoxCox {
				p[len(p)-1] *= math.Sqrt(float64(n-1) / n)
			}
			best := likelihood(p)
			for j := range p {
				for _, step := range []float64{-0.01, -1e-4, 1e-4, 0.01} {
					moved := slices.Clone(p)
					moved[j] += step * math.Abs(p[len(p)-1])
					if l := likelihood(moved); l > best+1e-9 {
						t.Errorf("parameter %d moved by %v: log-likelihood %v above %v", j, step, l, best)
					}
				}
			}
		})
	}
}

// Quantiles and tails undo one another, with the digits of the smaller tail,
// and agree with gonum where it has the distribution.
func TestFittedDistributions(t *testing.T) {
	others := map[string]interface {
		CDF(float64) float64
		Survival(float64) float64
	}{
		"normal":                distuv.Normal{Mu: 10, Sigma: 2},
		"lognormal":             distuv.LogNormal{Mu: -1.6, Sigma: 0.35},
		"Weibull":               distuv.Weibull{K: 1.8, Lambda: 0.22},
		"gamma":                 distuv.Gamma{Alpha: 3, Beta: 2},
		"gamma below 1":         distuv.Gamma{Alpha: 0.5, Beta: 0.5},
		"exponential":           distuv.Exponential{Rate: 0.4},
		"Rayleigh":              distuv.Weibull{K: 2, Lambda: 0.1 * math.Sqrt2},
		"largest extreme value": distuv.GumbelRight{Mu: 5, Beta: 0.7},
	}
	for _, truth := range truths() {
		t.Run(truth.name, func(t *testing.T) {
			d, err := NewDistribution(truth.shape, truth.want...)
			if err != nil {
				t.Fatal(err)
			}
			last := math.Inf(-1)
			for _, z := range []float64{-6, -3, -1.5, -0.2, 0, 0.2, 1.5, 3, 6} {
				x, err := d.QuantileAt(z)
				if err != nil {
					t.Fatal(err)
				}
				if x <= last {
					t.Errorf("quantile at z = %v is %v, not above %v", z, x, last)
				}
				last = x
				below, above, err := d.Tails(x)
				if err != nil || math.Abs(below/NormalBelow(z)-1) > 1e-10 || math.Abs(above/NormalAbove(z)-1) > 1e-10 {
					t.Errorf("tails at the quantile of z = %v: %v, %v, %v; want %v, %v", z, below, above, err, NormalBelow(z), NormalAbove(z))
				}
				byP, err := d.Quantile(NormalBelow(z))
				if err != nil || math.Abs(byP-x) > 1e-7*math.Abs(x) {
					t.Errorf("quantile by probability %v, %v; by z %v", byP, err, x)
				}
				if other, ok := others[truth.name]; ok {
					if math.Abs(below-other.CDF(x)) > 1e-12 || math.Abs(above-other.Survival(x)) > 1e-12 {
						t.Errorf("tails at %v: %v, %v; gonum has %v, %v", x, below, above, other.CDF(x), other.Survival(x))
					}
				}
			}
		})
	}
}

func TestFitRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	positives := []Shape{ShapeLognormal, ShapeWeibull, ShapeGamma, ShapeBoxCox}
	notBelow := []Shape{ShapeFoldedNormal, ShapeRayleigh, ShapeExponential}
	spread := slices.Concat(positives, []Shape{ShapeNormal, ShapeFoldedNormal, ShapeLargestExtreme})
	tests := []struct {
		name   string
		shapes []Shape
		x      []float64
		want   error
	}{
		{"nothing", Shapes(), nil, ErrTooFew},
		{"one value", spread, []float64{1}, ErrTooFew},
		{"all equal", spread, []float64{2, 2, 2, 2}, ErrNoSpread},
		{"all zero", notBelow, []float64{0, 0, 0}, ErrNoSpread},
		{"a zero", positives, []float64{1, 0, 2}, ErrImpossible},
		{"a negative value", slices.Concat(positives, notBelow), []float64{1, -1e-9, 2}, ErrImpossible},
		{"a NaN", Shapes(), []float64{1, nan, 2, 3}, ErrNotFinite},
		{"an infinity", Shapes(), []float64{1, inf, 2, 3}, ErrNotFinite},
		{"too many", Shapes(), make([]float64, MostFitted+1), ErrOutOfRange},
		{"no such shape", []Shape{"", "bell"}, []float64{1, 2, 3}, ErrShape},
		{"spread too small for a gamma", []Shape{ShapeGamma}, []float64{1, 1 + 1e-9, 1 - 1e-9}, ErrNoSpread},
		{"no power bends them", []Shape{ShapeBoxCox}, []float64{100, 100.001, 100.0011, 100.0012}, ErrImpossible},
		{"beyond a double", []Shape{ShapeNormal, ShapeLargestExtreme}, []float64{-math.MaxFloat64, math.MaxFloat64, 0}, ErrNotFinite},
	}
	for _, test := range tests {
		for _, shape := range test.shapes {
			t.Run(test.name+"/"+string(shape), func(t *testing.T) {
				d, err := Fit(shape, test.x)
				var named *ArgumentError
				if !errors.Is(err, test.want) || !errors.As(err, &named) {
					t.Errorf("%.5g: got %v, %v; want %v", test.x[:min(4, len(test.x))], d.Parameters(), err, test.want)
				}
			})
		}
	}
}

func TestNewDistributionRefuses(t *testing.T) {
	for _, shape := range Shapes() {
		names, err := shape.Parameters()
		if err != nil {
			t.Fatal(err)
		}
		ones := make([]float64, len(names))
		for i := range ones {
			ones[i] = 1
		}
		if _, err := NewDistribution(shape, ones...); err != nil {
			t.Errorf("%s, all ones: %v", shape, err)
		}
		if _, err := NewDistribution(shape, append(slices.Clone(ones), 1)...); !errors.Is(err, ErrShape) {
			t.Errorf("%s, a parameter too many: %v", shape, err)
		}
		for i, name := range names {
			for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
				refusedParameter(t, shape, ones, i, bad, name)
			}
			if name != "mu" && name != "location" && name != "lambda" {
				refusedParameter(t, shape, ones, i, 0, name)
				refusedParameter(t, shape, ones, i, -1, name)
			}
		}
	}
	below, err := NewDistribution(ShapeFoldedNormal, -0.1, 1)
	if err != nil || below.Parameters()[0].Value != 0.1 {
		t.Errorf("a folded law of a mean below 0: %+v, %v; want that of 0.1", below, err)
	}
	refusedParameter(t, ShapeBoxCox, []float64{2, 1, 1}, 1, -0.5, "mu")
	refusedParameter(t, ShapeGamma, []float64{1, 1}, 0, 1e9, "shape")
}

func refusedParameter(t *testing.T, shape Shape, good []float64, i int, bad float64, name string) {
	t.Helper()
	p := slices.Clone(good)
	p[i] = bad
	d, err := NewDistribution(shape, p...)
	var named *ArgumentError
	if !errors.As(err, &named) || named.Argument != name || d.Parameters() != nil {
		t.Errorf("%s%v: got %v, %v; want a refusal of %s", shape, p, d.Parameters(), err, name)
	}
}

func TestDistributionWithoutShape(t *testing.T) {
	var d Distribution
	if _, err := d.Quantile(0.5); !errors.Is(err, ErrShape) {
		t.Error(err)
	}
	if _, _, err := d.Tails(0); !errors.Is(err, ErrShape) {
		t.Error(err)
	}
	normal, err := NewDistribution(ShapeNormal, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []float64{0, 1, -0.1, 1.1, math.NaN()} {
		if x, err := normal.Quantile(p); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("quantile at %v: %v, %v", p, x, err)
		}
	}
	// A normal y above 1/2 stands for no x at lambda = -2, one below -1/2 for
	// x = 0 at lambda = 2.
	for _, test := range []struct {
		lambda, z float64
		want      float64
		err       error
	}{{-2, 6, 0, ErrNotFinite}, {2, -6, 0, nil}} {
		d, err := NewDistribution(ShapeBoxCox, test.lambda, 0, 0.1)
		if err != nil {
			t.Fatal(err)
		}
		if x, err := d.QuantileAt(test.z); x != test.want || !errors.Is(err, test.err) {
			t.Errorf("lambda %v at z = %v: %v, %v; want %v, %v", test.lambda, test.z, x, err, test.want, test.err)
		}
	}
}
