package wheel

import "math"

// State is a wheel as read, or as the model expects it after some turns.
type State struct {
	Objective    float64 // J of the plan
	LateralTIR   float64 // mm
	LateralMean  float64 // mm toward side A
	RadialTIR    float64 // mm
	TensionMax   float64 // N
	TensionMin   float64
	MeanA, MeanB float64 // N
	MaxDevPctA   float64 // %, largest deviation from the mean of the side
	MaxDevPctB   float64
}

// Good says whether a state is within the wanted limits.
func (s State) Good(w Wanted) bool {
	return s.LateralTIR <= w.LateralTIR && s.RadialTIR <= w.RadialTIR &&
		s.MaxDevPctA <= w.SideDeviationPct && s.MaxDevPctB <= w.SideDeviationPct
}

// Expect gives the state that the model expects after some turns; of no turns
// it is the state as read.
func (p *Plan) Expect(turns []float64) (State, error) {
	change, err := p.influence.Of(turns)
	if err != nil {
		return State{}, err
	}
	n := len(turns)
	lateral, radial, tension := make([]float64, n), make([]float64, n), make([]float64, n)
	for j := range n {
		lateral[j] = p.task.Lateral[j] + change.Lateral[j]
		radial[j] = p.task.Radial[j] + change.Radial[j]
		tension[j] = p.task.Tension[j] + change.Tension[j]
	}
	s := State{Objective: p.problem.value(turns), LateralMean: average(lateral)}
	s.LateralTIR, s.RadialTIR = spread(lateral), spread(radial)
	s.TensionMin, s.TensionMax = extremes(tension)
	s.MeanA, s.MaxDevPctA = sideDeviation(tension, 0)
	s.MeanB, s.MaxDevPctB = sideDeviation(tension, 1)
	return s, nil
}

// spread is largest minus smallest.
func spread(values []float64) float64 {
	low, high := extremes(values)
	return high - low
}

// sideDeviation gives mean and largest deviation, in % of it, of every second
// tension. Zero when the side has no mean above zero, where a percentage says
// nothing.
func sideDeviation(tension []float64, first int) (mean, pct float64) {
	var sum, count float64
	for j := first; j < len(tension); j += 2 {
		sum += tension[j]
		count++
	}
	mean = sum / count
	if mean <= 0 {
		return mean, 0
	}
	for j := first; j < len(tension); j += 2 {
		pct = math.Max(pct, 100*math.Abs(tension[j]-mean)/mean)
	}
	return mean, pct
}

// standing is how well a wheel stands: by what the highest tension lies above
// the ceiling, then by what the lowest lies below the floor, then by J. A limit
// weighs more than any J, as in the search for the turns.
type standing struct{ above, below, objective float64 }

func (p *Plan) standing(turns, tension []float64) standing {
	lowest, highest := extremes(tension)
	return standing{above: max(0, highest-p.ceiling-keptN), below: max(0, p.floor-lowest-keptN), objective: p.problem.value(turns)}
}

func (s standing) before(other standing) bool {
	if math.Abs(s.above-other.above) > keptN {
		return s.above < other.above
	}
	if math.Abs(s.below-other.below) > keptN {
		return s.below < other.below
	}
	return s.objective < other.objective
}
