package stats

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Shape names a family of distributions. Which one a characteristic follows is
// set once, from what is known of how it arises; a fit never chooses it.
type Shape string

// The shapes. Scales and shape parameters are above 0.
const (
	ShapeNormal    Shape = "normal"
	ShapeLognormal Shape = "lognormal"
	ShapeWeibull   Shape = "weibull"
	ShapeGamma     Shape = "gamma"
	// ShapeFoldedNormal: the size of a normal value, its sign dropped. With
	// mean 0 it is the half-normal.
	ShapeFoldedNormal Shape = "folded_normal"
	// ShapeRayleigh: the length of a vector with two normal parts around 0, such
	// as an eccentricity.
	ShapeRayleigh Shape = "rayleigh"
	// ShapeLargestExtreme: the largest of many, Gumbel's first type.
	ShapeLargestExtreme Shape = "largest_extreme_value"
	ShapeExponential    Shape = "exponential"
	// ShapeBoxCox: normal once a power is taken.
	ShapeBoxCox Shape = "box_cox"
)

var (
	// ErrShape: no shape of that name, or parameters that it cannot have.
	ErrShape = errors.New("shape cannot be used")
	// ErrImpossible: a value that the shape does not allow, such as a zero among
	// lognormal ones.
	ErrImpossible = errors.New("not possible under this shape")
)

// MostFitted is how many values a fit takes; likelihoods of more would take
// seconds and change no digit that matters.
const MostFitted = 100_000

// Parameter is one number of a distribution, by its usual name.
type Parameter struct {
	Name  string
	Value float64
}

// law is what a shape must be able to do once it has its parameters.
type law interface {
	parameters() []float64
	// check names a parameter that the shape cannot have.
	check() error
	// tails returns the probability of x or less, and of more than x, each with
	// the digits of its own side.
	tails(x float64) (below, above float64)
	// quantile returns the x with probability p below and q = 1 - p above it.
	quantile(p, q float64) float64
	logDensity(x float64) float64
}

// family is one line of the table of shapes.
type family struct {
	shape Shape
	names []string
	build func(parameters []float64) law
	// fit takes values that are finite and at least least in number.
	fit   func(x []float64) (law, error)
	least int
}

// families is every shape there is: one line here and one file of its own.
var families = []family{
	{ShapeNormal, []string{"mu", "sigma"}, buildNormal, fitNormal, 2},
	{ShapeLognormal, []string{"mu", "sigma"}, buildLognormal, fitLognormal, 2},
	{ShapeWeibull, []string{"shape", "scale"}, buildWeibull, fitWeibull, 2},
	{ShapeGamma, []string{"shape", "scale"}, buildGamma, fitGamma, 2},
	{ShapeFoldedNormal, []string{"mu", "sigma"}, buildFolded, fitFolded, 2},
	{ShapeRayleigh, []string{"sigma"}, buildRayleigh, fitRayleigh, 1},
	{ShapeLargestExtreme, []string{"location", "scale"}, buildLargest, fitLargest, 2},
	{ShapeExponential, []string{"mean"}, buildExponential, fitExponential, 1},
	{ShapeBoxCox, []string{"lambda", "mu", "sigma"}, buildBoxCox, fitBoxCox, 3},
}

// Shapes returns the shapes offered, the usual one first.
func Shapes() []Shape {
	list := make([]Shape, len(families))
	for i, f := range families {
		list[i] = f.shape
	}
	return list
}

// Known reports whether s is a shape of this package.
func (s Shape) Known() bool { return slices.Contains(Shapes(), s) }

// Parameters returns the names of the parameters of a shape, in the order in
// which [NewDistribution] takes them.
func (s Shape) Parameters() ([]string, error) {
	f, err := familyOf(s)
	if err != nil {
		return nil, err
	}
	return slices.Clone(f.names), nil
}

func familyOf(s Shape) (family, error) {
	for _, f := range families {
		if f.shape == s {
			return f, nil
		}
	}
	return family{}, about("shape", fmt.Errorf("%.40q is none of %v: %w", string(s), Shapes(), ErrShape))
}

// Distribution is a shape with its parameters. It comes from [Fit] or
// [NewDistribution]; the zero value has no shape and answers with [ErrShape].
type Distribution struct {
	family family
	law    law
}

// NewDistribution returns a distribution with the given parameters.
func NewDistribution(s Shape, parameters ...float64) (Distribution, error) {
	f, err := familyOf(s)
	if err != nil {
		return Distribution{}, err
	}
	if len(parameters) != len(f.names) {
		return Distribution{}, about("parameters", fmt.Errorf("%s has %d, not %d: %w", s, len(f.names), len(parameters), ErrShape))
	}
	for i, v := range parameters {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Distribution{}, about(f.names[i], ErrNotFinite)
		}
	}
	l := f.build(parameters)
	if err := l.check(); err != nil {
		return Distribution{}, err
	}
	return Distribution{family: f, law: l}, nil
}

// Fit returns the distribution of that shape under which the values are most
// likely; the estimator of each shape stands in its file. Values that the shape
// does not allow are an error wrapping [ErrImpossible], values that are all
// equal one wrapping [ErrNoSpread] where the shape needs a spread.
func Fit(s Shape, x []float64) (Distribution, error) {
	f, err := familyOf(s)
	if err != nil {
		return Distribution{}, err
	}
	if err := Check(x, f.least); err != nil {
		return Distribution{}, about("x", err)
	}
	if len(x) > MostFitted {
		return Distribution{}, outside("x", fmt.Sprintf("a fit of %d values", len(x)), fmt.Sprintf("must have at most %d", MostFitted))
	}
	l, err := f.fit(x)
	if err != nil {
		return Distribution{}, about("x", fmt.Errorf("fit %s: %w", s, err))
	}
	// What was found has to be a distribution in its own right: parameters that
	// left the range of a double on the way are caught here.
	err = l.check()
	if err == nil {
		err = Check(l.parameters(), len(f.names))
	}
	if err != nil {
		return Distribution{}, &ArgumentError{"x", fmt.Errorf("fit %s: %w: %v", s, ErrNotFinite, err)}
	}
	return Distribution{family: f, law: l}, nil
}

// Shape returns the shape.
func (d Distribution) Shape() Shape { return d.family.shape }

// Parameters returns the parameters in the order of [NewDistribution].
func (d Distribution) Parameters() []Parameter {
	if d.law == nil {
		return nil
	}
	list := make([]Parameter, len(d.family.names))
	for i, v := range d.law.parameters() {
		list[i] = Parameter{d.family.names[i], v}
	}
	return list
}

// Quantile returns the value with probability p below it, 0 < p < 1.
func (d Distribution) Quantile(p float64) (float64, error) {
	if d.law == nil {
		return 0, ErrShape
	}
	if err := checkOpen("p", p); err != nil {
		return 0, err
	}
	return finite(string(d.family.shape)+" quantile", d.law.quantile(p, 1-p))
}

// QuantileAt returns the value that lies where z lies under the standard normal
// distribution: at probability Phi(z), with the digits of the smaller tail.
// |z| may be up to 35.
func (d Distribution) QuantileAt(z float64) (float64, error) {
	if d.law == nil {
		return 0, ErrShape
	}
	if !(math.Abs(z) <= 35) {
		return 0, outside("z", z, "must lie from -35 to 35")
	}
	return finite(string(d.family.shape)+" quantile", d.law.quantile(NormalBelow(z), NormalAbove(z)))
}

// Tails returns the probability of x or less, and of more than x.
func (d Distribution) Tails(x float64) (below, above float64, err error) {
	switch {
	case d.law == nil:
		return 0, 0, ErrShape
	case math.IsNaN(x):
		return 0, 0, about("x", ErrNotFinite)
	}
	below, above = d.law.tails(x)
	if math.IsNaN(below) || math.IsNaN(above) {
		return 0, 0, fmt.Errorf("%s tails: %w", d.family.shape, ErrNotFinite)
	}
	return below, above, nil
}

// LogLikelihood returns the sum of the logarithms of the density at the values.
func (d Distribution) LogLikelihood(x []float64) (float64, error) {
	if d.law == nil {
		return 0, ErrShape
	}
	if err := Check(x, 1); err != nil {
		return 0, about("x", err)
	}
	return finite(string(d.family.shape)+" log-likelihood", logLikelihood(d.law, x))
}

func logLikelihood(l law, x []float64) float64 {
	var sum, lost float64
	for _, v := range x {
		term := l.logDensity(v)
		t := sum + term
		if math.Abs(sum) >= math.Abs(term) {
			lost += (sum - t) + term
		} else {
			lost += (term - t) + sum
		}
		sum = t
	}
	return sum + lost
}

// positive refuses values that are not above 0.
func positive(x []float64) error {
	for i, v := range x {
		if v <= 0 {
			return fmt.Errorf("value %d is %v where all must be above 0: %w", i, v, ErrImpossible)
		}
	}
	return nil
}

// notNegative refuses values below 0, and a sample of nothing but zeros.
func notNegative(x []float64) error {
	for i, v := range x {
		if v < 0 {
			return fmt.Errorf("value %d is %v where none may be below 0: %w", i, v, ErrImpossible)
		}
	}
	if slices.Max(x) == 0 {
		return fmt.Errorf("all values are 0: %w", ErrNoSpread)
	}
	return nil
}

// spreadOut refuses a sample whose values are all equal.
func spreadOut(x []float64) error {
	if slices.Min(x) == slices.Max(x) {
		return ErrNoSpread
	}
	return nil
}

func logs(x []float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = math.Log(v)
	}
	return y
}
