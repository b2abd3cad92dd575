package wheel

import (
	"fmt"

	"gonum.org/v1/gonum/mat"
)

// Influence is what a turn of each nipple does, by the model: a change for one
// turn of tightening, linear for smaller ones.
type Influence struct {
	Lateral *mat.Dense // mm for a turn: station x spoke, at the gauge line, toward side A
	Radial  *mat.Dense // mm for a turn: station x spoke, outward
	Tension *mat.Dense // N for a turn: spoke x spoke
}

// Influence gives the matrices with one station for each spoke hole. The
// tensions' matrix has the symmetry of an elastic body in spoke stiffness:
// what spoke i gives to j for a millimetre of thread, j gives to i.
func (m *Model) Influence() Influence {
	n := m.Spokes()
	stations := make([]float64, n)
	for i := range stations {
		stations[i] = float64(i)
	}
	return Influence{
		Lateral: m.moves(stations, func(theta float64) []float64 { return m.lateralRow(theta, m.build.GaugeOutset) }),
		Radial:  m.moves(stations, m.radialRow),
		Tension: m.tensions(),
	}
}

// moves evaluates the response at stations, given in spoke pitches from spoke
// 0, for one turn of each nipple.
func (m *Model) moves(stations []float64, row func(theta float64) []float64) *mat.Dense {
	rows := mat.NewDense(len(stations), m.unknowns(), nil)
	for i, at := range stations {
		rows.SetRow(i, row(m.angle(at)))
	}
	var out mat.Dense
	out.Mul(rows, m.response)
	out.Scale(m.build.PitchMM, &out)
	return &out
}

// tensions is pitch (diag(k) - diag(k) G' A), G the pulls and A the response.
func (m *Model) tensions() *mat.Dense {
	var out mat.Dense
	out.Mul(m.pulls.T(), m.response)
	out.Apply(func(i, j int, v float64) float64 {
		own := 0.0
		if i == j {
			own = 1
		}
		return m.build.PitchMM * m.spokes[i].StiffnessNmm * (own - v)
	}, &out)
	return &out
}

// Between gives what a turn of each nipple does half way between two spoke
// holes, or at any other place, in spoke pitches from spoke 0.
func (m *Model) Between(place float64) (lateral, radial []float64, err error) {
	if !finite(place) {
		return nil, nil, fieldf("place", "is not a number")
	}
	at := []float64{place}
	l := m.moves(at, func(theta float64) []float64 { return m.lateralRow(theta, m.build.GaugeOutset) })
	return mat.Row(nil, 0, l), mat.Row(nil, 0, m.moves(at, m.radialRow)), nil
}

// Changed is what a set of turns does to a wheel.
type Changed struct {
	Lateral, Radial []float64 // mm at the spoke holes
	Tension         []float64 // N
}

// Of gives what some turns do, one for each spoke, plus is tighten.
func (f Influence) Of(turns []float64) (Changed, error) {
	n, _ := f.Tension.Dims()
	if len(turns) != n {
		return Changed{}, fieldf("turns", "%d values for %d spokes", len(turns), n)
	}
	if err := allFinite("turns", turns); err != nil {
		return Changed{}, fmt.Errorf("influence: %w", err)
	}
	x := mat.NewVecDense(n, turns)
	by := func(a *mat.Dense) []float64 {
		var out mat.VecDense
		out.MulVec(a, x)
		return out.RawVector().Data
	}
	return Changed{Lateral: by(f.Lateral), Radial: by(f.Radial), Tension: by(f.Tension)}, nil
}

// Together is the mean of a change over the wheel.
type Together struct {
	TensionA, TensionB float64 // N
	Radial, Lateral    float64 // mm
}

// Means sums up a change.
func (c Changed) Means() Together {
	a, _ := sideDeviation(c.Tension, 0)
	b, _ := sideDeviation(c.Tension, 1)
	return Together{TensionA: a, TensionB: b, Radial: average(c.Radial), Lateral: average(c.Lateral)}
}

// Sorts lists one spoke of each sort: the wheel looks alike from every fourth
// spoke, and where its sides are alike turning it over makes two sorts of four.
func (m *Model) Sorts() []int {
	if m.build.SidesAlike() {
		return []int{0, 1}
	}
	return []int{0, 1, 2, 3}
}
