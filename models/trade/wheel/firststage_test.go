package wheel

import (
	"math"
	"slices"
	"testing"
)

// prescribed is what the believed wheel is told for a task.
func prescribed(t *testing.T, w *standWheel, task Task) (*Plan, Prescription) {
	t.Helper()
	p, err := NewPlan(w.believed.Influence(), task)
	if err != nil {
		t.Fatal(err)
	}
	out, err := p.Prescribe()
	if err != nil {
		t.Fatal(err)
	}
	return p, out
}

// A first stage only loosens, whatever is looked at: optimum, steps, both
// lists; the highest tension never rises on the way and ends lower.
func TestLoosenOnly(t *testing.T) {
	for seed := range uint64(6) {
		w := newStandWheel(t, seed)
		task := w.task(0)
		task.TensionMax, task.LoosenOnly, task.ShortList = 900, true, 12 // 1000 N and more are there
		p, out := prescribed(t, w, task)
		for name, turns := range map[string][]float64{"optimum": out.Optimum.Turns, "lattice": out.Lattice.Turns, "all": out.All.Turns, "short": out.Short.Turns} {
			if most := slices.Max(turns); most > 1e-6 {
				t.Errorf("wheel %d: %s tightens by %g", seed, name, most)
			}
			if slices.Min(turns) > -task.Step/2 {
				t.Errorf("wheel %d: %s loosens nothing", seed, name)
			}
		}
		highest, _ := p.startHighest()
		start := highest
		for _, turn := range out.All.Sequence.List {
			if turn.HighestN > highest+limitSlack {
				t.Errorf("wheel %d: the highest tension rises from %.1f to %.1f N", seed, highest, turn.HighestN)
			}
			highest = turn.HighestN
		}
		if !(out.All.Expected.TensionMax < start) {
			t.Errorf("wheel %d: highest tension from %.1f to %.1f N", seed, start, out.All.Expected.TensionMax)
		}
	}
}

// An even wheel above its ceiling has no nipple that can be loosened without
// lifting its neighbours. It gets a list all the same, of every nipple, that
// says by how much; at the end the highest tension lies lower.
func TestLoosenOnlyOfAnEvenWheel(t *testing.T) {
	for _, most := range []float64{850, 900, 980, 1020, 1040} {
		w := newStandWheel(t, 1)
		task := w.task(0)
		for j := range task.Tension {
			task.Lateral[j], task.Radial[j], task.Tension[j] = 0, 0, []float64{1050, 700}[j%2]
		}
		task.TensionMax, task.GaugeUncertainty, task.TensionMin, task.LoosenOnly = most, 0, 300, true
		p, out := prescribed(t, w, task)
		s := out.All.Sequence
		if len(s.List) == 0 {
			t.Errorf("maximum %g N: nothing is loosened", most)
			continue
		}
		if out.All.Expected.TensionMax >= 1050 {
			t.Errorf("maximum %g N: the highest tension ends at %.1f N, want below the 1050 it began with", most, out.All.Expected.TensionMax)
		}
		for _, turn := range s.List {
			if turn.Turns >= 0 || turn.HighestN > 1050+s.LiftN+limitSlack {
				t.Errorf("maximum %g N: %+v, want only loosening and at most %.1f N above the start", most, turn, s.LiftN)
			}
		}
		if unit := p.stepOnNeighbour(); s.LiftN <= 0 || s.LiftN > 4*unit {
			t.Errorf("maximum %g N: the highest rises by %.1f N, want some, and at most four times the %.1f N that one step adds", most, s.LiftN, unit)
		}
	}
}

// Waves that nipples reach are not the rim's; a wave that is too short is, at
// twice its amplitude, and so is a step at the joint, which stands at stations
// 15 to 20 of 36, opposite the valve hole (180 - 5 degrees, 25 either side).
func TestRimOwn(t *testing.T) {
	const n = 36
	for _, row := range []struct {
		name            string
		lateral, radial Harmonic
		wantL, wantR    float64
	}{
		{"waves of nipples", Harmonic{K: 2, Amplitude: 0.4, PhaseDeg: 20}, Harmonic{K: 4, Amplitude: 0.3, PhaseDeg: 70}, 0, 0},
		// 9 and 6 waves fall on stations at their crests: 36/9 and 36/6 are even.
		{"short waves", Harmonic{K: 9, Amplitude: 0.1}, Harmonic{K: 6, Amplitude: 0.2}, 0.2, 0.4},
	} {
		got, err := RimOwn(waves(n, 0.3, row.lateral), waves(n, -0.2, row.radial))
		if err != nil {
			t.Fatal(err)
		}
		near(t, row.name+" lateral", got.Lateral, row.wantL, 1e-9)
		near(t, row.name+" radial", got.Radial, row.wantR, 1e-9)
	}
	hop := waves(n, 0, Harmonic{K: 1, Amplitude: 0.2, PhaseDeg: 10})
	hop[18] += 0.35
	got, err := RimOwn(waves(n, 0), hop)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "joint", got.Joint.LocalDeviation, 0.35, 1e-9)
	if got.Joint.Station != 18 || got.Joint.Kind != Hop || got.JointFrom != 15 || got.JointTo != 20 {
		t.Errorf("joint %+v, window %d to %d", got.Joint, got.JointFrom, got.JointTo)
	}
}

// Drift by hand: a closure of 0.036 mm over 36 stations is a thousandth a
// station. Under a mask stands what the waves of the others give.
func TestStations(t *testing.T) {
	const n = 36
	shape := waves(n, 0.1, Harmonic{K: 2, Amplitude: 0.3, PhaseDeg: 40})
	drifted := slices.Clone(shape)
	for i := range drifted {
		drifted[i] += 0.001 * float64(i)
	}
	reread := drifted[0] + 0.036
	got, err := Stations(drifted, &reread, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range got {
		near(t, "without drift", got[i], shape[i], 1e-9)
	}
	beads := with(shape, map[int]float64{5: 4, 6: -4})
	if got, err = Stations(beads, nil, []Mask{{5, "weld"}, {6, "weld"}}); err != nil {
		t.Fatal(err)
	}
	for i := range got {
		near(t, "under a mask", got[i], shape[i], 1e-9)
	}
	if got, err = Stations(shape, nil, nil); err != nil || &got[0] != &shape[0] {
		t.Errorf("with nothing to take out they are not the readings themselves: %v", err)
	}
	if _, err = Stations(with(shape, map[int]float64{0: math.NaN()}), nil, nil); err == nil {
		t.Error("a reading that is no number was taken")
	}
}

// By hand: with the slack ones the means are 960 and 632, 0.3 of them 288 and 190.
func TestSlackSpokes(t *testing.T) {
	tension := make([]float64, 36)
	for j := range tension {
		tension[j] = []float64{1000, 700}[j%2]
	}
	if got := SlackSpokes(tension); len(got) != 0 {
		t.Errorf("an even wheel: %v", got)
	}
	tension[2], tension[7], tension[11] = 280, 180, 0
	if got := SlackSpokes(tension); !slices.Equal(got, []int{2, 7, 11}) {
		t.Errorf("got %v", got)
	}
}

// Every row that a form offers is a rim, and has a code and a name of its own.
func TestSections(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range Sections() {
		if seen[s.Code] || seen[s.Name] || s.Code == "" {
			t.Errorf("%q, %q stand twice or are empty", s.Code, s.Name)
		}
		seen[s.Code], seen[s.Name] = true, true
		if back, ok := SectionCoded(s.Code); !ok || back != s {
			t.Errorf("%s is not found again", s.Code)
		}
	}
	if _, ok := SectionCoded("own"); ok {
		t.Error("own figures are no row")
	}
}

// A short list that may end within its limits goes on where it aims at half of
// them: it never turns fewer nipples, and on some wheel it turns more.
func TestAim(t *testing.T) {
	longer := 0
	for seed := range uint64(8) {
		w := newStandWheel(t, seed)
		task := w.task(0)
		task.ShortList = 16
		within := func(aim float64) List {
			task.Aim = aim
			p, err := NewPlan(w.believed.Influence(), task)
			if err != nil {
				t.Fatal(err)
			}
			out, err := p.Prescribe()
			if err != nil {
				t.Fatal(err)
			}
			return out.Short
		}
		whole, half := within(0), within(0.5)
		if half.Touched < whole.Touched {
			t.Errorf("wheel %d: %d nipples for half the limits, %d for the whole", seed, half.Touched, whole.Touched)
		}
		if half.Touched > whole.Touched {
			longer++
		}
	}
	if longer == 0 {
		t.Error("no list went on for the sake of its aim")
	}
}
