package wheel

import (
	"math"
	"slices"
)

// keptN is within how many newtons a limit of tension counts as kept.
const keptN = 1e-6

// overweight is what a newton beyond a limit costs beside J, which is a few
// thousands at most: no gain buys it.
const overweight = 1e9

// mostMoves bounds a descent; it ends long before.
const mostMoves = 5000

// lattice searches among whole steps.
type lattice struct {
	plan    *Plan
	step    float64
	bound   int    // largest number of steps
	most    int    // of them tightening: none where tension is only taken out
	allowed []bool // nipples that may be turned
	steps   []int  // the point
	tension []float64
	slope   []float64
	over    float64 // N beyond limits, all spokes together
	weight  float64 // of a newton beyond limits
}

// newLattice stands at a number of steps for each nipple.
func (p *Plan) newLattice(steps []int) *lattice {
	n := len(p.pull)
	l := &lattice{plan: p, step: p.task.Step, bound: int(math.Floor(p.largest/p.task.Step + 1e-9)), allowed: make([]bool, n), weight: overweight}
	for i := range l.allowed {
		l.allowed[i] = true
	}
	if !p.task.LoosenOnly {
		l.most = l.bound
	}
	l.stand(steps)
	return l
}

// stand recomputes everything at a point.
func (l *lattice) stand(steps []int) {
	l.steps = slices.Clone(steps)
	l.standAt(l.turns())
}

// standAt recomputes everything but the steps.
func (l *lattice) standAt(x []float64) {
	l.slope = l.plan.problem.slope(x)
	l.tension = slices.Clone(l.plan.task.Tension)
	for i, v := range x {
		if v != 0 {
			for j, pull := range l.plan.pull[i] {
				l.tension[j] += v * pull
			}
		}
	}
	l.over = 0
	for _, t := range l.tension {
		l.over += l.plan.beyond(t)
	}
}

// beyond is by how much a tension lies outside its limits.
func (p *Plan) beyond(t float64) float64 {
	if t > p.ceiling+keptN {
		return t - p.ceiling
	}
	if t < p.floor-keptN {
		return p.floor - t
	}
	return 0
}

func (l *lattice) turns() []float64 {
	x := make([]float64, len(l.steps))
	for i, s := range l.steps {
		x[i] = float64(s) * l.step
	}
	return x
}

// worth is J with what lies beyond limits.
func (l *lattice) worth() float64 {
	return l.plan.problem.value(l.turns()) + l.weight*l.over
}

// change is a number of steps on one or two nipples.
type change struct {
	first, by        int
	second, bySecond int // second -1: one nipple only
}

// gain is what a change does to J.
func (l *lattice) gain(c change) float64 {
	q := l.plan.problem.q
	d := float64(c.by) * l.step
	gain := 2*l.slope[c.first]*d + q.At(c.first, c.first)*d*d
	if c.second >= 0 {
		e := float64(c.bySecond) * l.step
		gain += 2*l.slope[c.second]*e + q.At(c.second, c.second)*e*e + 2*q.At(c.first, c.second)*d*e
	}
	return gain
}

// after is what would lie beyond limits after a change; it stops counting once
// it is more than enough.
func (l *lattice) after(c change, enough float64) float64 {
	over := 0.0
	d, e := float64(c.by)*l.step, 0.0
	first := l.plan.pull[c.first]
	second := first
	if c.second >= 0 {
		e, second = float64(c.bySecond)*l.step, l.plan.pull[c.second]
	}
	for j, t := range l.tension {
		if over += l.plan.beyond(t + d*first[j] + e*second[j]); over > enough {
			return over
		}
	}
	return over
}

// within says whether a change stays among the allowed steps.
func (l *lattice) within(c change) bool {
	one := func(i, by int) bool {
		to := l.steps[i] + by
		return l.allowed[i] && to >= -l.bound && to <= l.most
	}
	return one(c.first, c.by) && (c.second < 0 || c.second != c.first && one(c.second, c.bySecond))
}

// better finds the best of the changes that a generator offers; ok is false
// when none is an improvement.
func (l *lattice) better(offer func(try func(change))) (best change, ok bool) {
	least := -1e-9
	offer(func(c change) {
		if !l.within(c) {
			return
		}
		gain := l.gain(c)
		if l.over == 0 && gain >= least {
			return
		}
		over := l.after(c, l.over+math.Max(0, least-gain)/l.weight)
		if total := gain + l.weight*(over-l.over); total < least {
			best, least, ok = c, total, true
		}
	})
	return best, ok
}

// apply makes a change.
func (l *lattice) apply(c change) {
	steps := slices.Clone(l.steps)
	steps[c.first] += c.by
	if c.second >= 0 {
		steps[c.second] += c.bySecond
	}
	l.stand(steps)
}

// descend takes the best single step while one improves, then the best pair of
// steps, until neither does. Turns of high waves hardly move the rim, so that
// single steps alone stop early.
func (l *lattice) descend() {
	n := len(l.steps)
	singles := func(try func(change)) {
		for i := range n {
			try(change{first: i, by: 1, second: -1})
			try(change{first: i, by: -1, second: -1})
		}
	}
	pairs := func(try func(change)) {
		for i := range n {
			if !l.allowed[i] {
				continue
			}
			for k := i + 1; k < n; k++ {
				if l.allowed[k] {
					try(change{i, 1, k, -1})
					try(change{i, -1, k, 1})
					try(change{i, 1, k, 1})
					try(change{i, -1, k, -1})
				}
			}
		}
	}
	for range mostMoves {
		best, ok := l.better(singles)
		if !ok {
			if best, ok = l.better(pairs); !ok {
				return
			}
		}
		l.apply(best)
	}
}

// Lattice gives good turns in whole steps: from several roundings of the
// optimum and from no turns at all downhill, the best of them. The best of all
// lattice points is beyond reach; this comes within a few percent of it as a
// rule, and never is worse than no turns.
func (p *Plan) Lattice(optimum []float64) []float64 {
	best := p.newLattice(make([]int, len(optimum)))
	starts := append(p.roundings(optimum, best.bound, best.most), make([]int, len(optimum)))
	for _, start := range starts {
		l := p.newLattice(start)
		l.descend()
		if l.worth() < best.worth() {
			best = l
		}
	}
	return best.turns()
}
