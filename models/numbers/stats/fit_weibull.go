package stats

import "math"

// weibull is the two-parameter Weibull distribution,
//
//	F(x) = 1 - exp(-(x/scale)^shape).
//
// With shape 1 it is the exponential, with shape 2 the Rayleigh distribution.
type weibull struct{ shape, scale float64 }

func buildWeibull(p []float64) law { return weibull{p[0], p[1]} }

// fitWeibull maximises the likelihood of complete data, that is, it solves
//
//	sum(x^b ln x)/sum(x^b) - 1/b = mean(ln x), scale = (mean of x^b)^(1/b)
//
// (NIST/SEMATECH e-Handbook, 8.4.1.2). -ln x follows the largest extreme value
// distribution with scale 1/b, whose root has a bracket that is always right.
func fitWeibull(x []float64) (law, error) {
	if err := positive(x); err != nil {
		return nil, err
	}
	y := logs(x)
	for i := range y {
		y[i] = -y[i]
	}
	l, err := fitLargest(y)
	if err != nil {
		return nil, err
	}
	p := l.parameters()
	return weibull{1 / p[1], math.Exp(-p[0])}, nil
}

func (w weibull) parameters() []float64 { return []float64{w.shape, w.scale} }

func (w weibull) check() error {
	if err := checkPositive("shape", w.shape); err != nil {
		return err
	}
	return checkPositive("scale", w.scale)
}

func (w weibull) tails(x float64) (below, above float64) {
	if x <= 0 {
		return 0, 1
	}
	h := math.Pow(x/w.scale, w.shape)
	return -math.Expm1(-h), math.Exp(-h)
}

func (w weibull) quantile(p, q float64) float64 {
	return w.scale * math.Pow(minusLog(q, p), 1/w.shape)
}

func (w weibull) logDensity(x float64) float64 {
	if x < 0 {
		return math.Inf(-1)
	}
	ratio := x / w.scale
	power := math.Pow(ratio, w.shape)
	if w.shape == 1 {
		return -math.Log(w.scale) - power
	}
	return math.Log(w.shape/w.scale) + (w.shape-1)*math.Log(ratio) - power
}

// exponential has the one parameter mean.
type exponential struct{ weibull }

func buildExponential(p []float64) law { return exponential{weibull{1, p[0]}} }

// fitExponential: the likelihood is greatest at the mean of the values.
func fitExponential(x []float64) (law, error) {
	if err := notNegative(x); err != nil {
		return nil, err
	}
	mean, err := Mean(x)
	if err != nil {
		return nil, err
	}
	return exponential{weibull{1, mean}}, nil
}

func (e exponential) parameters() []float64 { return []float64{e.scale} }

func (e exponential) check() error { return checkPositive("mean", e.scale) }

// rayleigh has the one parameter sigma, the standard deviation of each of its
// two normal parts: F(x) = 1 - exp(-x^2/(2 sigma^2)).
type rayleigh struct{ weibull }

func buildRayleigh(p []float64) law { return rayleigh{weibull{2, p[0] * math.Sqrt2}} }

// fitRayleigh: the likelihood is greatest at sigma = sqrt(mean(x^2)/2)
// (Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 1,
// chapter 18).
func fitRayleigh(x []float64) (law, error) {
	if err := notNegative(x); err != nil {
		return nil, err
	}
	return rayleigh{weibull{2, rootMeanSquare(x)}}, nil
}

func (r rayleigh) parameters() []float64 { return []float64{r.scale / math.Sqrt2} }

func (r rayleigh) check() error { return checkPositive("sigma", r.scale) }

// rootMeanSquare returns sqrt(mean(x^2)) of values of which one is not 0.
func rootMeanSquare(x []float64) float64 {
	var largest float64
	for _, v := range x {
		largest = max(largest, math.Abs(v))
	}
	squares := make([]float64, len(x))
	for i, v := range x {
		squares[i] = (v / largest) * (v / largest)
	}
	return largest * math.Sqrt(Sum(squares)/float64(len(x)))
}
