package gauge

import (
	"fmt"
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

// MostPoints bounds the points of a profile; a wheel has some dozens of holes.
const MostPoints = 10_000

// ReadTIR is what a total indicator reading, the highest less the lowest of the
// points read, comes to when each point is read with noise.
type ReadTIR struct {
	True     float64 // Of the profile itself.
	Mean, SD float64 // Of what is read.
	Bias     float64 // Mean - True, never negative.
}

// NoisyTIR returns mean and standard deviation of the total read of a profile
// whose points are read with independent normal noise sigma. With M the highest
// and m the lowest reading, and t_i the profile,
//
//	P(M <= b) = prod Phi((b - t_i)/sigma) = F(b)
//	P(m > a)  = prod Phi((t_i - a)/sigma) = S(a)
//	P(m > a, M <= b) = prod (Phi((b - t_i)/sigma) - Phi((a - t_i)/sigma)) = G(a, b)
//	E M = max t + Int (1 - F) db over b > max t - Int F db over b < max t, E m likewise
//	Cov(M, m) = Int Int (F(b) S(a) - G(a, b)) da db, Hoeffding's formula
//
// by Gauss-Legendre quadrature over nine sigma either side of max t and min t,
// beyond which nothing of it is left. On a level profile these are d2 sigma and
// d3 sigma. The mean holds nine digits, the standard deviation four for two or
// three points, where G has a bend along a = b, and seven for more.
//
// The bias is never negative (the highest reading is at least that of the
// highest point, on average the point itself) and never more than d2(n) sigma
// (the range of a sum is at most the sum of the ranges); the standard deviation
// is never more than sqrt(2) sigma (Poincare's inequality for normal noise).
func NoisyTIR(profile []float64, sigma float64) (ReadTIR, error) {
	e, err := newExtremes(profile, sigma)
	if err != nil {
		return ReadTIR{}, err
	}
	bias := e.bias()
	t := ReadTIR{True: e.total, Bias: bias, Mean: e.total + bias, SD: e.sd()}
	return t, checkAll(checkFinite("profile", t.Mean), checkFinite("noise", t.SD))
}

// reachOfNoise is how many sigma single readings lie from their point at most.
const reachOfNoise = 9.0

// extremes holds the distributions of the highest and the lowest reading at the
// nodes of the quadrature, in sigma from the highest and the lowest point. The
// lists are empty where there is no noise.
type extremes struct {
	sigma, total   float64
	nodes, weights []float64
	// top[i][k] is Phi of point k at node i of the upper end, bottom at the lower
	// end; below is F and above is S.
	top, bottom  [][]float64
	below, above []float64
}

func newExtremes(profile []float64, sigma float64) (extremes, error) {
	if err := checkProfile(profile, sigma); err != nil {
		return extremes{}, err
	}
	e := extremes{sigma: sigma, total: spread(profile)}
	if err := checkFinite("profile", e.total); err != nil || sigma == 0 {
		return e, err
	}
	if err := checkFinite("noise", e.total/sigma); err != nil {
		return extremes{}, err
	}
	highest, lowest := slices.Max(profile), slices.Min(profile)
	e.nodes, e.weights = noiseRule()
	n := len(e.nodes)
	e.top, e.bottom, e.below, e.above = make([][]float64, n), make([][]float64, n), make([]float64, n), make([]float64, n)
	for i, x := range e.nodes {
		e.top[i], e.bottom[i] = make([]float64, len(profile)), make([]float64, len(profile))
		e.below[i], e.above[i] = 1, 1
		for k, v := range profile {
			e.top[i][k], e.bottom[i][k] = stats.NormalBelow(x-(v-highest)/sigma), stats.NormalBelow(x-(v-lowest)/sigma)
			e.below[i] *= e.top[i][k]
			e.above[i] *= stats.NormalBelow((v-lowest)/sigma - x)
		}
	}
	return e, nil
}

// bias returns E M - E m less the total of the profile.
func (e extremes) bias() float64 {
	var high, low float64
	for i, w := range e.weights {
		high += w * (1 - e.below[i])
		low += w * (1 - e.above[i])
	}
	if e.sigma == 0 {
		return 0
	}
	return e.sigma * max(high+low-2*reachOfNoise, 0)
}

// sd returns the standard deviation of M - m.
func (e extremes) sd() float64 {
	// M and -m are counted from the far end of their intervals.
	var high, highSquare, low, lowSquare, covariance float64
	for i, x := range e.nodes {
		w := e.weights[i]
		high += w * (1 - e.below[i])
		highSquare += w * 2 * (x + reachOfNoise) * (1 - e.below[i])
		low += w * (1 - e.above[i])
		lowSquare += w * 2 * (reachOfNoise - x) * (1 - e.above[i])
		for j, y := range e.nodes {
			covariance += w * e.weights[j] * (e.below[i]*e.above[j] - between(e.top[i], e.bottom[j], x-y+e.total/e.sigma))
		}
	}
	variance := highSquare - high*high + lowSquare - low*low - 2*covariance
	return e.sigma * math.Sqrt(max(variance, 0))
}

// between returns G, the probability that all readings lie between a and b,
// from the probabilities below each; width is b - a.
func between(belowB, belowA []float64, width float64) float64 {
	if width <= 0 {
		return 0
	}
	product := 1.0
	for k := range belowB {
		product *= belowB[k] - belowA[k]
	}
	return product
}

// noiseRule is a composite Gauss-Legendre rule over the reach of the noise.
func noiseRule() (nodes, weights []float64) {
	const panels, each = 8, 16
	for i := range panels {
		low := -reachOfNoise + float64(i)*2*reachOfNoise/panels
		at, weight := stats.GaussLegendre(each, low, low+2*reachOfNoise/panels)
		nodes, weights = append(nodes, at...), append(weights, weight...)
	}
	return nodes, weights
}

func checkProfile(profile []float64, sigma float64) error {
	if err := stats.Check(profile, 2); err != nil {
		return about("profile", err)
	}
	if len(profile) > MostPoints {
		return about("profile", fmt.Errorf("more than %d points: %w", MostPoints, ErrTooMuch))
	}
	return checkNotNegative("noise", sigma)
}
