package wheel

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// wholeStep is what of a step counts as none.
const wholeStep = 0.01

// sortsOfSpokes is after how many spokes lacing repeats itself.
const sortsOfSpokes = 4

// roundings gives whole steps near an optimum from which a descent is worth
// trying: each value rounded by itself, and nipple after nipple round the rim,
// each rounded to where it should be after the rounding errors before it
// (Babai's nearest plane, Combinatorica 6, 1986, on the Cholesky factor of J),
// from every fourth spoke, from which the wheel looks alike, and both ways round.
func (p *Plan) roundings(optimum []float64, bound, most int) [][]int {
	n := len(optimum)
	clip := func(steps float64) int { return max(-bound, min(most, int(math.Round(steps)))) }
	plain := make([]int, n)
	for i, x := range optimum {
		plain[i] = clip(x / p.task.Step)
	}
	all := [][]int{plain}
	if p.task.LoosenOnly {
		// Less than half a step on every nipple is none when each is rounded by
		// itself, and from none no single nipple can be loosened.
		down := make([]int, n)
		for i, x := range optimum {
			down[i] = max(-bound, min(0, int(math.Floor(x/p.task.Step+wholeStep))))
		}
		all = append(all, down)
	}
	for first := 0; first < n; first += sortsOfSpokes {
		for _, way := range []int{1, n - 1} {
			order := make([]int, n)
			for k := range order {
				order[k] = (first + way*k) % n
			}
			if steps, ok := p.nearestPlane(optimum, order, clip); ok {
				all = append(all, steps)
			}
		}
	}
	return all
}

// nearestPlane rounds the nipples in an order, the last one first.
func (p *Plan) nearestPlane(optimum []float64, order []int, clip func(float64) int) (steps []int, ok bool) {
	n := len(order)
	q := mat.NewSymDense(n, nil)
	for a, i := range order {
		for b := a; b < n; b++ {
			q.SetSym(a, b, p.problem.q.At(i, order[b]))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(q) {
		return nil, false
	}
	upper := chol.RawU()
	steps = make([]int, n)
	off := make([]float64, n) // turns from the optimum, by place in the order
	for a := n - 1; a >= 0; a-- {
		wanted := optimum[order[a]]
		for b := a + 1; b < n; b++ {
			wanted -= upper.At(a, b) / upper.At(a, a) * off[b]
		}
		steps[order[a]] = clip(wanted / p.task.Step)
		off[a] = float64(steps[order[a]])*p.task.Step - optimum[order[a]]
	}
	return steps, true
}
