package stats

import (
	"fmt"
	"math"
)

// boxCox is a value that is normal once a power is taken (Box and Cox, Journal
// of the Royal Statistical Society B 26, 1964): y = (x^lambda - 1)/lambda, or
// ln x where lambda is 0, is normal with mean mu and standard deviation sigma.
//
// It is kept as the median m and the relative spread s = sigma/m^lambda,
//
//	x = m (1 + lambda s z)^(1/lambda), z standard normal,
//
// which is the same and loses no digits for any unit of x. A normal y may reach
// where no x is; that part of it counts as x = 0 for a positive lambda, and for
// a negative one as x beyond any number.
type boxCox struct{ lambda, median, spread float64 }

// mostPower bounds the powers that are looked for. A likelihood that still
// rises there says that the values lie too close together for a power to bend
// them: take the normal shape.
const mostPower = 10

func buildBoxCox(p []float64) law {
	lambda, mu, sigma := p[0], p[1], p[2]
	if lambda == 0 {
		return boxCox{0, math.Exp(mu), sigma}
	}
	return boxCox{lambda, math.Exp(math.Log1p(lambda*mu) / lambda), sigma / (1 + lambda*mu)}
}

// fitBoxCox takes the power of greatest likelihood, with mean and standard
// deviation profiled out: the one that makes the variance of y least when x is
// divided by its geometric mean. Median and spread follow from mean and
// standard deviation (n-1) of y.
func fitBoxCox(x []float64) (law, error) {
	if err := positive(x); err != nil {
		return nil, err
	}
	if err := spreadOut(x); err != nil {
		return nil, err
	}
	u := logs(x)
	centre, err := Mean(u)
	if err != nil {
		return nil, err
	}
	for i := range u {
		u[i] -= centre
	}
	lambda, err := bestPower(u)
	if err != nil {
		return nil, err
	}
	y := make([]float64, len(u))
	for i, v := range u {
		y[i] = powered(v, lambda)
	}
	mean, err := Mean(y)
	if err != nil {
		return nil, err
	}
	sd, err := SD(y)
	if err != nil {
		return nil, err
	}
	shift := mean
	if lambda != 0 {
		shift = math.Log1p(lambda*mean) / lambda
	}
	return boxCox{lambda, math.Exp(centre + shift), sd / (1 + lambda*mean)}, nil
}

// powered returns (e^(lambda u) - 1)/lambda, u where lambda is 0.
func powered(u, lambda float64) float64 {
	if lambda == 0 {
		return u
	}
	return math.Expm1(lambda*u) / lambda
}

// bestPower returns the power of greatest likelihood for logarithms u whose mean
// is 0: the lowest point on a grid, refined to the root of the derivative
// beside it.
func bestPower(u []float64) (float64, error) {
	const steps = 80
	at := func(i int) float64 { return float64(i-steps/2) * 2 * mostPower / steps }
	least, leastAt := math.Inf(1), 0
	y := make([]float64, len(u))
	for i := range steps + 1 {
		lambda := at(i)
		for j, v := range u {
			y[j] = powered(v, lambda)
		}
		squares, err := sumOfSquares(y)
		if err != nil {
			continue // Too high a power for this spread.
		}
		if squares < least {
			least, leastAt = squares, i
		}
	}
	if leastAt == 0 || leastAt == steps {
		return 0, fmt.Errorf("no power from -%d to %d fits best: %w", mostPower, mostPower, ErrImpossible)
	}
	slope := func(lambda float64) float64 { return powerSlope(u, lambda) }
	low, high := at(leastAt-1), at(leastAt+1)
	if slope(low) >= 0 || slope(high) <= 0 {
		return at(leastAt), nil
	}
	return zeroBetween(slope, low, high), nil
}

// powerSlope returns half the derivative of the logarithm of the variance of y
// with respect to lambda, cov(y, dy/dlambda)/var(y).
func powerSlope(u []float64, lambda float64) float64 {
	n := float64(len(u))
	y, d := make([]float64, len(u)), make([]float64, len(u))
	near := math.Abs(lambda) < 1e-5
	for i, v := range u {
		if near {
			y[i], d[i] = v+lambda*v*v/2, v*v/2+lambda*v*v*v/3
		} else {
			y[i], d[i] = math.Expm1(lambda*v), v*math.Exp(lambda*v)
		}
	}
	meanY, meanD := Sum(y)/n, Sum(d)/n
	var covariance, variance float64
	for i := range y {
		covariance += (y[i] - meanY) * (d[i] - meanD)
		variance += (y[i] - meanY) * (y[i] - meanY)
	}
	if near {
		return covariance / variance
	}
	return covariance/variance - 1/lambda
}

func (b boxCox) parameters() []float64 {
	if b.lambda == 0 {
		return []float64{0, math.Log(b.median), b.spread}
	}
	return []float64{b.lambda, powered(math.Log(b.median), b.lambda), b.spread * math.Pow(b.median, b.lambda)}
}

func (b boxCox) check() error {
	// The median is not a number where 1 + lambda mu is not above 0.
	if !(b.median > 0) || math.IsInf(b.median, 0) {
		return outside("mu", "the median", "must be a positive number: mu above -1/lambda, below it for a negative lambda")
	}
	return checkPositive("sigma", b.spread)
}

func (b boxCox) tails(x float64) (below, above float64) {
	if x <= 0 {
		x = 0
		if b.lambda <= 0 {
			return 0, 1
		}
	}
	z := powered(math.Log(x/b.median), b.lambda) / b.spread
	return NormalBelow(z), NormalAbove(z)
}

func (b boxCox) quantile(p, q float64) float64 {
	z := b.spread * normalAt(p, q)
	switch {
	case b.lambda == 0:
		return b.median * math.Exp(z)
	case b.lambda*z <= -1 && b.lambda > 0:
		return 0
	case b.lambda*z <= -1:
		return math.Inf(1)
	}
	return b.median * math.Exp(math.Log1p(b.lambda*z)/b.lambda)
}

func (b boxCox) logDensity(x float64) float64 {
	if x <= 0 {
		return math.Inf(-1)
	}
	u := math.Log(x / b.median)
	z := powered(u, b.lambda) / b.spread
	return -z*z/2 + (b.lambda-1)*u - math.Log(b.spread) - halfLog2Pi - math.Log(b.median)
}
