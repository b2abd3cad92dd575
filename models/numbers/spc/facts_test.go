package spc

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tracewright/models/numbers/stats"
)

var individualKinds = []string{"individuals", "individuals_log"}

func plot(t *testing.T, kind string, in Input) Chart {
	t.Helper()
	chart, err := Plot(kind, in)
	if err != nil {
		t.Fatal(err)
	}
	return chart
}

func TestNoSpread(t *testing.T) {
	for kind, in := range map[string]Input{
		"individuals": Data{Values: level(0.3, 60)}, "individuals_log": Data{Values: level(0.3, 60)},
		"ewma": Data{Values: level(0.3, 60)}, "cusum": Data{Values: level(0.3, 60)}, "probability_limits": Data{Values: level(0.3, 60)},
		"mean_range": Subgroups{Values: slices.Repeat([][]float64{{2, 2, 2}}, 60)}, "mean_sd": Subgroups{Values: slices.Repeat([][]float64{{2, 2, 2}}, 60)},
		"mean_sd_unequal": Subgroups{Values: slices.Repeat([][]float64{{2, 2, 2}, {2, 2}}, 30)}, "median_range": Subgroups{Values: slices.Repeat([][]float64{{2, 2, 2}}, 60)},
		"three_way": Items{Readings: slices.Repeat([][]float64{{2, 2.5, 2}}, 60)},
		"c":         Counts{Counts: make([]int, 60)}, "u": Counts{Counts: make([]int, 60), Of: level(3, 60)},
		"p": Counts{Counts: make([]int, 60), Of: level(50, 60)}, "np": Counts{Counts: make([]int, 60), Of: level(50, 60)},
		"overdispersed_p": Counts{Counts: make([]int, 60), Of: level(50, 60)}, "overdispersed_u": Counts{Counts: make([]int, 60), Of: level(50, 60)},
	} {
		chart := plot(t, kind, in)
		if chart.Facts.NoLimitsReason != NoLimitsNoSpread || chart.Facts.Lag1Known || chart.Facts.Distinct != 1 || chart.Panels[0].High != nil {
			t.Errorf("%s of equal values: %+v", kind, chart.Facts)
		}
	}
}

// Sigma of 10, 10.1, 10, ... is 0.1 x 0.886 = 0.0886: a gauge of 0.05 can see it,
// one of 0.1 cannot; its limits may be widened by half a step, those of a gauge
// of 0.2, beyond two sigma, not even so.
func TestResolution(t *testing.T) {
	for _, kind := range individualKinds {
		for _, test := range []struct {
			resolution                float64
			widen                     bool
			coarse, widened, noLimits bool
		}{{0, true, false, false, false}, {0.05, true, false, false, false}, {0.1, false, true, false, true}, {0.1, true, true, true, false}, {0.2, true, true, false, true}} {
			chart := plot(t, kind, Data{Values: alternating(60, 10, 10.1), Resolution: test.resolution, Widen: test.widen})
			f := chart.Facts
			if f.ResolutionCoarse != test.coarse || f.Widened != test.widened || f.NoLimits != test.noLimits || f.Resolution != test.resolution ||
				test.noLimits != (f.NoLimitsReason == NoLimitsResolution) || test.noLimits != (chart.Panels[0].High == nil) {
				t.Errorf("%s with a resolution of %v: %+v", kind, test.resolution, f)
			}
		}
		plain, wide := plot(t, kind, Data{Values: alternating(60, 10, 10.1)}), plot(t, kind, Data{Values: alternating(60, 10, 10.1), Resolution: 0.1, Widen: true})
		near(t, kind+" high", wide.Panels[0].High[0], plain.Panels[0].High[0]+0.05)
		near(t, kind+" low", wide.Panels[0].Low[0], plain.Panels[0].Low[0]-0.05)
		for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
			if _, err := Plot(kind, Data{Values: alternating(60, 10, 10.1), Resolution: bad}); !errors.Is(err, ErrSetting) {
				t.Errorf("%s with a resolution of %v: %v", kind, bad, err)
			}
		}
	}
	if chart := plot(t, "mean_range", Subgroups{Values: groups(rand.New(rand.NewPCG(20, 26)), 40, 4), Resolution: 1.5}); chart.Facts.NoLimitsReason != NoLimitsResolution {
		t.Errorf("subgroups of sigma 1 in steps of 1.5: %+v", chart.Facts)
	}
}

// Rounded to steps of a gauge, values beyond three sigma are those whose step
// lies beyond: the computed share is that of the unrounded values past the edge
// of the first such step. Widened by half a step it is never more than without
// rounding.
func TestFalseAlarmsOfRoundedValues(t *testing.T) {
	const points = 300_000
	for _, test := range []struct {
		step    float64
		widened bool
	}{{0.1, false}, {0.5, false}, {1, false}, {1.3, true}, {2, true}} {
		x := drawn(rand.New(rand.NewPCG(20, 26)), points, 0, 1)
		for i := range x {
			x[i] = test.step * math.RoundToEven(x[i]/test.step)
		}
		limit := 3.0
		if test.widened {
			limit += test.step / 2
		}
		chart, err := Judge(Limits{Kind: "individuals", Scale: AsMeasured, Sigma: 1, Facts: Facts{Resolution: test.step, Widened: test.widened}}, Data{Values: x})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "limit", chart.Panels[0].High[0], limit)
		beyond := (math.Floor(limit/test.step+1e-9) + 0.5) * test.step
		want := math.Erfc(beyond / math.Sqrt2)
		withinErrors(t, "rounded", len(chart.Panels[0].Signals), points, want)
		if test.widened && want > beyondThree {
			t.Errorf("steps of %v: a share %v beyond widened limits, %v beyond three sigma", test.step, want, beyondThree)
		}
	}
}

func TestCorrelated(t *testing.T) {
	slow, mixed := make([]float64, 100), make([]float64, 100)
	for i, other := range rand.New(rand.NewPCG(20, 26)).Perm(100) {
		slow[i], mixed[i] = 10+float64(i/10), 10+float64(other/10)
	}
	for _, kind := range individualKinds {
		a, b := plot(t, kind, Data{Values: slow}), plot(t, kind, Data{Values: mixed})
		if !a.Facts.Correlated || b.Facts.Correlated || len(a.Facts.Offers) != 2 || len(b.Facts.Offers) != 0 {
			t.Errorf("%s: drifting %+v; mixed %+v", kind, a.Facts, b.Facts)
		}
	}
}

// carried makes a first-order series around a level with unit residuals.
func carried(r *rand.Rand, n int, level, share float64) []float64 {
	x := make([]float64, n)
	last := r.NormFloat64() / math.Sqrt(1-share*share)
	for i := range x {
		last = share*last + r.NormFloat64()
		x[i] = level + last
	}
	return x
}

// Neighbours of a share of 0.6 resemble each other: the chart says so, and its
// limits, from neighbours, are too narrow. The residuals of the first-order model
// fitted to one half, on a chart frozen from it, alarm in the other half as often
// as three sigma say.
func TestResidualsOfFirstOrderModel(t *testing.T) {
	const points = 200_000
	x := carried(rand.New(rand.NewPCG(31, 5)), 2*points, 20, 0.6)
	raw := plot(t, "individuals", Data{Values: x})
	if !raw.Facts.Correlated || !slices.Contains(raw.Facts.Offers, OfferResiduals) {
		t.Errorf("facts %+v", raw.Facts)
	}
	if share := float64(len(raw.Panels[0].Signals)) / (2 * points); share < 5*beyondThree {
		t.Errorf("a share %v of correlated values called out: the warning would be needless", share)
	}
	m, err := FirstOrder(x[:points])
	if err != nil {
		t.Fatal(err)
	}
	// Standard error of the share: sqrt((1 - 0.36)/200,000) = 0.0018.
	if math.Abs(m.Share-0.6) > 0.006 || math.Abs(m.Level-8) > 0.15 {
		t.Errorf("level %v, share %v; the series has 8 and 0.6", m.Level, m.Share)
	}
	d, err := ChartOf("individuals")
	if err != nil {
		t.Fatal(err)
	}
	limits, err := d.Freeze(Data{Values: m.Residuals})
	if err != nil {
		t.Fatal(err)
	}
	later, err := m.ResidualsOf(x[points:])
	if err != nil {
		t.Fatal(err)
	}
	chart, err := d.Judge(limits, Data{Values: later})
	if err != nil {
		t.Fatal(err)
	}
	if chart.Facts.Correlated {
		t.Errorf("residuals: %+v", chart.Facts)
	}
	withinErrors(t, "residuals", len(chart.Panels[0].Signals), len(later), beyondThree)
}

// Days that differ by themselves, and values that resemble each other within a
// day: means of days are independent.
func TestDailyMeans(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 5))
	var x []float64
	var days []string
	for day := range 400 {
		of := 10 + r.NormFloat64()
		for range 6 {
			x, days = append(x, of+0.3*r.NormFloat64()), append(days, string(rune('a'+day)))
		}
	}
	means, err := DailyMeans(x, days)
	if err != nil {
		t.Fatal(err)
	}
	values := make([]float64, len(means))
	for i, m := range means {
		values[i] = m.Mean
	}
	if raw := plot(t, "individuals", Data{Values: x}); !raw.Facts.Correlated || raw.Facts.Offers[0] != OfferDailyMeans {
		t.Errorf("values: %+v", raw.Facts)
	}
	if daily := plot(t, "individuals", Data{Values: values}); daily.Facts.Correlated || daily.Facts.N != 400 {
		t.Errorf("means: %+v", daily.Facts)
	}
	few, err := DailyMeans([]float64{1, 3, 5}, []string{"Mon", "Mon", "Tue"})
	if err != nil || !slices.Equal(few, []DayMean{{"Mon", 2, 2}, {"Tue", 5, 1}}) {
		t.Errorf("means %v, %v", few, err)
	}
	for name, bad := range map[string][]string{"too few days": {"Mon"}, "a day that comes back": {"Mon", "Tue", "Mon"}} {
		if _, err := DailyMeans([]float64{1, 3, 5}, bad); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// By hand: 1, 2, 4, 8 follows x[i] = 2 x[i-1] exactly.
func TestFirstOrderByHand(t *testing.T) {
	m, err := FirstOrder([]float64{1, 2, 4, 8})
	if err != nil || math.Abs(m.Share-2) > 1e-12 || math.Abs(m.Level) > 1e-12 || len(m.Residuals) != 3 {
		t.Errorf("%+v, %v", m, err)
	}
	if _, err := FirstOrder([]float64{1, 2}); !errors.Is(err, stats.ErrTooFew) {
		t.Errorf("two values: %v", err)
	}
	if _, err := FirstOrder([]float64{2, 2, 2, 3}); !errors.Is(err, stats.ErrNoSpread) {
		t.Errorf("nothing varies before: %v", err)
	}
}

func TestDistinct(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 26))
	for _, steps := range []int{1, 2, 7, 500, 1023, 1024, 5000, 1 << 30} {
		x := make([]float64, 20_000)
		for i := range x {
			x[i] = float64(r.IntN(steps)-steps/2) / 8
		}
		if got, want := distinct(x), stats.Distinct(x); got != want {
			t.Errorf("%d distinct of %d steps; sorted %d", got, steps, want)
		}
	}
	if got := distinct([]float64{0, math.Copysign(0, -1), 1}); got != 2 {
		t.Errorf("0, -0 and 1 are %d values", got)
	}
}

func TestLag1AsInStats(t *testing.T) {
	x := carried(rand.New(rand.NewPCG(20, 26)), 500, 3, 0.4)
	f, err := factsOf(x)
	if err != nil {
		t.Fatal(err)
	}
	want, err := stats.Lag1(x)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lag 1", f.Lag1, want)
}

// A chart of a million single values is asked for in under 150 ms.
func BenchmarkIndividuals(b *testing.B) {
	data := Data{Values: drawn(rand.New(rand.NewPCG(20, 26)), 1_000_000, 10, 1)}
	for b.Loop() {
		if _, err := Individuals(data); err != nil {
			b.Fatal(err)
		}
	}
}

// Every chart of neighbours that resemble each other offers another: a slow wave
// of 60 points has a lag-1 correlation far above 2/sqrt(60).
func TestEveryCorrelatedChartOffersAnother(t *testing.T) {
	subgroups, counts := Subgroups{}, Counts{}
	for i := range 60 {
		level := 10 + 3*math.Sin(float64(i)/8)
		subgroups.Values = append(subgroups.Values, []float64{level - 0.1, level, level + 0.1})
		counts.Counts = append(counts.Counts, int(math.Round(10*level)))
	}
	for kind, test := range map[string]struct {
		in   Input
		want []string
	}{
		"mean_range":   {subgroups, []string{OfferDailyMeans, OfferResiduals}},
		"median_range": {subgroups, []string{OfferDailyMeans, OfferResiduals}},
		"c":            {counts, []string{OfferDailyMeans}},
	} {
		c, err := Plot(kind, test.in)
		if err != nil || !c.Facts.Correlated || !slices.Equal(c.Facts.Offers, test.want) {
			t.Errorf("%s: correlated %v, offers %v, %v; want %v", kind, c.Facts.Correlated, c.Facts.Offers, err, test.want)
		}
	}
}
