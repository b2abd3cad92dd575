package stats

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// The distributions that intervals and tests need. Below is the probability of
// that value or less, Above the rest, each computed on its own side, so that a
// tail of 1e-30 keeps its digits. A quantile takes the probability below it.
// Results hold 13 digits and more, 12 where degrees of freedom run into
// millions, 9 at the most that is allowed.
//
// Degrees of freedom may be fractions, and math.Inf(1) where the limit exists.

// MaxDegrees bounds finite degrees of freedom, counts and sample sizes: beyond
// it a distribution is not told from its limit, and sums would take seconds.
const MaxDegrees = 1e10

// NormalBelow returns the standard normal distribution function at z, a number
// that the caller has checked. Infinities give 0 and 1.
func NormalBelow(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// NormalAbove returns 1 - [NormalBelow], with its digits far out.
func NormalAbove(z float64) float64 { return 0.5 * math.Erfc(z/math.Sqrt2) }

// NormalDensity returns exp(-z^2/2)/sqrt(2 pi).
func NormalDensity(z float64) float64 { return math.Exp(-z*z/2 - halfLog2Pi) }

// NormalQuantile returns the z with probability p below it.
func NormalQuantile(p float64) (float64, error) {
	if err := checkOpen("p", p); err != nil {
		return 0, err
	}
	z := mathext.NormalQuantile(p)
	// One step of Newton on the side of the smaller tail.
	if p < 0.5 {
		z -= (NormalBelow(z) - p) / NormalDensity(z)
	} else {
		z += (NormalAbove(z) - (1 - p)) / NormalDensity(z)
	}
	return finite("normal quantile", z)
}

// TBelow returns Student's t distribution function at t.
func TBelow(t, df float64) (float64, error) {
	below, _, err := tTails(t, df)
	return below, err
}

// TAbove returns the upper tail of Student's t distribution.
func TAbove(t, df float64) (float64, error) {
	_, above, err := tTails(t, df)
	return above, err
}

func tTails(t, df float64) (below, above float64, err error) {
	if err := checkDegrees("degrees of freedom", df); err != nil {
		return 0, 0, err
	}
	if math.IsNaN(t) {
		return 0, 0, about("t", ErrNotFinite)
	}
	if math.IsInf(df, 1) {
		return NormalBelow(t), NormalAbove(t), nil
	}
	if math.IsInf(t, 0) || t*t > math.MaxFloat64/2 {
		t = math.Copysign(1e154, t)
	}
	// F(-t) = I_x(df/2, 1/2)/2 at x = df/(df + t^2), Abramowitz and Stegun, 26.7.1.
	tail, _ := betaTails(df/2, 0.5, df/(df+t*t), t*t/(df+t*t))
	if t < 0 {
		return tail / 2, 1 - tail/2, nil
	}
	return 1 - tail/2, tail / 2, nil
}

// TQuantile returns the t with probability p below it.
func TQuantile(p, df float64) (float64, error) {
	if err := checkOpen("p", p); err != nil {
		return 0, err
	}
	if err := checkDegrees("degrees of freedom", df); err != nil {
		return 0, err
	}
	if math.IsInf(df, 1) {
		return NormalQuantile(p)
	}
	tail := 2 * min(p, 1-p)
	if tail == 1 {
		return 0, nil
	}
	x, y := betaInverse(tail, 1-tail, df/2, 0.5)
	return finite("t quantile", math.Copysign(math.Sqrt(df*y/x), p-0.5))
}

// ChiSquareBelow returns the chi-square distribution function at x.
func ChiSquareBelow(x, df float64) (float64, error) {
	below, _, err := chiSquareTails(x, df)
	return below, err
}

// ChiSquareAbove returns the upper tail of the chi-square distribution.
func ChiSquareAbove(x, df float64) (float64, error) {
	_, above, err := chiSquareTails(x, df)
	return above, err
}

func chiSquareTails(x, df float64) (below, above float64, err error) {
	if err := checkFiniteDegrees("degrees of freedom", df); err != nil {
		return 0, 0, err
	}
	if math.IsNaN(x) {
		return 0, 0, about("x", ErrNotFinite)
	}
	below, above = gammaTails(df/2, x/2)
	return below, above, nil
}

// ChiSquareQuantile returns the x with probability p below it.
func ChiSquareQuantile(p, df float64) (float64, error) {
	if err := checkOpen("p", p); err != nil {
		return 0, err
	}
	if err := checkFiniteDegrees("degrees of freedom", df); err != nil {
		return 0, err
	}
	return finite("chi-square quantile", 2*gammaInverse(p, 1-p, df/2))
}

// GammaQuantile returns the quantile of the gamma distribution of that shape
// and of scale 1.
func GammaQuantile(p, shape float64) (float64, error) {
	if err := checkOpen("p", p); err != nil {
		return 0, err
	}
	if err := checkFiniteDegrees("shape", shape); err != nil {
		return 0, err
	}
	return finite("gamma quantile", gammaInverse(p, 1-p, shape))
}

// GammaBelow returns the distribution function of the gamma distribution of
// that shape and of scale 1.
func GammaBelow(x, shape float64) (float64, error) { return ChiSquareBelow(2*x, 2*shape) }

// GammaAbove returns its upper tail.
func GammaAbove(x, shape float64) (float64, error) { return ChiSquareAbove(2*x, 2*shape) }

// FBelow returns the F distribution function at f with df1 degrees of freedom
// in the numerator and df2 in the denominator.
func FBelow(f, df1, df2 float64) (float64, error) {
	below, _, err := fTails(f, df1, df2)
	return below, err
}

// FAbove returns the upper tail of the F distribution.
func FAbove(f, df1, df2 float64) (float64, error) {
	_, above, err := fTails(f, df1, df2)
	return above, err
}

func fTails(f, df1, df2 float64) (below, above float64, err error) {
	if err := checkFiniteDegrees("numerator degrees of freedom", df1); err != nil {
		return 0, 0, err
	}
	if err := checkDegrees("denominator degrees of freedom", df2); err != nil {
		return 0, 0, err
	}
	switch {
	case math.IsNaN(f):
		return 0, 0, about("f", ErrNotFinite)
	case f <= 0:
		return 0, 1, nil
	case math.IsInf(df2, 1):
		below, above = gammaTails(df1/2, f*df1/2)
		return below, above, nil
	}
	ratio := df1 / df2 * f // x/y
	if math.IsInf(ratio, 1) {
		return 1, 0, nil
	}
	below, above = betaTails(df1/2, df2/2, ratio/(1+ratio), 1/(1+ratio))
	return below, above, nil
}

// FQuantile returns the f with probability p below it.
func FQuantile(p, df1, df2 float64) (float64, error) {
	if err := checkOpen("p", p); err != nil {
		return 0, err
	}
	if err := checkFiniteDegrees("numerator degrees of freedom", df1); err != nil {
		return 0, err
	}
	if err := checkDegrees("denominator degrees of freedom", df2); err != nil {
		return 0, err
	}
	if math.IsInf(df2, 1) {
		return finite("F quantile", 2*gammaInverse(p, 1-p, df1/2)/df1)
	}
	x, y := betaInverse(p, 1-p, df1/2, df2/2)
	return finite("F quantile", df2/df1*(x/y))
}

// BetaBelow returns the beta distribution function at x, the regularised
// incomplete beta function I_x(a, b).
func BetaBelow(x, a, b float64) (float64, error) {
	below, _, err := checkedBetaTails(x, a, b)
	return below, err
}

// BetaAbove returns the upper tail of the beta distribution.
func BetaAbove(x, a, b float64) (float64, error) {
	_, above, err := checkedBetaTails(x, a, b)
	return above, err
}

func checkedBetaTails(x, a, b float64) (below, above float64, err error) {
	if err := checkFiniteDegrees("a", a); err != nil {
		return 0, 0, err
	}
	if err := checkFiniteDegrees("b", b); err != nil {
		return 0, 0, err
	}
	if math.IsNaN(x) {
		return 0, 0, about("x", ErrNotFinite)
	}
	below, above = betaTails(a, b, x, 1-x)
	return below, above, nil
}

// BetaQuantile returns the x with probability p below it.
func BetaQuantile(p, a, b float64) (float64, error) {
	if err := checkOpen("p", p); err != nil {
		return 0, err
	}
	if err := checkFiniteDegrees("a", a); err != nil {
		return 0, err
	}
	if err := checkFiniteDegrees("b", b); err != nil {
		return 0, err
	}
	x, _ := betaInverse(p, 1-p, a, b)
	return finite("beta quantile", x)
}

// BinomialBelow returns the probability of k or fewer of n at chance p each,
// I_(1-p)(n-k, k+1) (Abramowitz and Stegun, 26.5.24).
func BinomialBelow(k, n, p float64) (float64, error) {
	below, _, err := binomialTails(k, n, p)
	return below, err
}

// BinomialAbove returns the probability of more than k of n.
func BinomialAbove(k, n, p float64) (float64, error) {
	_, above, err := binomialTails(k, n, p)
	return above, err
}

func binomialTails(k, n, p float64) (below, above float64, err error) {
	if err := checkCount("n", n); err != nil {
		return 0, 0, err
	}
	if !(p >= 0 && p <= 1) {
		return 0, 0, outside("p", p, "must lie from 0 to 1")
	}
	switch k = math.Floor(k); {
	case math.IsNaN(k):
		return 0, 0, about("k", ErrNotFinite)
	case k < 0:
		return 0, 1, nil
	case k >= n:
		return 1, 0, nil
	}
	above, below = betaTails(k+1, n-k, p, 1-p)
	return below, above, nil
}

// PoissonBelow returns the probability of k or fewer events where mean are
// expected, Q(k+1, mean) (Abramowitz and Stegun, 26.4.21).
func PoissonBelow(k, mean float64) (float64, error) {
	below, _, err := poissonTails(k, mean)
	return below, err
}

// PoissonAbove returns the probability of more than k events.
func PoissonAbove(k, mean float64) (float64, error) {
	_, above, err := poissonTails(k, mean)
	return above, err
}

func poissonTails(k, mean float64) (below, above float64, err error) {
	if !(mean >= 0 && mean <= MaxDegrees) {
		return 0, 0, outside("mean", mean, "must not be negative")
	}
	switch k = math.Floor(k); {
	case math.IsNaN(k):
		return 0, 0, about("k", ErrNotFinite)
	case k < 0:
		return 0, 1, nil
	case k > MaxDegrees:
		return 1, 0, nil
	}
	above, below = gammaTails(k+1, mean)
	return below, above, nil
}

// gammaInverse returns the x at which P(a, x) is p and Q(a, x) is q.
func gammaInverse(p, q, a float64) float64 {
	whole, _ := math.Lgamma(a + 1)
	// Far below the mean P(a, x) is x^a/Gamma(a+1).
	start := min(math.Log(a), (math.Log(p)+whole)/a)
	u := invert(p, q, -2000, 30, start, func(u float64) (below, above, slope float64) {
		x := math.Exp(u)
		below, above = gammaTails(a, x)
		return below, above, a * gammaKernel(a, x)
	})
	return math.Exp(u)
}

// betaInverse returns the x at which I_x(a, b) is p and its complement q, and
// 1 - x.
func betaInverse(p, q, a, b float64) (x, y float64) {
	at := func(u float64) (x, y float64) {
		switch {
		case u < -700: // The reciprocal would stop short of the smallest doubles.
			return math.Exp(u), 1
		case u > 700:
			return 1, math.Exp(-u)
		}
		return 1 / (1 + math.Exp(-u)), 1 / (1 + math.Exp(u))
	}
	u := invert(p, q, -2000, 2000, math.Log(a/b), func(u float64) (below, above, slope float64) {
		x, y := at(u)
		below, above = betaTails(a, b, x, y)
		return below, above, betaKernel(a, b, x, y)
	})
	return at(u)
}

// checkDegrees refuses degrees of freedom that are not above 0; infinity is
// allowed.
func checkDegrees(argument string, df float64) error {
	if math.IsInf(df, 1) {
		return nil
	}
	return checkFiniteDegrees(argument, df)
}

func checkFiniteDegrees(argument string, df float64) error {
	if !(df > 0 && df <= MaxDegrees) {
		return outside(argument, df, "must be above 0 and at most 1e10")
	}
	return nil
}

// checkCount refuses a number of things that is negative, broken or too large.
func checkCount(argument string, n float64) error {
	if !(n >= 0 && n <= MaxDegrees) || n != math.Floor(n) {
		return outside(argument, n, "must be a whole number from 0 to 1e10")
	}
	return nil
}
