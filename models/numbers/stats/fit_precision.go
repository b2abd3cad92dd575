package stats

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrUnsettled: the sample does not settle the parameters of the shape.
var ErrUnsettled = errors.New("the values do not settle the parameters")

// StandardError returns the standard error of a figure of the distribution,
// such as a percentile, after it was fitted to these values:
//
//	sqrt(g' I^-1 g),
//
// with g the gradient of the figure and I the observed information, minus the
// second derivatives of the log-likelihood (Meeker and Escobar, Statistical
// Methods for Reliability Data, 8.4 and B.6). Both are taken by central
// differences in coordinates in which the likelihood is close to a parabola. It
// returns an error wrapping [ErrUnsettled] where the information is not
// positive.
func (d Distribution) StandardError(x []float64, figure func(Distribution) (float64, error)) (float64, error) {
	if d.law == nil {
		return 0, ErrShape
	}
	if err := Check(x, d.family.least); err != nil {
		return 0, about("x", err)
	}
	m := d.coordinates()
	k := len(m.at)
	information, gradient := mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
	here := logLikelihood(d.law, x)
	for i := range k {
		up, down := m.moved(i, 1, 0, 0), m.moved(i, -1, 0, 0)
		rise, errUp := figure(Distribution{d.family, up})
		fall, errDown := figure(Distribution{d.family, down})
		if err := errors.Join(errUp, errDown); err != nil {
			return 0, err
		}
		gradient.SetVec(i, (rise-fall)/2)
		information.SetSym(i, i, 2*here-logLikelihood(up, x)-logLikelihood(down, x))
		for j := range i {
			mixed := logLikelihood(m.moved(i, 1, j, 1), x) + logLikelihood(m.moved(i, -1, j, -1), x) -
				logLikelihood(m.moved(i, 1, j, -1), x) - logLikelihood(m.moved(i, -1, j, 1), x)
			information.SetSym(i, j, -mixed/4)
		}
	}
	for i := range k {
		for j := range i + 1 {
			if v := information.At(i, j); math.IsNaN(v) || math.IsInf(v, 0) {
				return 0, ErrUnsettled
			}
		}
	}
	var factor mat.Cholesky
	var solved mat.VecDense
	if !factor.Factorize(information) || factor.SolveVecTo(&solved, gradient) != nil {
		return 0, ErrUnsettled
	}
	variance := mat.Dot(gradient, &solved)
	if !(variance >= 0) || math.IsInf(variance, 0) {
		return 0, ErrUnsettled
	}
	return math.Sqrt(variance), nil
}

// coordinates are the parameters of a law on scales of their own: those that
// are above 0 by their logarithms. steps is how far each is moved for a
// difference, about a thousandth of what it is uncertain by with one value.
type coordinates struct {
	at, steps []float64
	law       func([]float64) law
}

// moved returns the law at i steps along one coordinate and j along another.
func (c coordinates) moved(one int, i float64, other int, j float64) law {
	at := append([]float64(nil), c.at...)
	at[one] += i * c.steps[one]
	at[other] += j * c.steps[other]
	return c.law(at)
}

func (d Distribution) coordinates() coordinates {
	const small = 1e-3
	switch l := d.law.(type) {
	case gaussian:
		return located(l.mean, l.sd, small, func(at, scale float64) law { return gaussian{at, scale} })
	case lognormal:
		return located(l.log.mean, l.log.sd, small, func(at, scale float64) law { return lognormal{gaussian{at, scale}} })
	case largest:
		return located(l.location, l.scale, small, func(at, scale float64) law { return largest{at, scale} })
	case folded:
		if l.mu > 0 {
			return located(l.mu, l.sigma, small, func(at, scale float64) law { return folded{math.Abs(at), scale} })
		}
		// The half-normal: mu stands at its bound.
		return coordinates{[]float64{math.Log(l.sigma)}, []float64{small}, func(c []float64) law { return folded{0, math.Exp(c[0])} }}
	case boxCox:
		return coordinates{
			[]float64{l.lambda, math.Log(l.median), math.Log(l.spread)},
			[]float64{small / l.spread, small * l.spread, small},
			func(c []float64) law { return boxCox{c[0], math.Exp(c[1]), math.Exp(c[2])} },
		}
	}
	var at, steps []float64
	for _, v := range d.law.parameters() {
		at, steps = append(at, math.Log(v)), append(steps, small)
	}
	return coordinates{at, steps, func(c []float64) law {
		p := make([]float64, len(c))
		for i, v := range c {
			p[i] = math.Exp(v)
		}
		return d.family.build(p)
	}}
}

// located are the coordinates of a location and a scale.
func located(at, scale, small float64, build func(at, scale float64) law) coordinates {
	return coordinates{
		[]float64{at, math.Log(scale)}, []float64{small * scale, small},
		func(c []float64) law { return build(c[0], math.Exp(c[1])) },
	}
}
