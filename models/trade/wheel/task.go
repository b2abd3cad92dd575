package wheel

import (
	"errors"
	"math"

	"tracewright/models/numbers/measure"
)

// Task is a wheel as it stands and what is wanted of it: one reading for each
// spoke hole and spoke, in the order of the spokes.
type Task struct {
	Lateral, Radial []float64 // mm
	Tension         []float64 // N

	TargetA, TargetB float64 // N, wanted on each side
	DishTarget       float64 // mm toward side A

	LateralScale, RadialScale float64 // mm that weigh as much as...
	TensionScale              float64 // ...this many N
	Restraint                 float64 // weight of a square turn: keeps turns small and the answer unique

	MaxTurn          float64 // largest turn of a nipple in this round
	TensionMin       float64 // N, no spoke is to end below it
	TensionMax       float64 // N, the rim maker's maximum
	GaugeUncertainty float64 // N, taken off TensionMax: the ceiling
	Unlearned        bool    // first round on a rim type without experience: at most half a turn
	LoosenOnly       bool    // first stage of a wheel above its ceiling: tension is only taken out

	Step      float64 // the shop's fraction of a turn
	ShortList int     // most nipples of the short list
	Limits    Wanted  // what counts as good
	Aim       float64 // part of the limits within which a short list may end; 0 is the whole of them
	Full      bool    // the short list does not end early: it goes on as long as a nipple more lowers J
}

// Wanted is what a wheel must reach for a list to end early and for a rim to
// be called good.
type Wanted struct {
	LateralTIR, RadialTIR float64 // mm
	SideDeviationPct      float64 // %
}

// aimedAt is what a list is to come within before it may end early: less than
// the limits where hands and model leave something.
func (t Task) aimedAt() Wanted {
	if t.Aim == 0 {
		return t.Limits
	}
	return Wanted{LateralTIR: t.Aim * t.Limits.LateralTIR, RadialTIR: t.Aim * t.Limits.RadialTIR, SideDeviationPct: t.Aim * t.Limits.SideDeviationPct}
}

// WantedOf gives the limits of a default grade.
func WantedOf(name string) (Wanted, bool) {
	g, ok := GradeNamed(name)
	if !ok {
		return Wanted{}, false
	}
	var w Wanted
	for _, l := range []struct {
		text string
		into *float64
	}{{g.LateralTIR, &w.LateralTIR}, {g.RadialTIR, &w.RadialTIR}, {g.SideDevPct, &w.SideDeviationPct}} {
		d, err := measure.Parse(l.text)
		if err != nil {
			return Wanted{}, false
		}
		*l.into = d.Float()
	}
	return w, true
}

// firstRoundTurn is the largest turn on a rim type without experience: the
// stiffness is assumed, and half a turn shows how it really is. Common
// practice, no source.
const firstRoundTurn = 0.5

// tautPart is the part of its side's mean below which a spoke counts as slack:
// its stiffness is then no longer that of a straight wire. Common practice, no
// source.
const tautPart = 0.3

// ErrSlack says that a spoke is too slack for the model. Such a wheel is
// guided by equal thread depth: every nipple to the same thread, then half
// turns all round.
var ErrSlack = errors.New("slack spokes: bring every nipple to equal thread depth first")

// SlackError names the slack spokes. It unwraps to ErrSlack.
type SlackError struct{ Spokes []int }

// Error says what to do.
func (e *SlackError) Error() string { return ErrSlack.Error() }

// Unwrap makes errors.Is(err, ErrSlack) true.
func (e *SlackError) Unwrap() error { return ErrSlack }

// DefaultTask gives a task with the weights of common practice: 0.10 mm
// lateral, 0.15 mm radial and 50 N weigh alike, half a unit for a square turn;
// eighths of a turn, at most one turn, no spoke below 450 N; the wanted limits
// of grade "standard". Readings, targets and the maximum are the caller's.
func DefaultTask() Task {
	standard, _ := WantedOf("standard")
	return Task{
		LateralScale: 0.10, RadialScale: 0.15, TensionScale: 50, Restraint: 0.5,
		MaxTurn: 1, TensionMin: 450, Step: 0.125, ShortList: 10, Limits: standard,
	}
}

// Ceiling is the tension that no spoke may pass: the maximum less the
// uncertainty of the gauge.
func (t Task) Ceiling() float64 { return t.TensionMax - t.GaugeUncertainty }

// largestTurn is the bound of this round.
func (t Task) largestTurn() float64 {
	if t.Unlearned {
		return math.Min(t.MaxTurn, firstRoundTurn)
	}
	return t.MaxTurn
}

// StepFor gives the smallest turn to ask for: the shop's fraction, or a
// sixteenth where that would change a spoke's own tension by more than 8 % of
// the mean. Short stiff spokes need it. Common practice, no source.
func (m *Model) StepFor(shopStep, meanTension float64) float64 {
	own := m.tensions()
	largest := 0.0
	for j := range m.spokes {
		largest = math.Max(largest, own.At(j, j))
	}
	if shopStep*largest > 0.08*meanTension {
		return math.Min(shopStep, 0.0625)
	}
	return shopStep
}

// Stale says whether mean tension has moved more than 20 % from that of the
// model, which is then made anew.
func (m *Model) Stale(meanA float64) bool {
	return math.Abs(meanA-m.build.TensionA) > 0.2*m.build.TensionA
}

// mostSteps bounds the fineness of a list: turns of a hundred steps are no
// instruction.
const mostSteps = 64

// longestShortList is how many nipples a short list may turn: beyond that the
// whole list is the one to use.
const longestShortList = 24

// check refuses what cannot be a task on a wheel of n spokes.
func (t Task) check(n int) error {
	for _, set := range []struct {
		field   string
		values  []float64
		highest float64
	}{{"lateral_mm", t.Lateral, 1000}, {"radial_mm", t.Radial, 1000}, {"tension_N", t.Tension, highestTension}} {
		if len(set.values) != n {
			return fieldf(set.field, "%d values for %d spokes: the turn list needs every hole", len(set.values), n)
		}
		if err := allFinite(set.field, set.values); err != nil {
			return err
		}
		for _, v := range set.values {
			if math.Abs(v) > set.highest {
				return fieldf(set.field, "%g is no reading of a wheel", v)
			}
		}
	}
	var errs []error
	for _, f := range []struct {
		name                   string
		value, lowest, highest float64
	}{
		{"tension_target_A", t.TargetA, 1, highestTension}, {"tension_target_B", t.TargetB, 1, highestTension},
		{"options.dish_target", t.DishTarget, -1000, 1000},
		{"options.s_lateral", t.LateralScale, 1e-4, 1e3}, {"options.s_radial", t.RadialScale, 1e-4, 1e3}, {"options.s_tension", t.TensionScale, 1e-2, 1e5},
		{"options.lambda", t.Restraint, 1e-4, 1e6}, {"options.max_turn", t.MaxTurn, 1e-3, 8},
		{"options.tension_min", t.TensionMin, 0, highestTension}, {"options.tension_max", t.TensionMax, 1, highestTension},
		{"options.gauge_uncertainty", t.GaugeUncertainty, 0, highestTension},
		{"options.turn_step", t.Step, t.MaxTurn / mostSteps, 1}, {"options.aim", t.Aim, 0, 1},
	} {
		if !finite(f.value) || f.value < f.lowest || f.value > f.highest {
			errs = append(errs, fieldf(f.name, "must be %g to %g", f.lowest, f.highest))
		}
	}
	if !(t.Ceiling() > t.TensionMin) {
		errs = append(errs, fieldf("options.tension_max", "less the gauge's uncertainty must be above tension_min"))
	}
	if most := min(n, longestShortList); t.ShortList < 0 || t.ShortList > most {
		errs = append(errs, fieldf("options.sparse_limit", "must be 0 to %d", most))
	}
	if len(errs) > 0 {
		return errors.Join(errs...)
	}
	return t.taut()
}

// taut refuses a wheel with slack spokes.
func (t Task) taut() error {
	if slack := SlackSpokes(t.Tension); len(slack) > 0 {
		return &SlackError{Spokes: slack}
	}
	return nil
}

// SlackSpokes lists the spokes below 0.3 of the mean of their side, or without
// tension. Common practice, no source.
func SlackSpokes(tension []float64) []int {
	var slack []int
	var sum, count [2]float64
	for j, v := range tension {
		sum[j%2] += v
		count[j%2]++
	}
	for j, v := range tension {
		if mean := sum[j%2] / count[j%2]; !(v > tautPart*mean) || v <= 0 {
			slack = append(slack, j)
		}
	}
	return slack
}
