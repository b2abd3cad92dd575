package wheel

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Plan is a task on a wheel, ready to be answered. With x the turns, l, r and T
// the readings, A the influence for a turn and P taking off the mean,
//
//	J(x) = |(l - dish + A_l x)/s_l|^2 + |P(r + A_r x)/s_r|^2 + |(T + A_T x - target)/s_T|^2 + restraint |x|^2
//
// is made least under |x_j| <= largest turn and floor <= T + A_T x <= ceiling.
// The mean of the radial readings is the gauge's zero and not shape, so that it
// is taken off; the lateral mean is dish and stays. Regularised least squares,
// textbook; weights and limits are common practice, no source.
type Plan struct {
	influence Influence
	task      Task
	problem   quadratic
	ceiling   float64     // N, no spoke above it
	floor     float64     // N, no spoke is to end below it
	largest   float64     // turns
	pull      [][]float64 // pull[i][j]: N on spoke j for a turn of nipple i
}

// NewPlan fits a task to the influence of a wheel. Targets are taken as given,
// also above the ceiling, which is a limit and no target: who wants them within
// it lowers them first. Slack spokes are ErrSlack.
func NewPlan(influence Influence, task Task) (*Plan, error) {
	n, _ := influence.Tension.Dims()
	if err := task.check(n); err != nil {
		return nil, err
	}
	p := &Plan{influence: influence, task: task, ceiling: task.Ceiling(), floor: task.TensionMin, largest: task.largestTurn()}
	p.pull = make([][]float64, n)
	for i := range n {
		p.pull[i] = mat.Col(nil, i, influence.Tension)
	}
	p.problem = p.squares()
	return p, nil
}

// squares gathers J.
func (p *Plan) squares() quadratic {
	n := len(p.task.Tension)
	sum := quadratic{q: mat.NewSymDense(n, nil), g: make([]float64, n)}
	add := func(a mat.Matrix, rest []float64, scale float64) {
		var square mat.Dense
		square.Mul(a.T(), a)
		for i := range n {
			for j := i; j < n; j++ {
				sum.q.SetSym(i, j, sum.q.At(i, j)+square.At(i, j)/(scale*scale))
			}
			for k, r := range rest {
				sum.g[i] += a.At(k, i) * r / (scale * scale)
			}
		}
		for _, r := range rest {
			sum.rest += r * r / (scale * scale)
		}
	}
	add(p.influence.Lateral, p.offTarget(p.task.Lateral, p.task.DishTarget, p.task.DishTarget), p.task.LateralScale)
	middle := average(p.task.Radial)
	add(withoutMean(p.influence.Radial), p.offTarget(p.task.Radial, middle, middle), p.task.RadialScale)
	add(p.influence.Tension, p.offTarget(p.task.Tension, p.task.TargetA, p.task.TargetB), p.task.TensionScale)
	for i := range n {
		sum.q.SetSym(i, i, sum.q.At(i, i)+p.task.Restraint)
	}
	return sum
}

// offTarget takes the target of its side off each value.
func (p *Plan) offTarget(values []float64, a, b float64) []float64 {
	rest := make([]float64, len(values))
	for j, v := range values {
		rest[j] = v - []float64{a, b}[j%2]
	}
	return rest
}

// withoutMean takes the mean of each column off it.
func withoutMean(a *mat.Dense) *mat.Dense {
	out := mat.DenseCopyOf(a)
	rows, columns := out.Dims()
	for j := range columns {
		middle := mat.Sum(out.ColView(j)) / float64(rows)
		for i := range rows {
			out.Set(i, j, out.At(i, j)-middle)
		}
	}
	return out
}

// Condition is the ratio of the largest to the smallest curvature of J: how
// unequally well the readings fix the turns.
func (p *Plan) Condition() (float64, error) {
	var eigen mat.EigenSym
	if !eigen.Factorize(p.problem.q, false) {
		return 0, fieldf("wheel", "is too unevenly stiff to be judged")
	}
	values := eigen.Values(nil)
	condition := values[len(values)-1] / values[0]
	if !finite(condition) || condition <= 0 {
		return 0, fieldf("wheel", "is too unevenly stiff to be judged")
	}
	return condition, nil
}

// Optimum gives the best turns that are no multiple of anything, and the
// ceiling and floor that they keep. Where the limits cannot be kept within the
// largest turn, the least worst excess is allowed: first above the ceiling,
// which comes first, then below the floor.
func (p *Plan) Optimum() (turns []float64, ceiling, floor float64, err error) {
	ceiling, floor = p.ceiling, p.floor
	turns, err = p.problem.minimise(p.limits(ceiling, floor))
	if !errors.Is(err, errInfeasible) {
		return turns, ceiling, floor, p.noTurns(err)
	}
	excess, err := p.leastExcess(math.Inf(1), false)
	if err != nil {
		return nil, 0, 0, p.noTurns(err)
	}
	ceiling += excess
	turns, err = p.problem.minimise(p.limits(ceiling, floor))
	if !errors.Is(err, errInfeasible) {
		return turns, ceiling, floor, p.noTurns(err)
	}
	if excess, err = p.leastExcess(ceiling, true); err != nil {
		return nil, 0, 0, p.noTurns(err)
	}
	floor -= excess
	turns, err = p.problem.minimise(p.limits(ceiling, floor))
	return turns, ceiling, floor, p.noTurns(err)
}

func (p *Plan) noTurns(err error) error {
	if err == nil {
		return nil
	}
	return &FieldError{Field: "options", Problem: fmt.Sprintf("no turns can be found: %v", err)}
}

// tightest is how far a nipple may be tightened.
func (p *Plan) tightest() float64 {
	if p.task.LoosenOnly {
		return 0
	}
	return p.largest
}

// limits lists the bounds of turns and tensions.
func (p *Plan) limits(ceiling, floor float64) []atLeast {
	n := len(p.pull)
	var list []atLeast
	for i := range n {
		up, down := make([]float64, n), make([]float64, n)
		up[i], down[i] = 1, -1
		list = append(list, atLeast{up, -p.largest}, atLeast{down, -p.tightest()})
	}
	for j := range n {
		t := p.task.Tension[j]
		rises, falls := make([]float64, n), make([]float64, n)
		for i := range n {
			rises[i], falls[i] = p.pull[i][j]/limitUnitN, -p.pull[i][j]/limitUnitN
		}
		if !math.IsInf(ceiling, 1) {
			list = append(list, atLeast{falls, (t - ceiling) / limitUnitN})
		}
		if !math.IsInf(floor, -1) {
			list = append(list, atLeast{rises, (floor - t) / limitUnitN})
		}
	}
	return list
}

const (
	limitUnitN  = 100  // tension limits are written in hundreds of newtons, so that they weigh like turns
	excessSlack = 1e-3 // N, let go so that the least excess can be met
	besides     = 1e-6 // weight of a square turn beside the excess
)

// leastExcess finds by how little the ceiling, or under a kept ceiling the
// floor, has to be passed.
func (p *Plan) leastExcess(ceiling float64, ofFloor bool) (float64, error) {
	n := len(p.pull)
	search := quadratic{q: mat.NewSymDense(n+1, nil), g: make([]float64, n+1)}
	for i := range n {
		search.q.SetSym(i, i, besides)
	}
	search.q.SetSym(n, n, 1)
	floor := math.Inf(-1)
	var limits []atLeast
	if ofFloor {
		floor = p.floor
		limits = append(limits, widened(p.limits(ceiling, math.Inf(-1)), 0)...)
		limits = append(limits, widened(p.limits(math.Inf(1), floor)[2*n:], 1)...)
	} else {
		hard := p.limits(p.ceiling, floor)
		limits = append(limits, widened(hard[:2*n], 0)...)
		limits = append(limits, widened(hard[2*n:], 1)...)
	}
	limits = append(limits, atLeast{widened([]atLeast{{make([]float64, n), 0}}, 1)[0].row, 0})
	x, err := search.minimise(limits)
	if err != nil {
		return 0, err
	}
	return math.Max(0, x[n])*limitUnitN + excessSlack, nil
}

// widened gives limits one more unknown with a factor.
func widened(limits []atLeast, factor float64) []atLeast {
	out := make([]atLeast, len(limits))
	for i, l := range limits {
		out[i] = atLeast{append(append(make([]float64, 0, len(l.row)+1), l.row...), factor), l.bound}
	}
	return out
}
