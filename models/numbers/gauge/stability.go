package gauge

import (
	"fmt"
	"math"

	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// Steadiness says what a series of checks shows of a gauge.
type Steadiness string

// The words of [Stability].
const (
	Steady   Steadiness = "steady"
	Unsteady Steadiness = "unsteady"
	// SteadyToStep: nothing is found, and the gauge's step is coarser than what the
	// checks scatter by, or they never differ, so that a smaller change stays hidden.
	SteadyToStep Steadiness = "steady_to_step"
	Unknown      Steadiness = "unknown" // Fewer checks than [spc.FewestForLimits].
)

// StabilityStudy is a gauge over time by its checks of a reference part.
type StabilityStudy struct {
	Mean, S float64 // Of the checks; S with n-1.
	// Low and High are the limits of a single check, Apart that of the distance of
	// two neighbours. They hold all checks of a steady gauge together.
	Low, High, Apart float64
	Outside, Jumps   []int // Checks beyond Low or High; checks farther than Apart from the one before.
	// Drift is the change from one check to the next by the least squares line
	// through all of them. A slow drift shows in it long before it carries a single
	// check beyond the limits.
	Drift            float64
	DriftSignificant bool
	Coarse           bool // The step is larger than S, or no check differs from another.
	Verdict          Steadiness
}

// falseAlarm is the chance of calling a steady gauge unsteady.
const falseAlarm = 0.05

// Stability judges the checks of one reference part, one value each in the order of
// time, once for the whole series: a steady gauge is called unsteady in at most 5 of
// 100 series, however long they are. Where a check takes several readings its value
// is their mean: their range tells of the repeats, not of the days, and limits from
// it would be too narrow.
//
// Three things are asked, each with a third of the 5 %: whether a check lies far
// from the mean of all n, whether one lies far from its neighbour, and whether the
// checks drift. Each of the m distances of a kind is divided by the standard
// deviation s of all checks (n-1), of which it is itself a part; for independent
// normal checks it is then no larger than
//
//	c sqrt(n-1) t / sqrt(n-2+t^2),  t = Student's of n-2 degrees of freedom with 0.05/(3·2m) above it,
//
// at once for all m (Bonferroni; for single values this is the test of Grubbs,
// Annals of Mathematical Statistics 21, 1950). c^2 is the variance of such a
// distance for checks of variance 1: (n-1)/n from the mean, where m = n; 2 between
// neighbours, where m = n-1. The slope is tested by Student's t with n-2 degrees of
// freedom.
//
// The step is that of the display, 0 when unknown. Where it is larger than s, s is
// taken as the step/sqrt(12) of a rounded value at least, the limits lie as much
// farther out as rounding moves the readings, and a drift is one only where it
// comes to more than the 1.5 steps over the series that rounding alone can feign.
//
// At least three checks are needed, [spc.FewestForLimits] for a judgement.
func Stability(checks []float64, step float64) (StabilityStudy, error) {
	if err := checkNotNegative("step", step); err != nil {
		return StabilityStudy{}, err
	}
	if len(checks) < 3 {
		return StabilityStudy{}, about("checks", fmt.Errorf("%d values where 3 are needed: %w", len(checks), stats.ErrTooFew))
	}
	summary, err := stats.Summarise(checks)
	if err != nil {
		return StabilityStudy{}, about("checks", err)
	}
	s := StabilityStudy{Mean: summary.Mean, S: summary.SD, Coarse: step > summary.SD || stats.Distinct(checks) == 1, Verdict: Unknown}
	if err := s.drift(checks, step); err != nil {
		return StabilityStudy{}, err
	}
	if err := s.limits(checks, step); err != nil {
		return StabilityStudy{}, err
	}
	switch {
	case len(checks) < spc.FewestForLimits:
	case len(s.Outside)+len(s.Jumps) > 0 || s.DriftSignificant:
		s.Verdict = Unsteady
	case s.Coarse:
		s.Verdict = SteadyToStep
	default:
		s.Verdict = Steady
	}
	return s, nil
}

func (s *StabilityStudy) drift(checks []float64, step float64) error {
	order := make([]float64, len(checks))
	for i := range order {
		order[i] = float64(i)
	}
	line, err := Linearity(order, checks)
	if err != nil {
		return about("checks", err)
	}
	k, err := Coverage(1-falseAlarm/3, float64(line.N-2))
	if err != nil {
		return err
	}
	s.Drift = line.Slope
	s.DriftSignificant = math.Abs(line.Slope) > k*line.S/math.Sqrt(line.squares)
	if s.Coarse && math.Abs(s.Drift)*float64(line.N-1) <= 1.5*step {
		s.DriftSignificant = false
	}
	return nil
}

func (s *StabilityStudy) limits(checks []float64, step float64) error {
	n := float64(len(checks))
	sd, rounding := s.S, 0.0
	if s.Coarse {
		sd, rounding = max(sd, step/math.Sqrt(12)), step/2
	}
	reach := func(variance, of float64) (float64, error) {
		t, err := stats.TQuantile(falseAlarm/3/(2*of), n-2)
		return math.Sqrt(variance*(n-1)/(n-2+t*t)) * math.Abs(t) * sd, about("checks", err)
	}
	far, err := reach((n-1)/n, n)
	if err != nil {
		return err
	}
	apart, err := reach(2, n-1)
	if err != nil {
		return err
	}
	s.Low, s.High, s.Apart = s.Mean-far-rounding, s.Mean+far+rounding, apart+2*rounding
	if stats.Distinct(checks) == 1 {
		return nil
	}
	for i, x := range checks {
		if x < s.Low || x > s.High {
			s.Outside = append(s.Outside, i)
		}
		if i > 0 && math.Abs(x-checks[i-1]) > s.Apart {
			s.Jumps = append(s.Jumps, i)
		}
	}
	return checkAll(checkFinite("checks", s.Low), checkFinite("checks", s.High), checkFinite("checks", s.Apart))
}
