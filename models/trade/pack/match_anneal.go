package pack

import (
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

// Temperatures of the annealing, in parts of the mean cost of a pack at the
// start, and the price of a broken rule in the same unit.
const (
	hotSum, coldSum = 0.6, 0.002
	hotMax, coldMax = 1.0, 1e-4
	brokenPenalty   = 10.0
	helpOfCost      = 0.3 // weight of the costs while the rules are the aim
)

// annealer is a layout on its way.
type annealer struct {
	m      *matcher
	l      layout
	packs  int
	aim    aim
	place  []int // where each block stands in the layout
	energy []float64
	unit   float64
	random *stats.Random
}

// anneal exchanges blocks between packs, and between packs and what is left
// over, at a falling temperature. Blocks change places within their lot; where
// there are several, a pack is now and then replaced by blocks of another lot.
// The worst pack is made small through the eighth power of the costs.
func (m *matcher) anneal(start layout, packs, effort int, run uint64, aim aim) layout {
	a := &annealer{m: m, aim: aim, l: slices.Clone(start), packs: packs, place: make([]int, len(start)),
		energy: make([]float64, packs), random: stats.NewRandom(searchSeed ^ run<<32)}
	for at, block := range a.l {
		a.place[block] = at
	}
	for p := range packs {
		a.unit += m.float(m.cost(m.shape(a.members(p)))) / float64(packs)
	}
	if a.unit == 0 {
		a.unit = 1
	}
	for p := range packs {
		a.energy[p] = a.weigh(p)
	}
	hot, cold := hotSum, coldSum
	if a.aim == toWorst {
		hot, cold = hotMax, coldMax
	}
	steps := effort / (2 * m.k)
	cooling := math.Pow(cold/hot, 1/float64(steps))
	const replaceEvery = 64
	for step, t := 0, hot; step < steps; step, t = step+1, t*cooling {
		if len(m.lots) > 1 && step%replaceEvery == 0 {
			a.replace(t)
			continue
		}
		a.exchange(t)
	}
	return a.l
}

func (a *annealer) members(p int) []int { return a.l[p*a.m.k : (p+1)*a.m.k] }

// weigh gives the energy of a pack.
func (a *annealer) weigh(p int) float64 {
	s := a.m.shape(a.members(p))
	e := a.m.float(a.m.cost(s)) / a.unit
	switch a.aim {
	case toWorst:
		e *= e
		e *= e
		e *= e
	case toKeepRules:
		e *= helpOfCost
	}
	if over := a.m.excess(s); over > 0 {
		e += brokenPenalty * (1 + over)
	}
	return e
}

// accepts decides on a change of energy at a temperature (Metropolis).
func (a *annealer) accepts(change, t float64) bool {
	return change <= 0 || a.random.Uniform() < math.Exp(-change/t)
}

func (a *annealer) swap(i, j int) {
	a.l[i], a.l[j] = a.l[j], a.l[i]
	a.place[a.l[i]], a.place[a.l[j]] = i, j
}

// exchange tries to change the places of a block of a pack and another block of
// its lot.
func (a *annealer) exchange(t float64) {
	i := a.random.Below(a.packs * a.m.k)
	lot := a.m.lots[a.m.lotOf[a.l[i]]]
	j := a.place[lot[a.random.Below(len(lot))]]
	p, q := i/a.m.k, j/a.m.k
	if p == q {
		return
	}
	a.swap(i, j)
	before, after := a.energy[p], a.weigh(p)
	if q >= a.packs {
		if a.accepts(after-before, t) {
			a.energy[p] = after
			return
		}
		a.swap(i, j)
		return
	}
	other := a.weigh(q)
	if a.accepts(after+other-before-a.energy[q], t) {
		a.energy[p], a.energy[q] = after, other
		return
	}
	a.swap(i, j)
}

// replace tries to put blocks of one lot that are left over in place of a whole
// pack.
func (a *annealer) replace(t float64) {
	lot := a.random.Below(len(a.m.lots))
	var free []int
	for at := a.packs * a.m.k; at < len(a.l); at++ {
		if a.m.lotOf[a.l[at]] == lot {
			free = append(free, at)
		}
	}
	if len(free) < a.m.k {
		return
	}
	stats.Shuffle(a.random, free)
	p := a.random.Below(a.packs)
	for i := range a.m.k {
		a.swap(p*a.m.k+i, free[i])
	}
	if after := a.weigh(p); a.accepts(after-a.energy[p], t) {
		a.energy[p] = after
		return
	}
	for i := range a.m.k {
		a.swap(p*a.m.k+i, free[i])
	}
}
