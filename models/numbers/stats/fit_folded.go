package stats

import "math"

// folded is the size of a normal value with mean mu and standard deviation sigma, its
// sign dropped. The law of -mu is that of mu, which is kept as 0 or above.
type folded struct{ mu, sigma float64 }

func buildFolded(p []float64) law { return folded{math.Abs(p[0]), p[1]} }

// foldedGrid is at how many ratios mu/sigma the likelihood is looked at before
// the best of them is refined.
const foldedGrid = 48

// fitFolded maximises the likelihood (Leone, Nelson and Nottingham,
// Technometrics 3, 1961; Tsagris, Beneki and Hassani, Mathematics 2, 2014). At
// its stationary points
//
//	sigma^2 = mean(x^2) - mu^2 and mu = mean(x tanh(mu x / sigma^2)),
//
// which leaves the one unknown r = mu/sigma with sigma^2 = mean(x^2)/(1 + r^2).
// r = 0, the half-normal, is always stationary; any other point lies below
// mean(x)/sd(x), since tanh is below 1. The best point of a grid over that range
// is refined to the root beside it.
func fitFolded(x []float64) (law, error) {
	if err := notNegative(x); err != nil {
		return nil, err
	}
	if err := spreadOut(x); err != nil {
		return nil, err
	}
	root := rootMeanSquare(x)
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = v / root // mean(y^2) is 1.
	}
	mean, err := Mean(y)
	if err != nil {
		return nil, err
	}
	sd, err := SD(y)
	if err != nil {
		return nil, err
	}
	most := mean / sd * math.Sqrt(float64(len(x))/float64(len(x)-1))
	grid := make([]float64, foldedGrid+1)
	for i := range grid {
		grid[i] = most * float64(i) / foldedGrid
	}
	best, bestAt := math.Inf(-1), 0
	for i, r := range grid {
		if l := foldedLikelihood(y, r); l > best {
			best, bestAt = l, i
		}
	}
	slope := func(r float64) float64 { return foldedSlope(y, r) }
	low, high := grid[max(bestAt-1, 0)], grid[max(bestAt, 1)]
	if bestAt > 0 && bestAt < foldedGrid && slope(high) > 0 {
		low, high = high, grid[bestAt+1]
	}
	// So close to 0 the likelihood is flat to the last digits.
	low = max(low, 0.02*grid[1])
	r := grid[bestAt]
	if slope(low) > 0 && slope(high) <= 0 {
		r = zeroBetween(slope, low, high)
	}
	sigma := root / math.Sqrt(1+r*r)
	return folded{r * sigma, sigma}, nil
}

// foldedLikelihood returns the mean log-likelihood of values with mean square 1
// at the ratio r = mu/sigma, up to a constant.
func foldedLikelihood(y []float64, r float64) float64 {
	s := math.Sqrt(1 + r*r) // 1/sigma.
	terms := make([]float64, len(y))
	for i, v := range y {
		// ln cosh(r v s), written so that it never overflows.
		a := r * v * s
		terms[i] = a + math.Log1p(math.Exp(-2*a)) - math.Ln2
	}
	// mean((y^2 + mu^2)/(2 sigma^2)) = (1 + r^2)/2 + r^2/2.
	return math.Log(s) - r*r + Sum(terms)/float64(len(y))
}

// foldedSlope returns half the derivative of the likelihood with respect to r
// apart from a positive factor; the two conditions of fitFolded in one.
func foldedSlope(y []float64, r float64) float64 {
	s := math.Sqrt(1 + r*r)
	terms := make([]float64, len(y))
	for i, v := range y {
		terms[i] = v * math.Tanh(r*v*s)
	}
	return s*Sum(terms)/float64(len(y)) - r
}

func (f folded) parameters() []float64 { return []float64{f.mu, f.sigma} }

func (f folded) check() error {
	return checkPositive("sigma", f.sigma)
}

func (f folded) tails(x float64) (below, above float64) {
	if x <= 0 {
		return 0, 1
	}
	near, far := (x-f.mu)/f.sigma, (x+f.mu)/f.sigma
	above = NormalAbove(near) + NormalAbove(far)
	switch {
	case near >= 0:
		return (math.Erf(near/math.Sqrt2) + math.Erf(far/math.Sqrt2)) / 2, above
	case x < f.sigma/2 && x*f.mu < f.sigma*f.sigma:
		// Two nearly equal tails: their difference is the area between -x and x.
		for _, n := range nodesBetween(-x/f.sigma, x/f.sigma, 1) {
			below += n.weight * NormalDensity(n.at-f.mu/f.sigma)
		}
		return below, above
	}
	return NormalBelow(near) - NormalAbove(far), above
}

func (f folded) quantile(p, q float64) float64 {
	// The unfolded value is above x less often than the folded one, and at least
	// half as often where mu is not below 0: the quantile lies between theirs.
	low, high := max(f.mu+f.sigma*normalAt(p, q), 0), f.mu+f.sigma*normalAt(p+q/2, q/2)
	return zeroBetween(func(x float64) float64 {
		below, above := f.tails(x)
		if p <= q {
			return below - p
		}
		return q - above
	}, low, high)
}

func (f folded) logDensity(x float64) float64 {
	if x < 0 {
		return math.Inf(-1)
	}
	near := (x - f.mu) / f.sigma
	return -near*near/2 + math.Log1p(math.Exp(-2*x/f.sigma*(f.mu/f.sigma))) - math.Log(f.sigma) - halfLog2Pi
}
