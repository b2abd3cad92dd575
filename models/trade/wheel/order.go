package wheel

import (
	"math"
	"slices"
)

// Turn is one instruction of a list.
type Turn struct {
	Spoke    int     // data index
	Turns    float64 // plus is tighten
	HighestN float64 // highest tension of any spoke once it is done
	At       int     // that spoke
}

// Sequence is a list in the order of work. Done in this order, and as far as
// the model holds, no tension passes the ceiling on the way; where one lies
// above it at the start, the worst excess never grows, but by LiftN.
type Sequence struct {
	List     []Turn
	HighestN float64   // highest tension anywhere on the way, the start included
	At       int       // that spoke
	Turns    []float64 // what the list adds up to, one for each spoke
	Halved   []int     // spokes whose turn is given in two or more parts to keep the ceiling
	Dropped  []int     // spokes whose turn, or a part of it, is left out because no order keeps the ceiling
	LiftN    float64   // N by which the highest tension rises on the way of a first stage that no order spares it
}

// Order puts turns in the order of work: loosen first, so that the highest
// tension stays low, then tighten, each as far as possible from the last ones,
// so that the rim is pulled evenly; common practice, no source. A turn that
// would lift any tension above the ceiling waits. Where every turn left would,
// the largest are halved, down to one step. Where that does not help, the turns
// are given in two passes round the wheel, in four, step by step, which is nearer
// and nearer to turning all nipples at once; and where no order at all keeps
// the ceiling, turns are dropped, in the order that ends best. A list with
// something dropped ends where J is least, so that a torn half of a pair is not
// left behind; J at the end is above that before only where the wheel comes
// nearer to its limits of tension by it.
//
// A first stage that would be left with nothing is given all the same: on an
// even wheel above its ceiling whichever nipple is loosened lifts its
// neighbours a little, and there is no other way down. See loosened.
func (p *Plan) Order(turns []float64) Sequence {
	var best Sequence
	leastOver, least := math.Inf(1), math.Inf(1)
	for _, passes := range []int{1, 2, 4, mostPasses} {
		for _, aside := range []bool{false, true} {
			s, over, objective := p.inPasses(turns, passes, aside)
			if len(s.Dropped) == 0 {
				return s
			}
			if over < leastOver-keptN || over < leastOver+keptN && objective < least {
				best, leastOver, least = s, over, objective
			}
		}
	}
	if p.task.LoosenOnly && len(best.List) == 0 {
		return p.loosened(turns, best)
	}
	return best
}

// lifts are the rises that loosened tries, in parts of what one step of a
// nipple adds to a neighbour. Our own choice.
func lifts() []float64 { return []float64{0.5, 0.75, 1, 1.5, 2, 3, 4} }

// loosened orders a first stage step by step, each nipple as far as possible
// from the last ones, with the least rise of the highest tension that leaves
// nothing out; where none does, none is what it was.
func (p *Plan) loosened(turns []float64, none Sequence) Sequence {
	start, _ := p.startHighest()
	for _, part := range lifts() {
		w := p.newWork(turns, mostPasses)
		w.floor = math.Max(start, p.ceiling) + part*p.stepOnNeighbour()
		for w.left() && w.turnNext() {
		}
		if w.left() {
			continue
		}
		if end, _ := w.highest(w.tension, 0, 0); end >= start-keptN {
			break // Nothing is gained by it.
		}
		s := w.sequence()
		s.LiftN = math.Max(0, s.HighestN-start)
		return s
	}
	return none
}

// mostPasses makes every part one step.
const mostPasses = mostSteps

// inPasses orders turns in so many passes round the wheel. With aside, a turn
// that can come last, its state before it keeping the ceiling too, is set aside
// before anything is dropped.
func (p *Plan) inPasses(turns []float64, passes int, aside bool) (s Sequence, over, objective float64) {
	w := p.newWork(turns, passes)
	for w.left() {
		if w.turnNext() || w.halve() || aside && w.setAside() {
			continue
		}
		w.drop()
	}
	w.finish()
	s = w.sequence()
	end := p.newLattice(make([]int, len(turns)))
	end.standAt(s.Turns)
	return s, end.over, p.problem.value(s.Turns)
}

// work is the state of Order.
type work struct {
	plan    *Plan
	parts   []float64 // what is turned at once, at most; 0 when there is nothing left
	rest    []float64 // what is left to turn
	tension []float64 // after the list so far
	later   []float64 // before what is set aside for the end
	last    []Turn    // what is set aside, the last one first
	wanted  []float64
	passes  []int // passes done, by spoke
	recent  []int
	out     Sequence
	dropped bool
	floor   float64 // N that the highest tension may reach whatever it is now; 0 for none
}

func (p *Plan) newWork(turns []float64, passes int) *work {
	w := &work{plan: p, wanted: turns, parts: slices.Clone(turns), rest: slices.Clone(turns), tension: slices.Clone(p.task.Tension)}
	w.passes = make([]int, len(turns))
	for j, x := range turns {
		steps := math.Ceil(math.Abs(x)/p.task.Step/float64(passes) - 1e-9)
		w.parts[j] = math.Copysign(steps*p.task.Step, x)
	}
	w.later = slices.Clone(w.tension)
	for i, x := range turns {
		for j := range w.later {
			w.later[j] += x * p.pull[i][j]
		}
	}
	w.out = Sequence{List: []Turn{}, Halved: []int{}, Dropped: []int{}, Turns: make([]float64, len(turns))}
	return w
}

// left says whether anything is left to turn.
func (w *work) left() bool {
	for _, r := range w.rest {
		if r != 0 {
			return true
		}
	}
	return false
}

// highest gives the highest of some tensions after one more turn.
func (w *work) highest(tension []float64, spoke int, turn float64) (n float64, at int) {
	n = math.Inf(-1)
	for j, t := range tension {
		if t += turn * w.plan.pull[spoke][j]; t > n {
			n, at = t, j
		}
	}
	return n, at
}

// part is what would be turned next on a spoke.
func (w *work) part(spoke int) float64 {
	if math.Abs(w.rest[spoke]) < math.Abs(w.parts[spoke]) {
		return w.rest[spoke]
	}
	return w.parts[spoke]
}

// turnNext does the turn that is next: of the earliest pass, loosening before
// tightening, then the one farthest from the last ones, then the first. It says
// whether there was one that keeps the ceiling.
func (w *work) turnNext() bool {
	now, _ := w.highest(w.tension, 0, 0)
	allowed := max(now, w.plan.ceiling, w.floor) + limitSlack
	best := -1
	var bestRank rank
	for j, r := range w.rest {
		if r == 0 {
			continue
		}
		here := rank{pass: w.passes[j], tightens: r > 0, apart: w.apart(j)}
		if best >= 0 && !here.before(bestRank) {
			continue
		}
		if n, _ := w.highest(w.tension, j, w.part(j)); n <= allowed {
			best, bestRank = j, here
		}
	}
	if best < 0 {
		return false
	}
	w.turn(best)
	return true
}

// rank is how soon a turn is wanted.
type rank struct {
	pass     int
	tightens bool
	apart    float64
}

func (r rank) before(other rank) bool {
	if r.pass != other.pass {
		return r.pass < other.pass
	}
	if r.tightens != other.tightens {
		return !r.tightens
	}
	return r.apart > other.apart
}

// apart is the distance round the rim to the nearest of the last three nipples
// turned.
func (w *work) apart(spoke int) float64 {
	n := float64(len(w.rest))
	least := 360.0
	for _, r := range w.recent {
		least = math.Min(least, apartDeg(360*float64(spoke)/n, 360*float64(r)/n))
	}
	return least
}

func (w *work) turn(spoke int) {
	by := w.part(spoke)
	t := Turn{Spoke: spoke, Turns: by}
	t.HighestN, t.At = w.highest(w.tension, spoke, by)
	w.out.List = append(w.out.List, t)
	for j := range w.tension {
		w.tension[j] += by * w.plan.pull[spoke][j]
	}
	w.done(spoke, by)
	w.passes[spoke]++
	if w.recent = append(w.recent, spoke); len(w.recent) > 3 {
		w.recent = w.recent[1:]
	}
}

// done takes a turn off what is left.
func (w *work) done(spoke int, by float64) {
	if w.rest[spoke] -= by; math.Abs(w.rest[spoke]) < w.plan.task.Step/2 {
		w.rest[spoke] = 0
	}
}

// setAside keeps one turn for the end: the one before which the highest tension
// is lowest. It says whether there was one that keeps the ceiling. A wheel that
// ends above its ceiling has no such end: its excess may only fall.
func (w *work) setAside() bool {
	if end, _ := w.highest(w.later, 0, 0); end > w.plan.ceiling+keptN {
		return false
	}
	best, lowest := -1, w.plan.ceiling+limitSlack
	for j, r := range w.rest {
		if r == 0 {
			continue
		}
		if n, _ := w.highest(w.later, j, -w.part(j)); n <= lowest {
			best, lowest = j, n
		}
	}
	if best < 0 {
		return false
	}
	by := w.part(best)
	for j := range w.later {
		w.later[j] -= by * w.plan.pull[best][j]
	}
	w.last = append(w.last, Turn{Spoke: best, Turns: by})
	w.done(best, by)
	return true
}

// halve halves the largest parts left, in whole steps, and says whether any
// could be.
func (w *work) halve() bool {
	step, largest := w.plan.task.Step, 0.0
	for j := range w.rest {
		largest = math.Max(largest, math.Abs(w.part(j)))
	}
	if largest < 1.5*step {
		return false
	}
	for j := range w.rest {
		if part := w.part(j); math.Abs(part) > largest-step/2 {
			steps := math.Floor(math.Abs(part)/step/2 + 1e-9)
			w.parts[j] = math.Copysign(math.Max(1, steps)*step, part)
		}
	}
	return true
}

// drop gives up the turn that would lift the highest tension most.
func (w *work) drop() {
	worst, at := math.Inf(-1), -1
	for j, r := range w.rest {
		if r == 0 {
			continue
		}
		if n, _ := w.highest(w.tension, j, w.part(j)); n > worst {
			worst, at = n, j
		}
	}
	for j := range w.later {
		w.later[j] -= w.rest[at] * w.plan.pull[at][j]
	}
	w.rest[at], w.dropped = 0, true
}

// finish does what was set aside. What was dropped in the meantime may stand
// in its way: it is then dropped too.
func (w *work) finish() {
	for _, t := range slices.Backward(w.last) {
		now, _ := w.highest(w.tension, 0, 0)
		if n, _ := w.highest(w.tension, t.Spoke, t.Turns); n > math.Max(now, w.plan.ceiling)+limitSlack {
			w.dropped = true
			continue
		}
		w.rest[t.Spoke], w.parts[t.Spoke] = t.Turns, t.Turns
		w.turn(t.Spoke)
	}
}

// sequence ends the list and sums it up.
func (w *work) sequence() Sequence {
	if w.floor == 0 {
		w.endAtBest()
	}
	s := w.out
	s.HighestN, s.At = w.plan.startHighest()
	parts := make([]int, len(w.wanted))
	for _, t := range s.List {
		parts[t.Spoke]++
		s.Turns[t.Spoke] += t.Turns
		if t.HighestN > s.HighestN {
			s.HighestN, s.At = t.HighestN, t.At
		}
	}
	for j, n := range parts {
		if n > 1 {
			s.Halved = append(s.Halved, j)
		}
		if math.Abs(s.Turns[j]-w.wanted[j]) > w.plan.task.Step/2 {
			s.Dropped = append(s.Dropped, j)
		}
	}
	return s
}

// startHighest is the highest tension as read.
func (p *Plan) startHighest() (n float64, at int) {
	n = math.Inf(-1)
	for j, t := range p.task.Tension {
		if t > n {
			n, at = t, j
		}
	}
	return n, at
}

// endAtBest cuts a list of which something was dropped, or that would end
// worse than it began, where it stands best.
func (w *work) endAtBest() {
	x, tension := make([]float64, len(w.rest)), slices.Clone(w.plan.task.Tension)
	start := w.plan.standing(x, tension)
	best, at, last := start, 0, start
	for k, t := range w.out.List {
		x[t.Spoke] += t.Turns
		for j := range tension {
			tension[j] += t.Turns * w.plan.pull[t.Spoke][j]
		}
		if last = w.plan.standing(x, tension); last.before(best) {
			best, at = last, k+1
		}
	}
	if w.dropped || start.before(last) {
		w.out.List = w.out.List[:at]
	}
}
