package stats

import (
	"fmt"
	"math"
)

// mostGammaShape bounds the shape of a gamma distribution: beyond it the spread
// is a thousandth of the mean, nothing tells it from a normal one, and the
// sums of its tails would take long.
const mostGammaShape = 1e6

// gammaLaw is the gamma distribution with mean shape x scale.
type gammaLaw struct{ shape, scale float64 }

func buildGamma(p []float64) law { return gammaLaw{p[0], p[1]} }

// fitGamma maximises the likelihood (Choi and Wette, Technometrics 11, 1969):
//
//	ln(shape) - digamma(shape) = ln(mean x) - mean(ln x), scale = mean(x)/shape.
//
// The left side falls from infinity to 0 and lies between 1/(2 shape) and
// 1/shape, which brackets the root.
func fitGamma(x []float64) (law, error) {
	if err := positive(x); err != nil {
		return nil, err
	}
	if err := spreadOut(x); err != nil {
		return nil, err
	}
	mean, err := Mean(x)
	if err != nil {
		return nil, err
	}
	// ln(mean) - mean(ln x) without the difference of two large numbers: the
	// deviations sum to nothing, so they may be taken off term by term.
	terms := make([]float64, len(x))
	for i, v := range x {
		d := (v - mean) / mean
		terms[i] = d - math.Log1p(d)
		if v < mean/2 {
			terms[i] = d - math.Log(v/mean)
		}
	}
	s := Sum(terms) / float64(len(x))
	if s < 0.5/mostGammaShape {
		return nil, fmt.Errorf("the spread is below a thousandth of the mean, take the normal shape: %w", ErrNoSpread)
	}
	logShape := zeroBetween(func(u float64) float64 { return logMinusDigamma(math.Exp(u)) - s }, math.Log(0.49/s), math.Log(1.01/s))
	shape := math.Exp(logShape)
	return gammaLaw{shape, mean / shape}, nil
}

func (g gammaLaw) parameters() []float64 { return []float64{g.shape, g.scale} }

func (g gammaLaw) check() error {
	if err := checkPositive("shape", g.shape); err != nil {
		return err
	}
	if g.shape > mostGammaShape {
		return outside("shape", g.shape, "must be at most 1e6")
	}
	return checkPositive("scale", g.scale)
}

func (g gammaLaw) tails(x float64) (below, above float64) { return gammaTails(g.shape, x/g.scale) }

func (g gammaLaw) quantile(p, q float64) float64 { return g.scale * gammaInverse(p, q, g.shape) }

func (g gammaLaw) logDensity(x float64) float64 {
	if x < 0 {
		return math.Inf(-1)
	}
	// x^(a-1) e^-x / Gamma(a) is a/x times the kernel of special.go.
	r := x / g.scale
	if r == 0 {
		if g.shape == 1 {
			return -math.Log(g.scale)
		}
		return math.Inf(int(math.Copysign(1, 1-g.shape)))
	}
	return -stirlingError(g.shape) - deviance(g.shape, r) + math.Log(g.shape)/2 - halfLog2Pi - math.Log(r) - math.Log(g.scale)
}

// logMinusDigamma returns ln k - digamma(k) for k above 0, about 1/(2k) for
// large ones, without subtracting the two: digamma is taken at k + 16 by
// Abramowitz and Stegun, 6.3.18, and brought back by 6.3.5.
func logMinusDigamma(k float64) float64 {
	var back float64
	at := k
	if k < 16 {
		for i := range 16 {
			back += 1 / (k + float64(i))
		}
		at = k + 16
		back -= math.Log(at / k)
	}
	s := 1 / (at * at)
	return back + 0.5/at + s*(1./12-s*(1./120-s*(1./252-s*(1./240-s*(1./132)))))
}
