package wheel

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"testing"
)

// mistake is what somebody does wrong between two readings of a wheel on the
// stand: turned is what was turned instead of the list, read what was written
// down instead of the wheel as it is.
type mistake struct {
	name   string
	cause  string
	spokes int
	turned func([]float64) []float64
	read   func(*Before)

	misread bool // the readings are at fault, and not the turns
}

func mistakes() []mistake {
	same := func(x []float64) []float64 { return x }
	asIs := func(*Before) {}
	onward := func(values []float64, by int) []float64 { // by hand: the value of spoke j on spoke j+by
		n := len(values)
		out := make([]float64, n)
		for j, v := range values {
			out[(j+by+n)%n] = v
		}
		return out
	}
	turns := func(by int) func([]float64) []float64 {
		return func(x []float64) []float64 { return onward(x, by) }
	}
	return []mistake{
		{"as listed", AsListed, 0, same, asIs, false},
		{"the other way", WrongDirection, 0, func(x []float64) []float64 { return times(x, -1) }, asIs, false},
		{"the spoke after it, of the other side", WrongSide, 1, turns(1), asIs, false},
		{"the spoke before it, of the other side", WrongSide, -1, turns(-1), asIs, false},
		{"the next spoke of the side", ShiftedSpoke, 2, turns(2), asIs, false},
		{"two spokes of the side back", ShiftedSpoke, -4, turns(-4), asIs, false},
		{"gauge on the other flank", OtherFlank, 0, same, func(b *Before) { b.Lateral, b.ZeroKept = plus(times(b.Lateral, -1), 0.21), false }, true},
		{"side B read as side A", ReadSwapped, 0, same, func(b *Before) {
			b.Lateral, b.ZeroKept = times(b.Lateral, -1), false
			for j := 0; j+1 < len(b.Tension); j += 2 {
				b.Tension[j], b.Tension[j+1] = b.Tension[j+1], b.Tension[j]
			}
		}, true},
		{"reading begun two spokes late", StartedAside, -2, same, func(b *Before) {
			b.Lateral, b.Radial, b.Tension = onward(b.Lateral, -2), onward(b.Radial, -2), onward(b.Tension, -2)
		}, true},
		{"lateral gauge that slipped at spoke 21", SlippedGauge, 0, same, func(b *Before) {
			for j := 20; j < len(b.Lateral); j++ {
				b.Lateral[j] += 0.5
			}
		}, true},
	}
}

// Each mistake is made at a stand whose wheel is not the one the shop believes
// in (stiffness, seat, noise and turning error as there). Nine in ten are to be
// stopped, and of those nine in ten by their right name; of wheels turned as
// listed at most one in ten is stopped.
func TestExplainNamesTheMistake(t *testing.T) {
	const wheels = 24
	noise := Noise{RunOutMM: standRunOutNoise, TensionN: standTensionSD}
	for _, m := range mistakes() {
		t.Run(m.name, func(t *testing.T) {
			stopped, named := 0, 0
			for seed := range uint64(wheels) {
				w := newStandWheel(t, seed)
				list := w.prescribed(t)
				if m.misread {
					list = times(list, 0.4) // A wheel that comes out flat reads alike however it is read.
				}
				before := w.asRead()
				w.turn(m.turned(list), standTurnError)
				after := w.asRead()
				m.read(&after)
				got, err := Explain(w.believed.Influence(), list, before, after, noise)
				if err != nil {
					t.Fatal(err)
				}
				if !slices.IsSortedFunc(got, func(a, b Hypothesis) int { return cmp.Compare(a.Left, b.Left) }) {
					t.Fatalf("wheel %d: the best does not come first", seed)
				}
				if !contradicted(t, w, list, before, after, noise) && !Outdone(got) {
					continue
				}
				stopped++
				if got[0].Cause == m.cause && got[0].Spokes == m.spokes {
					named++
				} else {
					t.Logf("wheel %d: %s %d (left %.1f, fit %.2f), then %s %d (%.1f, %.2f)", seed, got[0].Cause, got[0].Spokes, got[0].Left, got[0].Fit, got[1].Cause, got[1].Spokes, got[1].Left, got[1].Fit)
				}
			}
			t.Logf("%d of %d wheels contradict their list, named on %d", stopped, wheels, named)
			switch {
			case m.cause == AsListed && stopped > wheels/10:
				t.Errorf("%d of %d wheels that were turned as listed are stopped", stopped, wheels)
			case m.cause != AsListed && stopped < wheels*9/10:
				t.Errorf("%d of %d wheels are stopped, at least 90 %% wanted", stopped, wheels)
			case m.cause != AsListed && named < (9*stopped+9)/10:
				t.Errorf("named on %d of %d wheels, at least 90 %% wanted", named, stopped)
			}
		})
	}
}

// contradicted says whether Learn would stop.
func contradicted(t *testing.T, w *standWheel, list []float64, before, after Before, noise Noise) bool {
	t.Helper()
	predicted, err := w.believed.Influence().Of(list)
	if err != nil {
		t.Fatal(err)
	}
	observed := Changed{minus(after.Lateral, before.Lateral), minus(after.Radial, before.Radial), minus(after.Tension, before.Tension)}
	if !before.ZeroKept || !after.ZeroKept {
		predicted.Lateral, observed.Lateral = centred(predicted.Lateral), centred(observed.Lateral)
	}
	learned, err := Learn(predicted, observed, noise)
	if err != nil {
		t.Fatal(err)
	}
	return learned.Stop
}

// prescribed is what the shop would turn on a wheel of the stand.
func (w *standWheel) prescribed(t *testing.T) []float64 {
	t.Helper()
	p, err := NewPlan(w.believed.Influence(), w.task(0))
	if err != nil {
		t.Fatal(err)
	}
	out, err := p.Prescribe()
	if err != nil {
		t.Fatal(err)
	}
	return out.All.Turns
}

// asRead is the wheel as the gauges show it.
func (w *standWheel) asRead() Before {
	task := w.task(0)
	return Before{Lateral: task.Lateral, Radial: task.Radial, Tension: task.Tension, ZeroKept: true}
}

// A prediction that is met exactly correlates by 1 with itself, by -1 with its
// opposite, and is least like nothing at all (definition).
func TestExplainOfAPerfectWheel(t *testing.T) {
	w := newStandWheel(t, 1)
	n := w.believed.Spokes()
	turns := make([]float64, n)
	turns[4], turns[19], turns[30] = 0.25, -0.25, 0.125
	change, err := w.believed.Influence().Of(turns)
	if err != nil {
		t.Fatal(err)
	}
	zero := make([]float64, n)
	list, err := Explain(w.believed.Influence(), turns, Before{zero, zero, zero, true}, Before{change.Lateral, change.Radial, change.Tension, true}, Noise{})
	if err != nil {
		t.Fatal(err)
	}
	at := func(cause string) Hypothesis {
		return list[slices.IndexFunc(list, func(h Hypothesis) bool { return h.Cause == cause })]
	}
	for _, h := range []struct {
		cause string
		want  float64
	}{{AsListed, 1}, {WrongDirection, -1}} {
		got := at(h.cause)
		near(t, h.cause+" lateral", got.Lateral, h.want, 1e-9)
		near(t, h.cause+" radial", got.Radial, h.want, 1e-9)
		near(t, h.cause+" tension", got.Tension, h.want, 1e-9)
		near(t, h.cause+" fit", got.Fit, h.want, 1e-9)
	}
	if list[0].Cause != AsListed || list[len(list)-1].Cause != WrongDirection {
		t.Errorf("first %s, last %s", list[0].Cause, list[len(list)-1].Cause)
	}
	told := Telling(at(AsListed), at(WrongDirection), 2)
	if len(told) != 2 || told[0] == told[1] || apartDeg(10*float64(told[0]), 10*float64(told[1])) < 60 {
		t.Errorf("spokes that tell them apart: %v", told)
	}
	// Those of a turn and its opposite differ most where most was turned.
	if !slices.Contains(told, 4) && !slices.Contains(told, 19) {
		t.Errorf("neither of the spokes turned by a quarter is among %v", told)
	}
}

// A step that is there is found: 0.3 mm from station 12 on.
func TestStep(t *testing.T) {
	values := make([]float64, 36)
	for i := 12; i < 36; i++ {
		values[i] = 0.3
	}
	for i, got := range step(plus(values, 0.05)) {
		near(t, "station", got, values[i], 1e-9)
	}
}

func TestExplainRefusals(t *testing.T) {
	w := newStandWheel(t, 1)
	n := w.believed.Spokes()
	zero := make([]float64, n)
	good := Before{zero, zero, zero, true}
	for _, row := range []struct {
		name          string
		turns         []float64
		before, after Before
	}{
		{"turns of another wheel", zero[:n-1], good, good},
		{"a set that is short", zero, Before{zero, zero[:n-2], zero, true}, good},
		{"a reading that is no number", zero, good, Before{zero, zero, with(zero, map[int]float64{3: math.NaN()}), true}},
	} {
		if _, err := Explain(w.believed.Influence(), row.turns, row.before, row.after, Noise{}); !errors.Is(err, ErrInput) {
			t.Errorf("%s: %v", row.name, err)
		}
	}
}
