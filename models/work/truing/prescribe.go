package truing

import (
	"errors"
	"fmt"
	"math"

	"tracewright/models"
	"tracewright/models/trade/wheel"
)

const (
	planVersion = 1
	mostTurn    = 1.0 // of a nipple in one round; common practice, no source
	// aim is the part of a limit that a short list is to come within: hands
	// err by a tenth, and a rim by more than that. Our own choice.
	aim = 0.75
	// worthKnown is from which step at the joint on it is said, mm: below it
	// lies the noise of a good gauge over a turn. Our own choice.
	worthKnown = 0.08
)

// cannotError says why no turns can be prescribed for limits and readings.
type cannotError struct{ why models.Remark }

func (e *cannotError) Error() string { return "no turns can be prescribed: " + e.why.Code }

// newtons is a tension in a remark, whose unit is N.
func newtons(v float64) string { return fmt.Sprintf("%.0f", v) }

// prescribe answers one set of readings of a wheel. Slack spokes are a
// *wheel.SlackError; a form that cannot be a wheel is wheel.ErrInput; limits
// that leave no room, and a wheel above its ceiling that no turns bring lower,
// are a *cannotError.
func prescribe(view models.InspectionView, form models.ProductRevision, read taken, learned Learned, short int) (*Plan, error) {
	w := *form.Form.Wheel
	limits, err := limitsOf(view, w)
	if err != nil {
		return nil, err
	}
	var f figures
	dish, step := f.of("dish target", w.DishTarget), f.of("smallest turn", w.Truing.SmallestTurn)
	if f.err != nil {
		return nil, f.err
	}
	if limits.Ceiling <= limits.TensionMin {
		return nil, &cannotError{models.NewRemark("no_room", "limit", newtons(limits.Ceiling), "low", newtons(limits.TensionMin), "unit", "N")}
	}
	if slack := wheel.SlackSpokes(read.Tension); len(slack) > 0 {
		return nil, &wheel.SlackError{Spokes: slack}
	}
	lateral := read.toDish(dish)
	p := &Plan{Version: planVersion, ProductRevision: form.Revision, Learned: learned, Limits: limits, RimNotBuilder: []string{}}
	if p.Before, err = condition(lateral, read.Radial, read.Tension); err != nil {
		return nil, err
	}
	geometry, err := build(w, p.Before.MeanA)
	if err != nil {
		return nil, err
	}
	if p.TargetA, p.TargetB, p.TargetsLowered, err = targets(view, w, geometry.Geometry, limits, p.Before); err != nil {
		return nil, err
	}
	model, err := modelAt(w, p.TargetA, p.Before.MeanA)
	if err != nil {
		return nil, err
	}
	p.ModelTension, _ = model.StartTensions()

	task := wheel.DefaultTask()
	task.Lateral, task.Radial, task.Tension = lateral, read.Radial, read.Tension
	task.TargetA, task.TargetB, task.DishTarget = p.TargetA, p.TargetB, dish
	task.TensionMin, task.TensionMax, task.GaugeUncertainty = limits.TensionMin, limits.TensionMax, limits.GaugeUncertainty
	task.MaxTurn, task.Unlearned, task.ShortList = mostTurn, learned.Rounds == 0, min(short, w.Holes)
	task.Step = model.StepFor(step, (p.Before.MeanA+p.Before.MeanB)/2)
	task.Limits, task.Aim = wanted(limits), aim
	p.Step, p.LargestTurn = task.Step, mostTurn
	if task.Unlearned {
		p.LargestTurn = firstTurn
	}
	p.LargestTurn = math.Floor(p.LargestTurn/p.Step+1e-9) * p.Step

	influence := model.Influence().Scaled(learned.Lateral, learned.Radial, learned.Tension)
	if err := p.answer(task, influence); err != nil {
		return nil, err
	}
	if p.Worth = p.worth(view); !p.Worth && p.tooTight() {
		return nil, &cannotError{models.NewRemark("too_tight", "highest", newtons(p.Before.Highest), "limit", newtons(limits.Ceiling), "unit", "N")}
	}
	return p, nil
}

// firstTurn is the most a nipple is turned in the first round on a type of rim
// and spoke that is not yet learned. Common practice, no source.
const firstTurn = 0.5

// wanted turns limits into what a list works toward; without a limit nothing
// is called good, so that grade "standard" stands in.
func wanted(l Limits) wheel.Wanted {
	w, _ := wheel.WantedOf("standard")
	for _, x := range []struct {
		limit float64
		into  *float64
	}{{l.LateralTIR, &w.LateralTIR}, {l.RadialTIR, &w.RadialTIR}, {l.SideDeviationPct, &w.SideDeviationPct}} {
		if x.limit > 0 {
			*x.into = x.limit
		}
	}
	return w
}

// modelAt builds the model at the tension that is aimed at, so that it is the
// same for every wheel of a product, or at the tension that is there where
// that differs by more than 20 %: prestress changes what a turn does.
func modelAt(w models.WheelForm, target, mean float64) (*wheel.Model, error) {
	b, err := build(w, math.Round(target))
	if err != nil {
		return nil, err
	}
	model, err := wheel.NewModel(b)
	if err != nil || !model.Stale(mean) {
		return model, err
	}
	if b, err = build(w, math.Round(mean)); err != nil {
		return nil, err
	}
	return wheel.NewModel(b)
}

// answer fills in the lists. Where the mean of a side lies above the ceiling, or
// some tension that no turns of this round bring below it, tension is taken out
// first: one list, of every nipple, that only loosens. Few nipples would bend
// the rim instead.
func (p *Plan) answer(task wheel.Task, influence wheel.Influence) error {
	plan, err := wheel.NewPlan(influence, task)
	if err != nil {
		return err
	}
	out, err := plan.Prescribe()
	if err != nil {
		return fmt.Errorf("prescribe turns: %w", err)
	}
	if math.Max(p.Before.MeanA, p.Before.MeanB) > out.Ceiling || out.Optimum.Expected.TensionMax > out.Ceiling+1 {
		p.TakeTensionOut, task.LoosenOnly = true, true
		if plan, err = wheel.NewPlan(influence, task); err != nil {
			return err
		}
		if out, err = plan.Prescribe(); err != nil {
			return fmt.Errorf("prescribe turns that take tension out: %w", err)
		}
		out.Short = out.All
	}
	if p.Short, err = p.list(out.Short, task, influence); err != nil {
		return err
	}
	if p.All, err = p.list(out.All, task, influence); err != nil {
		return err
	}
	p.WorstExcess = math.Max(0, math.Max(p.All.After.Highest-p.Limits.Ceiling, p.Limits.TensionMin-p.All.After.Lowest))
	optimum, err := influence.Of(out.Optimum.Turns)
	if err != nil {
		return err
	}
	after := added(task, optimum)
	if err := p.blameRim(out.RimNotBuilder, after); err != nil {
		return err
	}
	return nil
}

// worth says whether anything is to be turned: not a wheel that is good
// already, nor one that no list improves. Good is a wheel whose readings pass,
// and whose tensions lie below the ceiling too.
func (p *Plan) worth(view models.InspectionView) bool {
	if len(p.All.Turns) == 0 && len(p.Short.Turns) == 0 {
		return false
	}
	for _, r := range view.Results {
		if r.ValueF != nil && (models.Failed(r.Verdict) || models.Undecided(r.Verdict)) {
			return true
		}
	}
	return p.tooTight()
}

// tooTight says whether a tension lies above the ceiling.
func (p *Plan) tooTight() bool { return p.Before.Highest > p.Limits.Ceiling }

// added is a task's readings after a change.
func added(task wheel.Task, change wheel.Changed) Readings {
	sum := func(a, b []float64) []float64 {
		out := make([]float64, len(a))
		for i := range out {
			out[i] = a[i] + b[i]
		}
		return out
	}
	return Readings{Lateral: sum(task.Lateral, change.Lateral), Radial: sum(task.Radial, change.Radial), Tension: sum(task.Tension, change.Tension)}
}

// list turns a list of the model into one to work by.
func (p *Plan) list(from wheel.List, task wheel.Task, influence wheel.Influence) (List, error) {
	change, err := influence.Of(from.Turns)
	if err != nil {
		return List{}, err
	}
	l := List{Highest: from.Sequence.HighestN, HighestAt: from.Sequence.At, Halved: from.Sequence.Halved, Dropped: from.Sequence.Dropped, Lift: from.Sequence.LiftN, Turns: []Turn{}}
	after := added(task, change)
	if l.After, err = condition(after.Lateral, after.Radial, after.Tension); err != nil {
		return List{}, err
	}
	l.Predicted = rounded(after)
	nipples := map[int]bool{}
	for i, t := range from.Sequence.List {
		l.Turns = append(l.Turns, Turn{Spoke: t.Spoke, Turns: t.Turns, Highest: t.HighestN, HighestAt: t.At})
		nipples[t.Spoke] = true
		if l.HighestAfter == 0 && t.HighestN == l.Highest && l.Highest > p.Before.Highest {
			l.HighestAfter = i + 1
		}
	}
	l.Nipples = len(nipples)
	return l, nil
}

// blameRim says what turning cannot mend, after the best turns there are: a
// run-out whose limit even those do not reach with turns to spare, or whose
// short waves alone pass it, and the step at the joint.
func (p *Plan) blameRim(beyond []string, after Readings) error {
	own, err := wheel.RimOwn(after.Lateral, after.Radial)
	if err != nil {
		return fmt.Errorf("the rim's own share: %w", err)
	}
	over := map[string]bool{}
	for _, code := range beyond {
		over[code] = true
	}
	l := p.Limits
	lateral, radial := l.LateralTIR > 0 && own.Lateral > l.LateralTIR, l.RadialTIR > 0 && own.Radial > l.RadialTIR
	joint := math.Abs(own.Joint.LocalDeviation)
	jointOver := l.RadialTIR > 0 && joint > l.RadialTIR
	if lateral {
		over[wheel.LateralTIR] = true
	}
	if radial || jointOver {
		over[wheel.RadialTIR] = true
	}
	for _, code := range []string{wheel.LateralTIR, wheel.RadialTIR} {
		if over[code] {
			p.RimNotBuilder = append(p.RimNotBuilder, code)
		}
	}
	p.Rim = RimFault{JointFrom: own.JointFrom, JointTo: own.JointTo, At: own.Joint.Station, Kind: own.Joint.Kind, Value: joint, Limit: l.RadialTIR}
	switch {
	case jointOver:
		p.Rim.Code = "joint_over"
	case radial:
		p.Rim.Code, p.Rim.Kind, p.Rim.Value, p.Rim.At = "radial_waves", "", own.Radial, own.RadialAt
	case lateral:
		p.Rim.Code, p.Rim.Kind, p.Rim.Value, p.Rim.Limit, p.Rim.At = "lateral_waves", "", own.Lateral, l.LateralTIR, own.LateralAt
	case len(beyond) > 0:
		p.Rim.Code, p.Rim.Kind, p.Rim.Value, p.Rim.Limit = "beyond_turning", "", spread(after.Radial), l.RadialTIR
		p.Rim.At = farthest(after.Radial)
		if beyond[0] == wheel.LateralTIR {
			p.Rim.Value, p.Rim.Limit, p.Rim.At = spread(after.Lateral), l.LateralTIR, farthest(after.Lateral)
		}
	case joint >= worthKnown:
		p.Rim.Code = "joint"
	}
	return nil
}

// farthest is the station that lies farthest from the mean.
func farthest(values []float64) int {
	mean, at := average(values), 0
	for i, v := range values {
		if math.Abs(v-mean) > math.Abs(values[at]-mean) {
			at = i
		}
	}
	return at
}

// slackSpokes are those that a slack wheel's refusal names.
func slackSpokes(err error) ([]int, bool) {
	var slack *wheel.SlackError
	if errors.As(err, &slack) {
		return slack.Spokes, true
	}
	return nil, false
}
