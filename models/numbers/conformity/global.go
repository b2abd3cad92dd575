package conformity

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

// ErrProcess is returned for a process that no reading can come from: a spread
// that is not above 0, or readings that spread no more than their measurement.
var ErrProcess = errors.New("process cannot be used")

// Process is the distribution of the true values, normal.
type Process struct {
	Mean, SD float64
}

// ProcessBehind returns the process behind readings with that mean and standard
// deviation, taken with standard uncertainty u: readings spread by both, so u^2
// is taken off their variance. The uncertainty has to be one that is drawn anew
// with every reading; a common offset widens nothing.
func ProcessBehind(mean, sdOfReadings, u float64) (Process, error) {
	if err := checkUncertainty(u); err != nil {
		return Process{}, err
	}
	if !(sdOfReadings > u) {
		return Process{}, fmt.Errorf("readings spread by %v, the measurement alone by %v: %w", sdOfReadings, u, ErrProcess)
	}
	p := Process{Mean: mean, SD: math.Sqrt((sdOfReadings - u) * (sdOfReadings + u))}
	return p, p.check()
}

func (p Process) check() error {
	if math.IsNaN(p.Mean) || math.IsInf(p.Mean, 0) {
		return fmt.Errorf("process mean %v: %w", p.Mean, ErrNotFinite)
	}
	if !(p.SD > 0) || math.IsInf(p.SD, 0) {
		return fmt.Errorf("process standard deviation %v must be above 0: %w", p.SD, ErrProcess)
	}
	return nil
}

// Risks are what happens in the long run to the items of a process, as shares
// of all of them.
type Risks struct {
	// Consumer: accepted and not conforming. Producer: rejected though conforming.
	Consumer, Producer float64
	Conforming         float64
	Accepted           float64
}

// GlobalRisks returns the global risks of a process measured with standard
// uncertainty u, where the acceptance limits lie inside the tolerance by w, or
// outside it for a negative w (JCGM 106:2012, 9.5.2 and 9.5.3),
//
//	consumer = Int over eta outside T of g0(eta) P(y in A | eta),
//	producer = Int over eta in T of g0(eta) P(y not in A | eta),
//
// with g0 normal around the process mean and y normal around eta. The integrals
// are Gauss-Legendre sums over panels that follow both the process and the edges
// of the acceptance limits, good to 1e-12. An acceptance zone that is empty is
// refused: [ErrNoAcceptanceZone].
func GlobalRisks(p Process, u, w float64, t Range) (Risks, error) {
	if err := t.check(); err != nil {
		return Risks{}, err
	}
	if err := p.check(); err != nil {
		return Risks{}, err
	}
	if err := checkUncertainty(u); err != nil {
		return Risks{}, err
	}
	if math.IsNaN(w) || math.IsInf(w, 0) {
		return Risks{}, fmt.Errorf("guard band %v: %w", w, ErrNotFinite)
	}
	// From here on in standard deviations of the process from its mean.
	tolerance, acceptance := [2]float64{math.Inf(-1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(1)}
	for side, limit := range []*float64{t.Low, t.High} {
		if limit == nil {
			continue
		}
		inward := w
		if side == 1 {
			inward = -w
		}
		tolerance[side] = (*limit - p.Mean) / p.SD
		acceptance[side] = (*limit - p.Mean + inward) / p.SD
	}
	if acceptance[0] > acceptance[1] {
		return Risks{}, fmt.Errorf("guard band %v: %w", w, ErrNoAcceptanceZone)
	}
	s := u / p.SD
	if s == 0 || math.IsInf(s, 0) {
		return Risks{}, fmt.Errorf("an uncertainty of %v beside a process spread of %v: %w", u, p.SD, ErrNotFinite)
	}
	return integrated(tolerance, acceptance, s), nil
}

// panelPoints is the order of the Gauss-Legendre rule on each panel.
const panelPoints = 24

// integrated sums the risks over the true values, in standard deviations of the
// process, with s the uncertainty in the same unit.
func integrated(tolerance, acceptance [2]float64, s float64) Risks {
	var r Risks
	edges := panelEdges(tolerance, acceptance, s)
	for i := range len(edges) - 1 {
		at, weight := stats.GaussLegendre(panelPoints, edges[i], edges[i+1])
		var accepted, rejected float64
		for j, z := range at {
			share := weight[j] * density(z)
			low, high := (acceptance[0]-z)/s, (acceptance[1]-z)/s
			accepted += share * between(low, high)
			rejected += share * (below(low) + below(-high))
		}
		// No panel lies on both sides of a tolerance limit.
		if middle := edges[i] + (edges[i+1]-edges[i])/2; middle >= tolerance[0] && middle <= tolerance[1] {
			r.Producer += rejected
			r.Conforming += accepted + rejected
		} else {
			r.Consumer += accepted
		}
		r.Accepted += accepted
	}
	return r
}

// panelEdges cuts the range in which the process has any weight where the
// integrand changes its form: at the limits, around each acceptance limit in
// steps of u, and along the process.
func panelEdges(tolerance, acceptance [2]float64, s float64) []float64 {
	const reach = 12 // Beyond it lies 1e-33 of the process.
	edges := []float64{}
	for z := -reach; z <= reach; z++ {
		edges = append(edges, float64(z))
	}
	add := func(z float64) {
		if z > -reach && z < reach {
			edges = append(edges, z)
		}
	}
	for side := range 2 {
		add(tolerance[side])
		for _, steps := range []float64{0, 1, 2, 3, 4.5, 6, 9} {
			add(acceptance[side] - steps*s)
			add(acceptance[side] + steps*s)
		}
	}
	slices.Sort(edges)
	return slices.Compact(edges)
}

func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
