package wheel

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Model is a wheel as an elastic ring on spokes, solved once: how each nipple
// moves the rim and every tension, for small turns while all spokes are taut.
//
// The rim is a thin ring of radius R with four displacements along its
// circumference: u outward, v along, w toward side A, phi twist, each a mean
// and waves up to Build.Waves. The hub is rigid. With ' = d/dtheta,
//
//	hoop strain eps = (v'+u)/R        turn in the plane om = (v-u')/R
//	bending in plane kr = (v'-u'')/R^2    to the side kl = (w''/R-phi)/R    twist tau = (phi'+w'/R)/R
//	energy of the ring  1/2 Int (EA eps^2 + EI_r kr^2 + EI_l kl^2 + GJ tau^2) R dtheta
//	its compression     -C/2 Int ((w'/R)^2 + om^2) R dtheta,  C = sum(T |n_r|)/(2 pi)
//	a spoke             1/2 k (s - n.d)^2 + 1/2 (T/L) |d - n (n.d)|^2 + 1/2 T |n_r| e (phi^2 + om^2)
//
// where d = (u, v - e om, w + e phi) is the movement of a nipple seat e inward
// of the centroid, n the unit vector from nipple to flange, and s the
// shortening by turning. The change of tension is k (s - n.d). Sources:
// Timoshenko (rings in their plane), Love and Michell (out of it), the
// second-order terms of a prestressed ring and string as in texts on elastic
// stability. They are one set: without the string terms a wheel with radial
// spokes could turn on its hub.
//
// What it leaves out: a flange that gives, a shear centre off the centroid,
// spoke holes off the centre line of the rim, the step of stiffness at the
// joint, bedding in. It has not been validated on a real wheel: plan for two
// or three rounds, reading everything again each time.
type Model struct {
	build   Build
	spokes  []Spoke
	tension []float64 // N, at which the model was made

	compression float64
	chol        mat.Cholesky
	scale       []float64  // each unknown is divided by it
	pulls       *mat.Dense // unknowns x spokes: n.d of spoke j, as a column
	response    *mat.Dense // unknowns x spokes, for a millimetre of shortening
}

// NewModel solves a wheel. A wheel that is not stiff enough to stand its own
// tension (its rim would buckle) is an error that wraps ErrInput.
func NewModel(b Build) (*Model, error) {
	if err := b.Check(); err != nil {
		return nil, err
	}
	onA, onB, err := b.StartTensions()
	if err != nil {
		return nil, err
	}
	m := &Model{build: b, spokes: make([]Spoke, b.Spokes), tension: make([]float64, b.Spokes)}
	for j := range m.spokes {
		if m.spokes[j], err = b.Spoke(j); err != nil {
			return nil, err
		}
		m.tension[j] = []float64{onA, onB}[j%2]
		m.compression += m.tension[j] * math.Abs(m.spokes[j].UnitVector[0]) / (2 * math.Pi)
	}
	if !finite(onB) || onB < 0 || onB == 0 && !b.Unstressed || onB > highestTension {
		return nil, fieldf("tension_A", "asks for %.3g N on side B", onB)
	}
	if err := m.solve(); err != nil {
		return nil, err
	}
	return m, nil
}

// Spokes is the count of spokes of both sides.
func (m *Model) Spokes() int { return m.build.Spokes }

// StartTensions gives the tension of each side at which the model was made, N.
func (m *Model) StartTensions() (a, b float64) { return m.tension[0], m.tension[1] }

// RimCompression is the hoop compression of the rim by its spokes, N.
func (m *Model) RimCompression() float64 { return m.compression }

// solve builds the stiffness matrix, scales its diagonal to 1, factorises it
// and finds what the shortening of each spoke does.
func (m *Model) solve() error {
	size := m.unknowns()
	squares := mat.NewDense(size, spokeRows*m.build.Spokes, nil)
	m.pulls = mat.NewDense(size, m.build.Spokes, nil)
	for j := range m.spokes {
		m.spokeSquares(squares, j)
	}
	stiffness := mat.NewSymDense(size, nil)
	stiffness.SymOuterK(1, squares)
	m.addRing(stiffness)
	m.compress(stiffness)

	m.scale = make([]float64, size)
	for i := range size {
		d := stiffness.At(i, i)
		if !(d > 0) || !finite(d) {
			return m.noStand()
		}
		m.scale[i] = math.Sqrt(d)
	}
	for i := range size {
		for k := i; k < size; k++ {
			stiffness.SetSym(i, k, stiffness.At(i, k)/m.scale[i]/m.scale[k])
		}
	}
	if !m.chol.Factorize(stiffness) {
		return m.noStand()
	}
	loads := mat.NewDense(size, m.build.Spokes, nil)
	for i := range size {
		for j := range m.spokes {
			loads.Set(i, j, m.pulls.At(i, j)*m.spokes[j].StiffnessNmm/m.scale[i])
		}
	}
	m.response = mat.NewDense(size, m.build.Spokes, nil)
	if err := m.chol.SolveTo(m.response, loads); err != nil {
		return &FieldError{Field: "wheel", Problem: fmt.Sprintf("is too unevenly stiff to be solved: %v", err)}
	}
	for i := range size {
		for j := range m.spokes {
			m.response.Set(i, j, m.response.At(i, j)/m.scale[i])
		}
	}
	return nil
}

// noStand refuses a wheel that has no stiffness against some movement.
func (m *Model) noStand() error {
	if m.build.TensionA == 0 {
		return fieldf("tension_A", "must be above zero: without it nothing holds this rim")
	}
	return fieldf("tension_A", "the rim would buckle under it")
}

// flexibility is how far the rim gives at a place, along one displacement,
// under a newton there, mm/N.
func (m *Model) flexibility(row []float64) (float64, error) {
	size := m.unknowns()
	load := mat.NewVecDense(size, nil)
	for i, v := range row {
		load.SetVec(i, v/m.scale[i])
	}
	var moved mat.VecDense
	if err := m.chol.SolveVecTo(&moved, load); err != nil {
		return 0, &FieldError{Field: "wheel", Problem: fmt.Sprintf("is too unevenly stiff to be solved: %v", err)}
	}
	return mat.Dot(&moved, load), nil
}

// RadialStiffness is the force at a spoke hole for each mm the rim's centroid
// gives inward there, N/mm.
func (m *Model) RadialStiffness(spoke int) (float64, error) {
	f, err := m.flexibility(m.radialRow(m.angle(float64(spoke))))
	return 1 / f, err
}

// LateralStiffness is the force to the side at the rim's centroid for each mm
// it gives, N/mm.
func (m *Model) LateralStiffness(spoke int) (float64, error) {
	f, err := m.flexibility(m.lateralRow(m.angle(float64(spoke)), 0))
	return 1 / f, err
}

// angle is the place of a spoke, or between two, in radians.
func (m *Model) angle(spoke float64) float64 {
	return 2 * math.Pi * spoke / float64(m.build.Spokes)
}
