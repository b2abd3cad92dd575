package wheel

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// errInfeasible says that no point keeps every limit.
var errInfeasible = errors.New("no set of turns keeps every limit")

// errNoEnd says that the search did not end, which a strictly convex problem
// of ordinary numbers does not do.
var errNoEnd = errors.New("the search for the best turns did not end")

// atLeast is one limit of a quadratic problem: row x >= bound.
type atLeast struct {
	row   []float64
	bound float64
}

// quadratic is the problem of the least x'Qx + 2 g'x + rest, Q positive
// definite, under limits.
type quadratic struct {
	q    *mat.SymDense
	g    []float64
	rest float64
}

// value is the sum at x.
func (p quadratic) value(x []float64) float64 {
	v := mat.NewVecDense(len(x), x)
	return mat.Inner(v, p.q, v) + 2*mat.Dot(mat.NewVecDense(len(x), p.g), v) + p.rest
}

// slope is Qx + g, half the gradient.
func (p quadratic) slope(x []float64) []float64 {
	var out mat.VecDense
	out.MulVec(p.q, mat.NewVecDense(len(x), x))
	for i := range x {
		out.SetVec(i, out.AtVec(i)+p.g[i])
	}
	return out.RawVector().Data
}

const (
	limitSlack   = 1e-9  // relative to 1 + |bound|: a limit counts as kept within it
	dependent    = 1e-11 // of a row's own size: below it the row follows from those in force
	mostPerRow   = 60    // steps for each limit before the search is given up
	stepsAtLeast = 500
)

// minimise finds the least value under the limits by the dual method of
// Goldfarb and Idnani (Mathematical Programming 27, 1983): from the free
// minimum it takes in the most broken limit, one after another, letting go of
// those that no longer press. The minimiser is unique. errInfeasible when the
// limits contradict each other.
func (p quadratic) minimise(limits []atLeast) ([]float64, error) {
	n, count := len(p.g), len(limits)
	var chol mat.Cholesky
	if !chol.Factorize(p.q) {
		return nil, errNoEnd
	}
	free := mat.NewVecDense(n, nil)
	if err := chol.SolveVecTo(free, mat.NewVecDense(n, p.g)); err != nil {
		return nil, errNoEnd
	}
	x := make([]float64, n)
	for i := range x {
		x[i] = -free.AtVec(i)
	}
	if count == 0 {
		return x, nil
	}
	rows := mat.NewDense(count, n, nil)
	for i, l := range limits {
		rows.SetRow(i, l.row)
	}
	s := &dualSearch{limits: limits, x: x}
	toward := mat.NewDense(n, count, nil) // Q^-1 times each row
	if err := chol.SolveTo(toward, rows.T()); err != nil {
		return nil, errNoEnd
	}
	s.toward = mat.DenseCopyOf(toward.T())
	s.between = mat.NewDense(count, count, nil)
	s.between.Mul(rows, toward)
	return s.run()
}

// dualSearch is the state of minimise.
type dualSearch struct {
	limits  []atLeast
	toward  *mat.Dense // limit x unknown
	between *mat.Dense // limit x limit
	x       []float64
	inForce []int
	press   []float64 // multiplier of each limit in force
}

func (s *dualSearch) run() ([]float64, error) {
	for range stepsAtLeast + mostPerRow*len(s.limits) {
		worst := s.mostBroken()
		if worst < 0 {
			if allFinite("turns", s.x) != nil {
				return nil, errNoEnd
			}
			return s.x, nil
		}
		if err := s.take(worst); err != nil {
			return nil, err
		}
	}
	return nil, errNoEnd
}

// lacking is by how much a limit is broken, below zero when it is.
func (s *dualSearch) lacking(i int) float64 {
	sum := -s.limits[i].bound
	for k, v := range s.limits[i].row {
		sum += v * s.x[k]
	}
	return sum
}

func (s *dualSearch) mostBroken() int {
	worst, by := -1, 0.0
	for i, l := range s.limits {
		if lack := s.lacking(i) / (1 + math.Abs(l.bound)); lack < -limitSlack && lack < by {
			worst, by = i, lack
		}
	}
	return worst
}

// take brings one broken limit into force.
func (s *dualSearch) take(p int) error {
	pressure := 0.0
	for range stepsAtLeast {
		r, err := s.shares(p)
		if err != nil {
			return err
		}
		size := s.between.At(p, p)
		room := size // how far the point can move toward the limit
		for k, j := range s.inForce {
			room -= r[k] * s.between.At(j, p)
		}
		dual, blocking := math.Inf(1), -1
		for k := range s.inForce {
			if r[k] > 0 && s.press[k]/r[k] < dual {
				dual, blocking = s.press[k]/r[k], k
			}
		}
		primal := math.Inf(1)
		if room > dependent*size {
			primal = math.Max(0, -s.lacking(p)/room)
		}
		step := math.Min(dual, primal)
		if math.IsInf(step, 1) {
			return errInfeasible
		}
		if !math.IsInf(primal, 1) {
			s.move(p, r, step)
		}
		for k := range s.inForce {
			s.press[k] -= step * r[k]
		}
		pressure += step
		if primal <= dual {
			s.inForce, s.press = append(s.inForce, p), append(s.press, pressure)
			return nil
		}
		s.inForce = append(s.inForce[:blocking:blocking], s.inForce[blocking+1:]...)
		s.press = append(s.press[:blocking:blocking], s.press[blocking+1:]...)
	}
	return errNoEnd
}

// shares says how the limits in force give way when limit p presses.
func (s *dualSearch) shares(p int) ([]float64, error) {
	n := len(s.inForce)
	if n == 0 {
		return nil, nil
	}
	among := mat.NewSymDense(n, nil)
	with := mat.NewVecDense(n, nil)
	for a, i := range s.inForce {
		with.SetVec(a, s.between.At(i, p))
		for b := a; b < n; b++ {
			among.SetSym(a, b, s.between.At(i, s.inForce[b]))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(among) {
		return nil, errNoEnd
	}
	var r mat.VecDense
	if err := chol.SolveVecTo(&r, with); err != nil && !finite(r.AtVec(0)) {
		return nil, errNoEnd
	}
	return r.RawVector().Data, nil
}

// move goes toward limit p, along those in force.
func (s *dualSearch) move(p int, r []float64, step float64) {
	for i := range s.x {
		direction := s.toward.At(p, i)
		for k, j := range s.inForce {
			direction -= r[k] * s.toward.At(j, i)
		}
		s.x[i] += step * direction
	}
}
