package wheel

import "math"

// List is one answer of a prescription: turns and what the model expects of
// them. The turns of a list with a sequence are what that adds up to, so that a
// turn that no order allows is not in it.
type List struct {
	Turns    []float64 // one for each spoke, plus is tighten
	Expected State
	Feasible bool // every tension ends between floor and ceiling
	Touched  int  // nipples turned
	Sequence Sequence
}

// Prescription is what to turn.
type Prescription struct {
	Before  State
	Optimum List // no multiple of anything, without sequence: what the best hands could reach
	Lattice List // in whole steps, without sequence: limits kept at the end, if not on the way
	All     List // what to do: in whole steps and in order, every nipple that gains by it
	Short   List // what to do when few nipples are wanted: those that do most

	Condition      float64
	Ceiling, Floor float64 // N, of the tensions
	TakeTensionOut bool    // some tension lies, and stays in this round, beyond its limits: a first stage
	WorstExcessN   float64 // N beyond limits that the optimum leaves; 0 without

	// RimNotBuilder lists the codes whose wanted limit even the optimum does not
	// reach though no nipple is at its largest turn: turning cannot mend it.
	RimNotBuilder []string
}

// Prescribe answers a task on a wheel. The model's honest limits: stiffness is
// assumed, it was never validated on a real wheel, it holds for taut spokes and
// small turns. Plan for two or three rounds, reading everything again after
// each, and compare (see Learn).
func Prescribe(m *Model, task Task) (Prescription, error) {
	p, err := NewPlan(m.Influence(), task)
	if err != nil {
		return Prescription{}, err
	}
	return p.Prescribe()
}

// Prescribe answers the plan.
func (p *Plan) Prescribe() (Prescription, error) {
	out := Prescription{Ceiling: p.ceiling, Floor: p.floor, RimNotBuilder: []string{}}
	var err error
	if out.Before, err = p.Expect(make([]float64, len(p.pull))); err != nil {
		return Prescription{}, err
	}
	if out.Condition, err = p.Condition(); err != nil {
		return Prescription{}, err
	}
	turns, ceiling, floor, err := p.Optimum()
	if err != nil {
		return Prescription{}, err
	}
	out.TakeTensionOut = ceiling > p.ceiling || floor < p.floor
	out.WorstExcessN = math.Max(ceiling-p.ceiling, p.floor-floor)
	if out.Optimum, err = p.list(turns); err != nil {
		return Prescription{}, err
	}
	out.RimNotBuilder = append(out.RimNotBuilder, p.beyondTurning(turns, out.Optimum.Expected)...)
	steps := p.Lattice(turns)
	if out.Lattice, err = p.list(steps); err != nil {
		return Prescription{}, err
	}
	if out.All, err = p.workable(steps, (*Plan).latticeOfOptimum); err != nil {
		return Prescription{}, err
	}
	if out.Short, err = p.shortWorkable(); err != nil {
		return Prescription{}, err
	}
	if len(out.All.Sequence.List) == 0 {
		out.All = out.Short // No order was found for every nipple, but for these.
	}
	return out, nil
}

// latticeOfOptimum finds both again, for other limits.
func (p *Plan) latticeOfOptimum() ([]float64, error) {
	turns, _, _, err := p.Optimum()
	if err != nil {
		return nil, err
	}
	return p.Lattice(turns), nil
}

// marginSteps are the headrooms below the ceiling that workable tries, in
// parts of what one step of a nipple adds to a neighbour.
func marginSteps() []float64 { return []float64{0.5, 1, 2} }

// workable puts turns in order. Where no order keeps the ceiling without
// leaving something out, because the wheel would end too near to it, turns that
// end somewhat lower are looked for as well, and the best of what can be done
// is taken.
func (p *Plan) workable(turns []float64, again func(*Plan) ([]float64, error)) (List, error) {
	best, err := p.ordered(turns)
	if err != nil || len(best.Sequence.Dropped) == 0 {
		return best, err
	}
	unit := p.stepOnNeighbour()
	for _, margin := range marginSteps() {
		low := *p
		if low.ceiling -= margin * unit; low.ceiling <= low.floor {
			break
		}
		turns, err := again(&low)
		if err != nil {
			return List{}, err
		}
		l, err := p.ordered(turns)
		if err != nil {
			return List{}, err
		}
		if p.worseThan(best, l) {
			best = l
		}
	}
	return best, nil
}

// shortWorkable gives the best short list that can be worked: the best one at the
// end may have no order, where another one has.
func (p *Plan) shortWorkable() (List, error) {
	best, err := p.ordered(make([]float64, len(p.pull)))
	if err != nil {
		return List{}, err
	}
	for _, weight := range firstWeights() {
		few := func(plan *Plan) ([]float64, error) { return plan.shortList(plan.task.ShortList, weight) }
		turns, err := few(p)
		if err != nil {
			return List{}, err
		}
		l, err := p.workable(turns, few)
		if err != nil {
			return List{}, err
		}
		if p.worseThan(best, l) {
			best = l
		}
	}
	return best, nil
}

// worseThan compares two lists, by what lies beyond limits at the end and then
// by J.
func (p *Plan) worseThan(a, b List) bool {
	beyond := func(l List) float64 { return p.beyond(l.Expected.TensionMax) + p.beyond(l.Expected.TensionMin) }
	if over, other := beyond(a), beyond(b); math.Abs(over-other) > keptN {
		return over > other
	}
	return a.Expected.Objective > b.Expected.Objective
}

// stepOnNeighbour is the most that one step of a nipple adds to another spoke.
func (p *Plan) stepOnNeighbour() float64 {
	most := 0.0
	for i, pull := range p.pull {
		for j, v := range pull {
			if i != j {
				most = math.Max(most, math.Abs(v))
			}
		}
	}
	return most * p.task.Step
}

// list sums up turns.
func (p *Plan) list(turns []float64) (List, error) {
	s, err := p.Expect(turns)
	if err != nil {
		return List{}, err
	}
	// The optimum may lie on a limit, to the rounding of its search.
	const nearN = 1e-3
	l := List{Turns: turns, Expected: s, Feasible: s.TensionMax <= p.ceiling+nearN && s.TensionMin >= p.floor-nearN}
	for _, x := range turns {
		if x != 0 {
			l.Touched++
		}
	}
	return l, nil
}

// ordered puts turns in order and sums up what is left of them.
func (p *Plan) ordered(turns []float64) (List, error) {
	s := p.Order(turns)
	l, err := p.list(s.Turns)
	l.Sequence = s
	return l, err
}

// beyondTurning lists the run-outs that the optimum leaves above what is
// wanted, though it could turn further.
func (p *Plan) beyondTurning(turns []float64, s State) []string {
	for _, x := range turns {
		if math.Abs(x) > p.largest*(1-1e-6) {
			return nil // another round may do more
		}
	}
	var codes []string
	if s.LateralTIR > p.task.Limits.LateralTIR && p.task.Limits.LateralTIR > 0 {
		codes = append(codes, LateralTIR)
	}
	if s.RadialTIR > p.task.Limits.RadialTIR && p.task.Limits.RadialTIR > 0 {
		codes = append(codes, RadialTIR)
	}
	return codes
}
