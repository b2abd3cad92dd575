package wheel

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
)

// A simulated stand. The wheels that are turned are not the wheel that the
// prescription believes in: rim stiffness 0.6 to 1.6 times the assumed, a seat
// that gives, gauges with noise, hands that err. The rim has errors of its own:
// lateral waves up to two, radial up to four, and a joint.
const (
	standRunOutNoise = 0.01 // mm
	standTensionSD   = 25.0 // N
	standTurnError   = 0.10 // of a turn
	standRounds      = 3
	standMaximumN    = 1300.0
	standSeat        = 8e-5 // mm/N
)

// standWheel is a true wheel on the stand and what the shop believes of it.
type standWheel struct {
	random                   *rand.Rand
	believed                 *Model
	truth                    Influence
	lateral, radial, tension []float64 // true
	targetA, targetB         float64
	step                     float64
}

// standBuilds are the wheels of the stand: 20 inch 13 gauge, 26 inch 12 gauge,
// 28 inch 14 gauge; assumed sections.
func standBuilds() []Build {
	build := func(radius, inset, flange, offsetA, offsetB, wire, ea, in, out, gj float64, tension float64) Build {
		return Build{
			Geometry: Geometry{
				Spokes: 36, RimRadius: radius, NippleInset: inset, FlangeRadiusA: flange, FlangeRadiusB: flange,
				FlangeOffsetA: offsetA, FlangeOffsetB: offsetB, CrossA: 1, CrossB: 1, SpokeE: 200000, Profile: []Segment{{Diameter: wire}},
			},
			EA: ea, InPlaneEI: in, OutOfPlaneEI: out, GJ: gj, TensionA: tension, GaugeOutset: 6, PitchMM: 25.4 / 56, Waves: 18,
		}
	}
	return []Build{
		build(197, 7, 62, 23, 23, 2.3, 1.2e7, 1.8e8, 7e8, 1.5e8, 1000),
		build(273.5, 8, 104, 17, 26, 2.6, 1.1e7, 1.6e8, 5.5e8, 1.2e8, 1050),
		build(304, 9, 62, 24, 24, 2.0, 8.5e6, 2.2e8, 3.8e8, 8.5e7, 1000),
	}
}

func newStandWheel(t *testing.T, seed uint64) *standWheel {
	t.Helper()
	w := &standWheel{random: rand.New(rand.NewPCG(seed, 4))}
	builds := standBuilds()
	build := builds[int(seed)%len(builds)]
	var err error
	if w.believed, err = NewModel(build); err != nil {
		t.Fatal(err)
	}
	real := build
	stiffness := func() float64 { return 0.6 * math.Pow(1.6/0.6, w.random.Float64()) }
	real.EA, real.InPlaneEI, real.OutOfPlaneEI, real.GJ = real.EA*stiffness(), real.InPlaneEI*stiffness(), real.OutOfPlaneEI*stiffness(), real.GJ*stiffness()
	real.SeatCompliance, real.Waves = standSeat, 24
	m, err := NewModel(real)
	if err != nil {
		t.Fatal(err)
	}
	w.truth = m.Influence()
	w.targetA, w.targetB = w.believed.StartTensions()
	w.step = w.believed.StepFor(0.125, w.targetA)
	w.rim(build.Spokes)
	return w
}

// rim gives the wheel its faults: those of the rim, then nipples that stand
// wrongly until the lateral run-out is what it should start from.
func (w *standWheel) rim(n int) {
	wave := func(k int, most float64) Harmonic {
		return Harmonic{K: k, Amplitude: most * w.random.Float64(), PhaseDeg: 360 * w.random.Float64()}
	}
	ownLateral := waves(n, 0, wave(1, 0.2), wave(2, 0.1))
	ownRadial := waves(n, 0, wave(1, 0.2), wave(2, 0.1), wave(3, 0.05), wave(4, 0.05))
	ownRadial[n/2] += (2*w.random.Float64() - 1) * 0.1 // the joint
	turns := make([]float64, n)
	for j, v := range waves(n, 0.3*w.random.NormFloat64(), wave(1, 0.5), wave(2, 0.5)) {
		turns[j] = []float64{1, -1}[j%2]*v + 0.15*w.random.NormFloat64()
	}
	wanted := 0.5 + 1.1*w.random.Float64()
	for scale, k := 1.0, 0; k < 40; k++ {
		change, err := w.truth.Of(times(turns, scale))
		if err != nil {
			panic(err) // a test's own turns
		}
		w.lateral, w.radial, w.tension = slices.Clone(ownLateral), slices.Clone(ownRadial), make([]float64, n)
		for j := range n {
			w.lateral[j] += change.Lateral[j]
			w.radial[j] += change.Radial[j]
			w.tension[j] = []float64{w.targetA, w.targetB}[j%2] + change.Tension[j]
		}
		tir := spread(w.lateral)
		if math.Abs(tir-wanted) < 0.01 {
			return
		}
		scale *= 1 + 0.5*(wanted/tir-1)
	}
}

// task reads the wheel.
func (w *standWheel) task(round int) Task {
	task := DefaultTask()
	read := func(values []float64, sd float64) []float64 {
		out := make([]float64, len(values))
		for j, v := range values {
			out[j] = v + sd*w.random.NormFloat64()
		}
		return out
	}
	task.Lateral, task.Radial, task.Tension = read(w.lateral, standRunOutNoise), read(w.radial, standRunOutNoise), read(w.tension, standTensionSD)
	task.TargetA, task.TargetB, task.Step = w.targetA, w.targetB, w.step
	task.TensionMax, task.GaugeUncertainty, task.TensionMin = standMaximumN, 2*standTensionSD, 300
	task.Unlearned, task.ShortList = round == 0, 0
	return task
}

// turn carries out a list with hands that err.
func (w *standWheel) turn(turns []float64, erring float64) {
	done := slices.Clone(turns)
	for j := range done {
		done[j] *= 1 + erring*w.random.NormFloat64()
	}
	change, err := w.truth.Of(done)
	if err != nil {
		panic(err) // a test's own turns
	}
	for j := range done {
		w.lateral[j] += change.Lateral[j]
		w.radial[j] += change.Radial[j]
		w.tension[j] += change.Tension[j]
	}
}

// result is what three rounds came to, on the true values.
type result struct {
	runOut, tension bool
	rounds          int
	lateral, radial float64
	deviation       float64
	stopped         string // why a round gave no list
}

// outcome judges the true wheel by grade "standard".
func (w *standWheel) outcome(r result) result {
	limits, _ := WantedOf("standard")
	r.lateral, r.radial = spread(w.lateral), spread(w.radial)
	_, a := sideDeviation(w.tension, 0)
	_, b := sideDeviation(w.tension, 1)
	r.deviation = math.Max(a, b)
	r.runOut = r.lateral <= limits.LateralTIR && r.radial <= limits.RadialTIR
	r.tension = r.deviation <= limits.SideDeviationPct
	return r
}

// work trues a wheel by lists in whole steps, or by what an unrounded
// optimum would ask.
func (w *standWheel) work(rounded bool) (result, error) {
	var r result
	for round := range standRounds {
		if r = w.outcome(r); r.runOut && r.tension {
			break
		}
		p, err := NewPlan(w.believed.Influence(), w.task(round))
		if err != nil {
			r.stopped = err.Error()
			break
		}
		out, err := p.Prescribe()
		if err != nil {
			return r, fmt.Errorf("round %d: %w", round+1, err)
		}
		turns := out.All.Turns
		if !rounded {
			turns = out.Optimum.Turns
		}
		w.turn(turns, standTurnError)
		r.rounds = round + 1
	}
	return w.outcome(r), nil
}

// standWheels is how many wheels the test trues; TRACEWRIGHT_STAND_WHEELS asks
// for another number.
const standWheels = 60

// Judged on true values, at least 90 % of the wheels meet grade "standard" in
// run-out within three rounds; in tension at least 0.9 of what an unrounded
// optimum reaches. The model of the shop is not that of the wheel.
func TestSimulatedStand(t *testing.T) {
	count := standWheels
	if text := os.Getenv("TRACEWRIGHT_STAND_WHEELS"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 {
			t.Fatalf("TRACEWRIGHT_STAND_WHEELS: %q is no number of wheels", text)
		}
		count = n
	}
	var runOut, tension, best int
	var laterals, deviations []float64
	byRounds := make([]int, standRounds+1)
	for seed := range uint64(count) {
		listed, err := newStandWheel(t, seed).work(true)
		if err != nil {
			t.Fatalf("wheel %d: %v", seed, err)
		}
		ideal, err := newStandWheel(t, seed).work(false)
		if err != nil {
			t.Fatalf("wheel %d, unrounded: %v", seed, err)
		}
		byRounds[listed.rounds]++
		laterals, deviations = append(laterals, listed.lateral), append(deviations, listed.deviation)
		for _, c := range []struct {
			met  bool
			into *int
		}{{listed.runOut, &runOut}, {listed.tension, &tension}, {ideal.tension, &best}} {
			if c.met {
				*c.into++
			}
		}
		if !listed.runOut || !listed.tension {
			t.Logf("wheel %d: lateral %.2f, radial %.2f mm, deviation %.1f %%; unrounded %.2f, %.2f, %.1f %s", seed,
				listed.lateral, listed.radial, listed.deviation, ideal.lateral, ideal.radial, ideal.deviation, listed.stopped)
		}
	}
	slices.Sort(laterals)
	slices.Sort(deviations)
	at := func(sorted []float64, part float64) float64 { return sorted[int(part*float64(len(sorted)-1))] }
	t.Logf("%d wheels: run-out met by %d, tension by %d, by an unrounded optimum %d", count, runOut, tension, best)
	t.Logf("lateral TIR: median %.2f, 90 %% below %.2f, worst %.2f mm; side deviation: median %.1f, 90 %% below %.1f, worst %.1f %%; rounds used 0 to 3: %v",
		at(laterals, 0.5), at(laterals, 0.9), at(laterals, 1), at(deviations, 0.5), at(deviations, 0.9), at(deviations, 1), byRounds)
	if float64(runOut) < 0.9*float64(count) {
		t.Errorf("run-out: %d of %d wheels, at least 90 %% wanted", runOut, count)
	}
	if float64(tension) < 0.9*float64(best) {
		t.Errorf("tension: %d wheels, an unrounded optimum %d: at least 0.9 of it wanted", tension, best)
	}
}
