package spc

import (
	"math"

	"tracewright/models/numbers/stats"
)

// chain is a Markov chain of a chart whose statistic is a number on an axis: the
// chance to go from node to node, and of a signal from each. It stands for the
// integral equation of the run length,
//
//	L(u) = 1 + Int L(v) f(v|u) dv
//
// at the nodes of a quadrature (Nystrom): step[i][j] = weight[j] f(v[j]|v[i]).
type chain struct {
	step   [][]float64
	signal []float64
}

// axis is a Gauss-Legendre rule fine enough for a normal density with the
// standard deviation sigma: the error falls with the square of the nodes in the
// exponent, and is below 1e-12 from about two nodes a sigma on.
func axis(from, to, sigma float64) (nodes, weights []float64) {
	return stats.GaussLegendre(24+int(math.Ceil(2.2*(to-from)/sigma)), from, to)
}

// meanSteps returns the mean number of steps to a signal from each node.
//
// The nodes are taken out one by one, the last first, and what went through the
// one taken out goes on to where it led. Only sums and ratios of chances occur
// and no difference, so that a run length of a million points has as many right
// digits as one of ten (Grassmann, Taksar and Heyman, Operations Research 33,
// 1985). The diagonal is never read: a node is left with the chance of all that
// is not itself.
func (c chain) meanSteps() []float64 {
	n := len(c.signal)
	step := make([][]float64, n)
	for i := range step {
		step[i] = append([]float64(nil), c.step[i]...)
	}
	signal := append([]float64(nil), c.signal...)
	time, leave := make([]float64, n), make([]float64, n)
	for i := range time {
		time[i] = 1
	}
	for k := n - 1; k >= 0; k-- {
		out := signal[k]
		for _, p := range step[k][:k] {
			out += p
		}
		leave[k] = out
		for i := range k {
			if step[i][k] == 0 {
				continue
			}
			f := step[i][k] / out
			for j, p := range step[k][:k] {
				step[i][j] += f * p
			}
			signal[i] += f * signal[k]
			time[i] += f * time[k]
		}
	}
	means := make([]float64, n)
	for k := range means {
		sum := time[k]
		for j, p := range step[k][:k] {
			sum += p * means[j]
		}
		means[k] = sum / leave[k]
	}
	return means
}

// walk begins a run at a node.
func (c chain) walk(start int) walk {
	now, then := make([]float64, len(c.signal)), make([]float64, len(c.signal))
	now[start] = 1
	return func() (before, signal float64) {
		clear(then)
		for i, mass := range now {
			if mass == 0 {
				continue
			}
			before += mass
			signal += mass * c.signal[i]
			for j, p := range c.step[i] {
				then[j] += mass * p
			}
		}
		now, then = then, now
		return before, signal
	}
}
