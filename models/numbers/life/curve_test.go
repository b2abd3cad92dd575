package life

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
	"tracewright/testdata/cases"
)

func livesOf(times []float64, events []int) []Observation {
	var lives []Observation
	for i, time := range times {
		lives = append(lives, Observation{time, events[i] == 1, 1})
	}
	return lives
}

func draw(t *testing.T, lives []Observation, leastAtRisk int) Curve {
	t.Helper()
	curve, err := KaplanMeier(lives, CurveOptions{Confidence: 0.95, LeastAtRisk: leastAtRisk})
	if err != nil {
		t.Fatal(err)
	}
	return curve
}

// Remission times of acute myelogenous leukaemia (Miller, Survival Analysis,
// 1981): median and its lower limit by the log interval, as the survival package
// of R prints them (from memory): 31 and 18 with maintenance, 23 and 8 without,
// no upper limit in either.
func TestMedianAsPrinted(t *testing.T) {
	for _, c := range cases.OfKind(t, "survival_curve") {
		want, known := map[string][2]float64{"km_aml_maintained": {31, 18}, "km_aml_nonmaintained": {23, 8}}[c.ID]
		if !known {
			continue
		}
		in := cases.Decode[struct {
			Time  []float64
			Event []int
		}](t, c.Input)
		got, reached := draw(t, livesOf(in.Time, in.Event), 0).median(func(p Point) Interval { return p.Log })
		if !reached || got.Time != want[0] || !got.LowKnown || got.Low != want[1] || got.HighKnown {
			t.Errorf("%s: %+v; want %v", c.ID, got, want)
		}
	}
}

// Without censoring the curve is the fraction left, and its error binomial.
func TestCurveWithoutCensoring(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		times := rapid.SliceOfN(rapid.Float64Range(0, 9), 1, 60).Draw(t, "times")
		var lives []Observation
		for _, time := range times {
			lives = append(lives, Observation{math.Floor(time), true, 1})
		}
		curve, err := KaplanMeier(lives, CurveOptions{Confidence: 0.95})
		if err != nil {
			t.Fatal(err)
		}
		n := float64(len(lives))
		for _, p := range curve.Points {
			left := 0.
			for _, l := range lives {
				if l.Time > p.Time {
					left++
				}
			}
			s := left / n
			if math.Abs(p.Survival-s) > 1e-12 || p.Bounded != (left > 0) || math.Abs(p.SE-math.Sqrt(s*(1-s)/n)) > 1e-12 {
				t.Errorf("%+v; %v of %v left", p, left, n)
			}
		}
	})
}

// The curve falls, its intervals hold it, order and grouping are irrelevant, and
// another unit of time moves times only.
func TestCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lives := drawLives(t)
		options := CurveOptions{Confidence: rapid.Float64Range(0.5, 0.999).Draw(t, "confidence"), LeastAtRisk: 10}
		curve, err := KaplanMeier(lives, options)
		if err != nil {
			t.Fatal(err)
		}
		before := Point{Survival: 1}
		for _, p := range curve.Points {
			if p.Survival >= before.Survival || p.Hazard <= before.Hazard || p.Time <= before.Time || p.Few != (p.AtRisk < 10) {
				t.Errorf("%+v after %+v", p, before)
			}
			for _, i := range []Interval{p.Log, p.LogLog} {
				if p.Bounded && !(0 <= i.Low && i.Low <= p.Survival && p.Survival <= i.High && i.High <= 1) {
					t.Errorf("%+v", p)
				}
			}
			before = p
		}
		var turned []Observation
		for _, l := range slices.Backward(lives) {
			for range l.Count {
				turned = append(turned, Observation{4 * l.Time, l.Failed, 1})
			}
		}
		again, err := KaplanMeier(turned, options)
		if err != nil || len(again.Points) != len(curve.Points) {
			t.Fatal(len(again.Points), len(curve.Points), err)
		}
		for i, p := range again.Points {
			p.Time /= 4
			if p != curve.Points[i] {
				t.Errorf("%+v; want %+v", p, curve.Points[i])
			}
		}
	})
}

// A curve is read as far as enough are at risk; nothing failed is a curve
// without points and without a median.
func TestCurveEnds(t *testing.T) {
	lives := []Observation{{1, true, 5}, {2, false, 4}, {3, true, 1}, {4, true, 1}, {5, false, 9}}
	// At risk 20, 11, 10.
	curve := draw(t, lives, 11)
	if len(curve.Points) != 3 || len(curve.Firm()) != 2 || curve.Points[1].Few || !curve.Points[2].Few {
		t.Errorf("%+v", curve)
	}
	if all := draw(t, lives, 0).Firm(); len(all) != 3 {
		t.Errorf("%+v", all)
	}
	empty := draw(t, []Observation{{5, false, 3}}, 10)
	if _, reached := empty.Median(); reached || len(empty.Points) != 0 || empty.Units != 3 {
		t.Errorf("%+v", empty)
	}
}

func TestCurveRefuses(t *testing.T) {
	for _, confidence := range []float64{0, 1, -1, math.NaN()} {
		_, err := KaplanMeier(handbook(), CurveOptions{Confidence: confidence})
		wantArgument(t, err, "confidence", stats.ErrOutOfRange)
	}
	_, err := KaplanMeier(nil, CurveOptions{Confidence: 0.95})
	wantArgument(t, err, "time", stats.ErrTooFew)
}

// A triangle is the product-limit curve of the same units, each return an age
// and each unit still out censored at the age of its month.
func TestTriangleIsTheCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const asOf = 12
		var shipments []Shipped
		var lives []Observation
		for month := range asOf + 1 {
			s := Shipped{Month: month, Units: rapid.IntRange(1, 30).Draw(t, "units"), Returns: map[int]int{}}
			left := s.Units
			for age := range asOf - month + 1 {
				n := rapid.IntRange(0, min(2, left)).Draw(t, "returns")
				s.Returns[age] = n
				left -= n
				lives = append(lives, Observation{float64(age), true, n})
			}
			lives = append(lives, Observation{float64(asOf - month), false, left})
			shipments = append(shipments, s)
		}
		rows, err := Triangle(shipments, asOf, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		curve, err := KaplanMeier(lives, CurveOptions{Confidence: 0.95})
		if err != nil {
			t.Fatal(err)
		}
		at := map[int]Point{}
		for _, p := range curve.Points {
			at[int(p.Time)] = p
		}
		for _, r := range rows {
			if r.HazardBounds.Low > r.Hazard || r.HazardBounds.High < r.Hazard {
				t.Errorf("hazard outside its bounds: %+v", r)
			}
			p, failed := at[r.Age]
			if failed != (r.Returns > 0) || failed && (p.AtRisk != r.AtRisk || p.Failures != r.Returns || math.Abs(1-p.Survival-r.Cumulative) > 1e-12) {
				t.Errorf("%+v; curve %+v", r, p)
			}
			if failed && p.Bounded && math.Abs(r.Bounds.Low-(1-p.LogLog.High)) > 1e-9 {
				t.Errorf("bounds %+v; curve %+v", r.Bounds, p.LogLog)
			}
		}
	})
}

func TestTriangleRefuses(t *testing.T) {
	month := func(units int, returns map[int]int) []Shipped { return []Shipped{{1, units, returns}} }
	for _, test := range []struct {
		name, argument string
		err            error
		shipments      []Shipped
		asOf           int
	}{
		{"nothing", "shipped", stats.ErrTooFew, nil, 4},
		{"no units", "shipped", stats.ErrTooFew, month(0, nil), 4},
		{"negative units", "shipped", stats.ErrOutOfRange, month(-1, nil), 4},
		{"1e18 units", "shipped", stats.ErrOutOfRange, month(1e18, nil), 4},
		{"shipped after the end", "shipped", stats.ErrOutOfRange, month(5, nil), 0},
		{"shipped an age ago", "shipped", stats.ErrOutOfRange, month(5, nil), 900_000},
		{"month twice", "shipped", stats.ErrOutOfRange, []Shipped{{1, 5, nil}, {1, 5, nil}}, 4},
		{"end beyond all months", "as of", stats.ErrOutOfRange, month(5, nil), math.MaxInt},
		{"more returns than shipped", "returns", ErrTriangle, month(5, map[int]int{0: 3, 1: 3}), 4},
		{"return in the future", "returns", ErrTriangle, month(5, map[int]int{4: 1}), 4},
		{"return before shipment", "returns", ErrTriangle, month(5, map[int]int{-1: 1}), 4},
		{"negative returns", "returns", ErrTriangle, month(5, map[int]int{0: -1}), 4},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := Triangle(test.shipments, test.asOf, 0.95)
			wantArgument(t, err, test.argument, test.err)
		})
	}
}

// Forecasts: a longer horizon never expects less, bounds hold the mean, and
// nobody expects more than are out.
func TestForecast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lives := drawLives(t)
		fits := []func([]Observation) (Fit, error){FitWeibull, FitLognormal, FitExponential}
		fit, err := rapid.SampledFrom(fits).Draw(t, "law")(lives)
		if err != nil {
			t.Fatal(err)
		}
		h := rapid.Float64Range(0.1, 500).Draw(t, "horizon")
		short, err := fit.Forecast(lives, h, 0.95)
		long, errLong := fit.Forecast(lives, 2*h, 0.95)
		if err != nil || errLong != nil {
			t.Fatal(err, errLong)
		}
		if short.Expected > long.Expected+1e-9 || long.Expected > float64(long.StillOut) {
			t.Errorf("%+v, then %+v", short, long)
		}
		for _, f := range []Forecast{short, long} {
			if f.Mean.Low > f.Expected || f.Mean.High < f.Expected*(1-1e-9) || f.Low > f.High || f.High > f.StillOut {
				t.Errorf("%+v", f)
			}
		}
	})
}

// An exponential law has no memory: m = units (1 - exp(-h/mean)), and with the
// mean known its logarithm has variance (derivative)^2/r.
func TestForecastInClosedForm(t *testing.T) {
	lives := handbook()
	fit, err := FitExponential(lives)
	if err != nil {
		t.Fatal(err)
	}
	const h = 100.
	got, err := fit.Forecast(lives, h, 0.95)
	mean := fit.Scale()
	m := 10 * (1 - math.Exp(-h/mean))
	apart(t, "expected", got.Expected, err, m, 1e-9)
	spread := 10 * h / mean * math.Exp(-h/mean) / m / math.Sqrt(10)
	apart(t, "low", got.Mean.Low, err, m*math.Exp(-1.959963984540054*spread), 1e-9)
	for name, horizon := range map[string]float64{"negative": -1, "not a number": math.NaN(), "endless": math.Inf(1)} {
		t.Run(name, func(t *testing.T) {
			_, err := fit.Forecast(lives, horizon, 0.95)
			wantArgument(t, err, "horizon", stats.ErrOutOfRange)
		})
	}
	if none, err := fit.Forecast(lives, 0, 0.95); err != nil || none.Expected != 0 || none.High != 0 || none.Mean != (Interval{}) {
		t.Errorf("within no time: %+v, %v; want none", none, err)
	}
	assumed, err := AssumedShape(lives, 2, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if none, err := assumed.Forecast(lives, 0, 0.95); err != nil || none.Expected != 0 || none.High != 0 || none.Mean != (Interval{}) {
		t.Errorf("within no time, of an assumed shape: %+v, %v; want none", none, err)
	}
}

// Nothing has failed: the range of an assumed shape still has a lower end, and
// a forecast an upper one.
func TestAssumedWithoutFailures(t *testing.T) {
	lives := []Observation{{10, false, 30}}
	a, err := AssumedShape(lives, 1, 0.95)
	// 2 T/chi2(0.975; 2) = -T/ln 0.025.
	apart(t, "low", a.Low, err, 300/-math.Log(0.025), 1e-9)
	f, err := a.Forecast(lives, 5, 0.95)
	apart(t, "most expected", f.Mean.High, err, 30*(1-math.Exp(-5/a.Low)), 1e-9)
	if a.ScaleKnown || f.Expected != 0 || f.Low != 0 || f.High < 1 || f.High > 30 {
		t.Errorf("%+v, %+v", a, f)
	}
}
