package stats

import "math"

// The incomplete gamma and beta functions, in both tails and with no loss where
// the parameters are large. The factor in front is written by the deviance of
// Loader (Fast and accurate computation of binomial probabilities, 2000), so
// that no two large logarithms are subtracted; behind it stands the series or
// the continued fraction that converges on its side of the mean.

// maxTerms is enough for parameters up to [MaxDegrees]: series and fraction
// need a few times the root of the largest parameter.
const maxTerms = 2_000_000

// stirlingError returns ln(x!) minus Stirling's formula for it,
// ln Gamma(x+1) - (x + 1/2) ln x + x - ln(2 pi)/2, for x above 0.
func stirlingError(x float64) float64 {
	if x < 16 {
		whole, _ := math.Lgamma(x + 1)
		return whole - (x+0.5)*math.Log(x) + x - halfLog2Pi
	}
	// Abramowitz and Stegun, 6.1.42.
	s := 1 / (x * x)
	return (1./12 - (1./360-(1./1260-(1./1680-(1./1188)*s)*s)*s)*s) / x
}

const halfLog2Pi = 0.918938533204672741780329736405617639861397473637783412817151540 // ln(2 pi)/2

// deviance returns x ln(x/m) + m - x, exact to the last digits also where x is
// close to m.
func deviance(x, m float64) float64 {
	if math.Abs(x-m) >= 0.1*(x+m) {
		return x*math.Log(x/m) + m - x
	}
	v := (x - m) / (x + m)
	sum := (x - m) * v
	term := 2 * x * v
	for j := 3.; ; j += 2 {
		term *= v * v
		next := sum + term/j
		if next == sum {
			return sum
		}
		sum = next
	}
}

// gammaKernel returns x^a e^-x / Gamma(a+1) for positive a and x, the Poisson
// probability of a at mean x where a is whole.
func gammaKernel(a, x float64) float64 {
	return math.Exp(-stirlingError(a)-deviance(a, x)) / math.Sqrt(2*math.Pi*a)
}

// gammaTails returns the regularised incomplete gamma functions P(a, x) and
// Q(a, x) = 1 - P(a, x) for a above 0.
func gammaTails(a, x float64) (below, above float64) {
	switch {
	case x <= 0:
		return 0, 1
	case math.IsInf(x, 1):
		return 1, 0
	case x < a+1:
		// Abramowitz and Stegun, 6.5.29.
		sum, term := 1., 1.
		for k := 1.; k < maxTerms && term > 1e-17*sum; k++ {
			term *= x / (a + k)
			sum += term
		}
		below = min(gammaKernel(a, x)*sum, 1)
		return below, 1 - below
	}
	// Abramowitz and Stegun, 6.5.31, by Lentz's method.
	b := x + 1 - a
	c, d := math.Inf(1), 1/b
	h := d
	for k := 1.; k < maxTerms; k++ {
		an := -k * (k - a)
		b += 2
		d = 1 / notZero(an*d+b)
		c = notZero(b + an/c)
		h *= d * c
		if math.Abs(d*c-1) < 2e-16 {
			break
		}
	}
	above = min(a*gammaKernel(a, x)*h, 1)
	return 1 - above, above
}

// betaKernel returns x^a y^b / B(a, b) for x + y = 1.
func betaKernel(a, b, x, y float64) float64 {
	n := a + b
	return math.Sqrt(a/(2*math.Pi)*(b/n)) *
		math.Exp(stirlingError(n)-stirlingError(a)-stirlingError(b)-deviance(a, n*x)-deviance(b, n*y))
}

// betaTails returns the regularised incomplete beta function I_x(a, b) and its
// complement. The caller gives x and y = 1 - x both, each exact.
func betaTails(a, b, x, y float64) (below, above float64) {
	switch {
	case x <= 0:
		return 0, 1
	case y <= 0:
		return 1, 0
	case x > (a+1)/(a+b+2):
		above, below = betaTails(b, a, y, x)
		return below, above
	}
	below = min(betaKernel(a, b, x, y)/a*betaFraction(a, b, x), 1)
	return below, 1 - below
}

// betaFraction is the continued fraction 26.5.8 of Abramowitz and Stegun by
// Lentz's method.
func betaFraction(a, b, x float64) float64 {
	c, d := 1., 1/notZero(1-(a+b)*x/(a+1))
	h := d
	for m := 1.; m < maxTerms; m++ {
		even := m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		d = 1 / notZero(1+even*d)
		c = notZero(1 + even/c)
		h *= d * c
		odd := -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		d = 1 / notZero(1+odd*d)
		c = notZero(1 + odd/c)
		h *= d * c
		if math.Abs(d*c-1) < 2e-16 {
			break
		}
	}
	return h
}

// notZero keeps Lentz's method from dividing by nothing.
func notZero(v float64) float64 {
	if math.Abs(v) < 1e-300 {
		return 1e-300
	}
	return v
}

// invert returns the u between low and high at which the lower tail is p and
// the upper one q = 1 - p. The tails are monotone in u; slope is the density
// with respect to u. Newton's method on the logarithm of the smaller tail, kept
// inside a shrinking bracket.
func invert(p, q, low, high, start float64, tails func(u float64) (below, above, slope float64)) float64 {
	u := min(max(start, low), high)
	for range 200 {
		below, above, slope := tails(u)
		var step float64
		if p <= q {
			step = -math.Log(below/p) * below / slope
		} else {
			step = math.Log(above/q) * above / slope
		}
		if p <= q && below < p || p > q && above > q {
			low = u
		} else {
			high = u
		}
		next := u + step
		if !(next >= low && next <= high) {
			next = low + (high-low)/2
		}
		if math.Abs(next-u) <= 1e-10*min(math.Abs(u), 1) || next == u {
			return next
		}
		u = next
	}
	return u
}
