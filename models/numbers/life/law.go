package life

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"tracewright/models/numbers/stats"
)

// quantile returns the z with probability p below it.
func (l Law) quantile(p float64) (float64, error) {
	if !(p > 0 && p < 1) {
		return 0, refuse("p", p, "must lie between 0 and 1")
	}
	if l == Weibull {
		return math.Log(-math.Log1p(-p)), nil
	}
	return stats.NormalQuantile(p)
}

// logSurvival returns the logarithm of the probability above z.
func (l Law) logSurvival(z float64) float64 {
	if l == Weibull {
		return -math.Exp(z)
	}
	if z > farOut {
		return -z*z/2 - halfLog2Pi - math.Log(z+beyondZ(z))
	}
	return math.Log(stats.NormalAbove(z))
}

// hazard returns minus the slope of logSurvival.
func (l Law) hazard(z float64) float64 {
	if l == Weibull {
		return math.Exp(z)
	}
	return z + beyondZ(z)
}

const halfLog2Pi = 0.91893853320467274178032973640562 // ln(2 pi)/2

// farOut is where the normal tail is taken from its continued fraction.
const farOut = 8

// beyondZ returns the hazard of the standard normal distribution less z, which
// is what its square differs from the curvature by, and falls like 1/z: by the
// continued fraction 1/(z + 2/(z + 3/(z + ...))) of Laplace (Abramowitz and
// Stegun, 26.2.14) far out, where the subtraction would lose it.
func beyondZ(z float64) float64 {
	if z <= farOut {
		return stats.NormalDensity(z)/stats.NormalAbove(z) - z
	}
	fraction := 0.
	for k := 60.; k >= 2; k-- {
		fraction = k / (z + fraction)
	}
	return 1 / (z + fraction)
}

// bend returns, for one unit, minus the first and minus the second derivative of
// its log-likelihood with respect to z, that of the spread apart.
func (l Law) bend(z float64, failed bool) (first, second float64) {
	switch {
	case l == Weibull && failed:
		second = math.Exp(z)
		return second - 1, second
	case l == Weibull:
		second = math.Exp(z)
		return second, second
	case failed:
		return z, 1
	}
	rest := beyondZ(z)
	return z + rest, (z + rest) * rest
}

// logLikelihood returns that of one unit with respect to z: the logarithm of the
// density of z for a failure, of the survival else.
func (l Law) logLikelihood(z float64, failed bool) float64 {
	switch {
	case !failed:
		return l.logSurvival(z)
	case l == Weibull:
		return z - math.Exp(z)
	}
	return -z*z/2 - halfLog2Pi
}

// logGammaRatio returns ln(Gamma(1 + 2s)/Gamma(1 + s)^2), which for small s is
// the series sum (-1)^k zeta(k)/k (2^k - 2) s^k from k = 2 (from Abramowitz and
// Stegun, 6.1.33), and is lost in rounding there otherwise.
func logGammaRatio(s float64) float64 {
	if s > 0.02 {
		twice, _ := math.Lgamma(1 + 2*s)
		once, _ := math.Lgamma(1 + s)
		return twice - 2*once
	}
	var sum float64
	power := s
	for k := 2.; k <= 12; k++ {
		power *= -s
		sum -= mathext.Zeta(k, 1) / k * (math.Pow(2, k) - 2) * power
	}
	return sum
}
