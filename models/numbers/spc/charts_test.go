package spc

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// Everything here holds for each chart in the table (specimens in
// suite_test.go).

func TestEveryChartHasASpecimen(t *testing.T) {
	list := specimens(t)
	if len(list) != len(Charts()) {
		t.Errorf("%d specimens of %d charts", len(list), len(Charts()))
	}
	for i, d := range Charts() {
		if i >= len(list) || list[i].kind != d.Kind {
			t.Fatalf("chart %s has no specimen in its place", d.Kind)
		}
		chart, err := Plot(d.Kind, list[i].data(25))
		if err != nil || chart.Kind != d.Kind || chart.Scale != d.Scale || chart.SigmaEstimator == "" || chart.Baseline != 25 {
			t.Errorf("%s: %s on %s, sigma by %q, baseline %d, %v", d.Kind, chart.Kind, chart.Scale, chart.SigmaEstimator, chart.Baseline, err)
		}
	}
	if _, err := Plot("tea leaves", Data{}); !errors.Is(err, ErrKind) {
		t.Errorf("unknown kind: %v", err)
	}
}

// Fewer than 20 points: no limits; fewer than 50: provisional. Limits stand in
// their order at every point.
func TestFewPoints(t *testing.T) {
	for _, s := range specimens(t) {
		for _, test := range []struct {
			n                     int
			noLimits, provisional bool
		}{{19, true, true}, {20, false, true}, {49, false, true}, {50, false, false}, {400, false, false}} {
			n := test.n
			if s.kind == "short_run_standardised" {
				n *= 2 // Points of either product count.
			}
			chart, err := s.definition(t).Draw(s.data(n))
			if err != nil {
				t.Fatalf("%s: %v", s.kind, err)
			}
			f := chart.Facts
			if f.N != n || f.NoLimits != test.noLimits || f.Provisional != test.provisional || test.noLimits != (f.NoLimitsReason == NoLimitsFewPoints) {
				t.Errorf("%s with %d points: %+v", s.kind, n, f)
			}
			near(t, "limit of the correlation", f.Lag1Limit, 2/math.Sqrt(float64(n)))
			for _, p := range chart.Panels {
				if test.noLimits && (p.High != nil || p.Low != nil || len(p.Signals) > 0) {
					t.Errorf("%s with %d points: limits on %s", s.kind, n, p.Name)
				}
				if len(p.Centre) != len(p.Points) || p.First+len(p.Points) != n || !test.noLimits && p.High == nil && p.Low == nil {
					t.Errorf("%s with %d points: panel %s has %d points from %d", s.kind, n, p.Name, len(p.Points), p.First)
				}
				for i := range p.Points {
					if p.High != nil && p.High[i] <= p.Centre[i] || p.Low != nil && p.Low[i] >= p.Centre[i] {
						t.Errorf("%s: limits of %s out of order at %d", s.kind, p.Name, i)
					}
				}
			}
		}
	}
}

func TestChartsRefuse(t *testing.T) {
	for _, s := range specimens(t) {
		d, in := s.definition(t), s.data(30)
		if _, err := d.Draw(part(in, 0, 0, Baseline{})); !errors.Is(err, stats.ErrTooFew) {
			t.Errorf("%s of nothing: %v; want ErrTooFew", s.kind, err)
		}
		if _, err := d.Draw(nil); !errors.Is(err, ErrInput) {
			t.Errorf("%s of no data: %v; want ErrInput", s.kind, err)
		}
		for _, other := range specimens(t) {
			if _, err := d.Draw(other.data(30)); (other.definition(t).Takes != d.Takes) != errors.Is(err, ErrInput) {
				t.Errorf("%s of the data of %s: %v", s.kind, other.kind, err)
			}
		}
		if d.Takes != CountedThings {
			for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
				places := 0
				broken := change(in, func(x float64) float64 {
					if places++; places == 11 {
						return bad
					}
					return x
				}, inOrder)
				if _, err := d.Draw(broken); !errors.Is(err, stats.ErrNotFinite) {
					t.Errorf("%s with %v: %v; want ErrNotFinite", s.kind, bad, err)
				}
			}
			turns := 0
			huge := change(in, func(float64) float64 {
				turns++
				return math.MaxFloat64 / float64(1+turns%2)
			}, inOrder)
			chart, err := d.Draw(huge)
			if err != nil && !errors.Is(err, stats.ErrNotFinite) && !errors.Is(err, ErrSingular) {
				t.Errorf("%s of the largest values: %v", s.kind, err)
			}
			for _, p := range chart.Panels {
				for _, line := range [][]float64{p.Points, p.Centre, p.Low, p.High} {
					if err := stats.Check(line, 0); err != nil {
						t.Errorf("%s of the largest values: %s: %v", s.kind, p.Name, err)
					}
				}
			}
		}
	}
}

// Another unit scales the chart, or leaves it alone, and changes nothing else; a
// shift moves it where it should.
func TestChartsScaleAndShift(t *testing.T) {
	list := specimens(t)
	rapid.Check(t, func(r *rapid.T) {
		s := list[rapid.IntRange(0, len(list)-1).Draw(r, "chart")]
		in := s.draw(rand.New(rand.NewPCG(rapid.Uint64().Draw(r, "seed"), 26)), rapid.IntRange(40, 60).Draw(r, "n"))
		scale, shift := float64(rapid.IntRange(1, 300).Draw(r, "scale"))/10, 0.0
		if s.shifts {
			shift = float64(rapid.IntRange(-50, 50).Draw(r, "shift"))
		}
		d, _ := ChartOf(s.kind)
		if d.Takes == CountedThings && s.image(1, 2, 0) == 1 {
			scale = 1 // A number of items inspected has no unit.
		}
		moved := change(in, func(x float64) float64 { return x*scale + shift }, inOrder)
		a, errA := d.Draw(in)
		b, errB := d.Draw(moved)
		if errA != nil || errB != nil || a.Facts.NoLimitsReason != b.Facts.NoLimitsReason || a.Facts.NoLimits {
			r.Fatal(s.kind, errA, errB, a.Facts, b.Facts)
		}
		p, q := a.Panels[0], b.Panels[0]
		for _, line := range [][2][]float64{{p.Points, q.Points}, {p.Centre, q.Centre}, {p.Low, q.Low}, {p.High, q.High}} {
			if len(line[0]) != len(line[1]) {
				r.Fatalf("%s: a line is lost", s.kind)
			}
			for i, y := range line[0] {
				want := s.image(y, scale, shift)
				// Fits are iterated, and shifted values have lost their low digits.
				if math.Abs(line[1][i]-want) > 1e-6*(1e-3+math.Abs(want)) {
					r.Fatalf("%s: %v scaled by %v and shifted by %v is %v; want %v", s.kind, y, scale, shift, line[1][i], want)
				}
			}
		}
	})
}

// The order of the items of a subgroup, or of the readings of an item, does not
// matter.
func TestOrderWithinSubgroup(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 26))
	mixed := 0
	for _, s := range specimens(t) {
		d := s.definition(t)
		switch d.Takes {
		case ItemSubgroups, ReadingsOfItems, VectorsInGroups:
		default:
			continue
		}
		mixed++
		in := s.data(30)
		a, errA := d.Draw(in)
		b, errB := d.Draw(change(in, func(x float64) float64 { return x }, r.Perm))
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		for k, p := range a.Panels {
			q := b.Panels[k]
			for _, line := range [][2][]float64{{p.Points, q.Points}, {p.Centre, q.Centre}, {p.Low, q.Low}, {p.High, q.High}} {
				for i, y := range line[0] {
					if math.Abs(y-line[1][i]) > 1e-9*(1+math.Abs(y)) {
						t.Fatalf("%s, %s: %v became %v in another order", s.kind, p.Name, y, line[1][i])
					}
				}
			}
		}
	}
	if mixed < 6 {
		t.Errorf("only %d charts of subgroups", mixed)
	}
}

// Limits of a baseline do not move with what comes later, stored and read again
// they judge later points as the one chart does, and an excluded point has no
// part in them.
func TestPhases(t *testing.T) {
	for _, s := range specimens(t) {
		d, in := s.definition(t), s.data(80)
		whole, err := d.Draw(part(in, 0, 80, Baseline{Points: 50}))
		if err != nil {
			t.Fatalf("%s: %v", s.kind, err)
		}
		first, err := d.Freeze(part(in, 0, 50, Baseline{}))
		if err != nil {
			t.Fatalf("%s: %v", s.kind, err)
		}
		stored, err := json.Marshal(first)
		if err != nil {
			t.Fatalf("%s: %v", s.kind, err)
		}
		var limits Limits
		if err := json.Unmarshal(stored, &limits); err != nil {
			t.Fatalf("%s: %v", s.kind, err)
		}
		later, err := Judge(limits, part(in, 50, 80, Baseline{}))
		if err != nil {
			t.Fatalf("%s: %v", s.kind, err)
		}
		if whole.Baseline != 50 || later.Baseline != 0 || whole.Facts.N != 50 || later.Facts.N != 50 || later.Sigma != whole.Sigma {
			t.Errorf("%s: baseline %d and %d, facts of %d and %d", s.kind, whole.Baseline, later.Baseline, whole.Facts.N, later.Facts.N)
		}
		for k, p := range later.Panels {
			if s.kind == "ewma" || s.kind == "cusum" {
				break // Their later points carry on the earlier ones, or begin anew.
			}
			q, skip := whole.Panels[k], 50-whole.Panels[k].First+p.First
			for _, line := range [][2][]float64{{p.Points, q.Points}, {p.Centre, q.Centre}, {p.Low, q.Low}, {p.High, q.High}} {
				for i, y := range line[0] {
					if math.Abs(y-line[1][i+skip]) > 1e-9*(1+math.Abs(y)) {
						t.Fatalf("%s, %s: point %d judged by %v alone and by %v on the whole chart", s.kind, p.Name, i, y, line[1][i+skip])
					}
				}
			}
		}
		excluded := Baseline{Points: 50, Excluded: []Exclusion{{Index: 49, Name: "W31000007", Reason: "tool changed"}}}
		without, errA := d.Freeze(part(in, 0, 80, excluded))
		shorter, errB := d.Freeze(part(in, 0, 49, Baseline{}))
		if errA != nil || errB != nil || math.Abs(without.Centre-shorter.Centre) > 1e-9*math.Abs(shorter.Centre) || math.Abs(without.Sigma-shorter.Sigma) > 1e-9*shorter.Sigma || without.Points != 50 || len(without.Excluded) != 1 {
			t.Errorf("%s: without the last of the baseline %v, %v of %d; the first 49 give %v, %v (%v, %v)", s.kind, without.Centre, without.Sigma, without.Points, shorter.Centre, shorter.Sigma, errA, errB)
		}
		if chart, err := d.Draw(part(in, 0, 80, excluded)); err != nil || len(chart.Excluded) != 1 || len(chart.Panels[0].Points)+chart.Panels[0].First != 80 {
			t.Errorf("%s: the excluded point is not shown: %v", s.kind, err)
		}
		for name, b := range map[string]Baseline{
			"more points than there are": {Points: 81},
			"fewer than none":            {Points: -1},
			"without a reason":           {Excluded: []Exclusion{{Index: 3, Name: "W31000007", Reason: " "}}},
			"without a name":             {Excluded: []Exclusion{{Index: 3, Reason: "tool changed"}}},
			"outside the baseline":       {Points: 30, Excluded: []Exclusion{{Index: 30, Name: "a", Reason: "b"}}},
			"twice":                      {Excluded: []Exclusion{{Index: 3, Name: "a", Reason: "b"}, {Index: 3, Name: "a", Reason: "b"}}},
		} {
			if _, err := d.Freeze(part(in, 0, 80, b)); !errors.Is(err, ErrBaseline) {
				t.Errorf("%s, baseline %s: %v; want ErrBaseline", s.kind, name, err)
			}
		}
		limits.Kind = "tea leaves"
		if _, err := d.Judge(limits, in); !errors.Is(err, ErrLimits) {
			t.Errorf("%s judged by the limits of another: %v", s.kind, err)
		}
		limits.Kind, limits.Sigma = s.kind, -1
		if _, err := d.Judge(limits, in); !errors.Is(err, ErrLimits) {
			t.Errorf("%s judged with a negative sigma: %v", s.kind, err)
		}
	}
}

// How often a process in control is called out by limits for that very process:
// the computed share, within three standard errors of the simulated one. Fixed
// seed.
func TestFalseAlarms(t *testing.T) {
	const points = 300_000
	checked := 0
	for _, s := range specimens(t) {
		if s.alarms == nil {
			continue
		}
		checked++
		s.known.Kind = s.kind
		if s.known.Scale == "" {
			s.known.Scale = AsMeasured
		}
		n := points
		if s.definition(t).Takes == ReadingsOfItems {
			n = points / 3
		}
		chart, err := s.definition(t).Judge(s.known, s.draw(rand.New(rand.NewPCG(31, 5)), n))
		if err != nil {
			t.Fatalf("%s: %v", s.kind, err)
		}
		for _, p := range chart.Panels {
			want, ok := s.alarms[p.Name]
			if !ok {
				continue
			}
			alarms := 0
			for _, signal := range p.Signals {
				if signal.Rule == BeyondLimit {
					alarms++
				}
			}
			withinErrors(t, s.kind+", "+p.Name, alarms, n, want)
		}
	}
	if checked+4 != len(Charts()) {
		t.Errorf("%d charts of %d checked here; 4 have tests of their own", checked, len(Charts()))
	}
}

// withinErrors holds a count of independent events against its probability.
func withinErrors(t *testing.T, what string, count, of int, want float64) {
	t.Helper()
	share, deviation := float64(count)/float64(of), math.Sqrt(want*(1-want)/float64(of))
	if math.Abs(share-want) > 3*deviation {
		t.Errorf("%s: a share %.6f of %d called out; computed %.6f, standard error %.6f", what, share, of, want, deviation)
	}
}
