package life

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
	"tracewright/testdata/cases"
)

func apart(t *testing.T, what string, got float64, err error, want, tolerance float64) {
	t.Helper()
	if err != nil || !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, %v; want %.12g", what, got, err, want)
	}
}

// wantArgument checks that an error is about an argument and wraps a reason.
func wantArgument(t *testing.T, err error, argument string, reason error) {
	t.Helper()
	var named *stats.ArgumentError
	if !errors.As(err, &named) || named.Argument != argument || !errors.Is(err, reason) {
		t.Errorf("got %v; want %v about %s", err, reason, argument)
	}
}

// handbook is the test of NIST/SEMATECH e-Handbook 8.4.1.3: 20 units, 10
// failures, the rest running at 500 hours.
func handbook() []Observation {
	lives := []Observation{{500, false, 10}}
	for _, time := range []float64{54, 187, 216, 240, 244, 335, 361, 373, 375, 386} {
		lives = append(lives, Observation{time, true, 1})
	}
	return lives
}

// The figures that the e-Handbook prints for it.
func TestHandbookFits(t *testing.T) {
	weibull, err := FitWeibull(handbook())
	apart(t, "scale", weibull.Scale(), err, 606.528, 0.0006)
	apart(t, "shape", weibull.Shape(), err, 1.7208, 0.00006)
	apart(t, "log-likelihood", weibull.LogLikelihood, err, -75.135, 0.0006)
	apart(t, "AIC", weibull.AIC(), err, 154.27, 0.006)
	mean, sd, err := weibull.Mean()
	apart(t, "mean life", mean, err, 540.737, 0.0006)
	apart(t, "sd of lives", sd, err, 323.806, 0.0006)
	lognormal, err := FitLognormal(handbook())
	apart(t, "AIC of the lognormal", lognormal.AIC(), err, 154.39, 0.006)
}

// Without censoring a lognormal fit is the mean and the standard deviation
// (by n) of the logarithms, with variances sigma^2/n and 1/(2n); an exponential
// one the mean.
func TestFitsInClosedForm(t *testing.T) {
	logs := []float64{1, 2, 2.5, 4.5}
	var lives []Observation
	total := 0.
	for _, x := range logs {
		lives = append(lives, Observation{math.Exp(x), true, 1})
		total += math.Exp(x)
	}
	fit, err := FitLognormal(lives)
	// Mean 2.5; squares 2.25 + 0.25 + 0 + 4 = 6.5.
	apart(t, "mu", fit.Location, err, 2.5, 1e-12)
	apart(t, "sigma", fit.Spread, err, math.Sqrt(6.5/4), 1e-12)
	apart(t, "var mu", fit.Covariance.Location, err, 6.5/16, 1e-10)
	apart(t, "var ln sigma", fit.Covariance.LogSpread, err, 1./8, 1e-10)
	apart(t, "cross", fit.Covariance.Cross, err, 0, 1e-10)
	mean, sd, err := fit.Mean()
	apart(t, "mean life", mean, err, math.Exp(2.5+6.5/8), 1e-9)
	apart(t, "sd of lives", sd, err, math.Exp(2.5+6.5/8)*math.Sqrt(math.Exp(6.5/4)-1), 1e-8)
	exponential, err := FitExponential(lives)
	apart(t, "mean of the exponential", exponential.Scale(), err, total/4, 1e-10)
	apart(t, "variance of its logarithm", exponential.Covariance.Location, err, 0.25, 1e-12)
	apart(t, "its log-likelihood", exponential.LogLikelihood, err, -4*math.Log(total/4)-4, 1e-10)
	mean, sd, err = exponential.Mean()
	apart(t, "sd is the mean", sd, err, mean, 1e-9*mean)
}

// The normal tail far out: Mills' ratio by its asymptotic series, whose error is
// less than the first term left out (Abramowitz and Stegun, 26.2.12), and
// continuity where the two forms meet.
func TestNormalTail(t *testing.T) {
	for _, z := range []float64{20, 40, 1000} {
		s := 1 / (z * z)
		mills := (1 - s + 3*s*s - 15*s*s*s + 105*s*s*s*s) / z
		left := 945 * s * s * s * s * s
		apart(t, "hazard", Lognormal.hazard(z), nil, 1/mills, z*(left+1e-13))
		apart(t, "log survival", Lognormal.logSurvival(z), nil, -z*z/2-halfLog2Pi+math.Log(mills), left+1e-13*z*z)
	}
	below, above := math.Nextafter(farOut, 0), math.Nextafter(farOut, 9)
	apart(t, "hazard where the forms meet", beyondZ(above), nil, beyondZ(below), 1e-12)
	apart(t, "survival where they meet", Lognormal.logSurvival(above), nil, Lognormal.logSurvival(below), 1e-12)
}

func drawLives(t *rapid.T) []Observation {
	n := rapid.IntRange(3, 40).Draw(t, "n")
	var lives []Observation
	for range n {
		lives = append(lives, Observation{
			Time:   rapid.Float64Range(0.01, 1000).Draw(t, "time"),
			Failed: rapid.Bool().Draw(t, "failed"),
			Count:  rapid.IntRange(1, 5).Draw(t, "count"),
		})
	}
	// Two failures, and a unit that outlives them, determine any law.
	return append(lives, Observation{3, true, 1}, Observation{7, true, 1}, Observation{2000, false, 1})
}

// In another unit of time a fit is the same but for the unit; in another order,
// and unit by unit, it is the same.
func TestFitsFollowTheUnit(t *testing.T) {
	for law, fit := range map[string]func([]Observation) (Fit, error){
		"weibull": FitWeibull, "lognormal": FitLognormal, "exponential": FitExponential,
	} {
		t.Run(law, rapid.MakeCheck(func(t *rapid.T) {
			lives := drawLives(t)
			factor := rapid.Float64Range(1e-3, 1e3).Draw(t, "factor")
			var scaled, single []Observation
			failures := 0.
			for i := len(lives) - 1; i >= 0; i-- {
				l := lives[i]
				scaled = append(scaled, Observation{l.Time * factor, l.Failed, l.Count})
				for range l.Count {
					single = append(single, Observation{l.Time, l.Failed, 1})
				}
				if l.Failed {
					failures += float64(l.Count)
				}
			}
			a, err := fit(lives)
			b, errB := fit(scaled)
			c, errC := fit(single)
			if err != nil || errB != nil || errC != nil {
				t.Fatal(err, errB, errC)
			}
			near := func(what string, got, want float64) {
				if math.Abs(got-want) > 1e-7*(1+math.Abs(want)) {
					t.Errorf("%s: %.12g; want %.12g", what, got, want)
				}
			}
			near("location in another unit", b.Location, a.Location+math.Log(factor))
			near("spread in another unit", b.Spread, a.Spread)
			near("likelihood in another unit", b.LogLikelihood, a.LogLikelihood-failures*math.Log(factor))
			near("variance in another unit", b.Covariance.LogSpread, a.Covariance.LogSpread)
			near("location unit by unit", c.Location, a.Location)
			near("spread unit by unit", c.Spread, a.Spread)
			near("variance unit by unit", c.Covariance.Location, a.Covariance.Location)
		}))
	}
}

// The fit is a maximum: no law near it is likelier.
func TestFitIsTheLikeliest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lives := drawLives(t)
		for _, fit := range []func([]Observation) (Fit, error){FitWeibull, FitLognormal} {
			best, err := fit(lives)
			if err != nil {
				t.Fatal(err)
			}
			logs, err := logsOf(lives)
			if err != nil {
				t.Fatal(err)
			}
			other := Fit{
				Law:      best.Law,
				Location: best.Location + rapid.Float64Range(-0.3, 0.3).Draw(t, "location"),
				Spread:   best.Spread * math.Exp(rapid.Float64Range(-0.3, 0.3).Draw(t, "spread")),
			}
			if err := other.finish(logs); err != nil && !errors.Is(err, ErrNoFit) {
				t.Fatal(err)
			}
			if other.LogLikelihood > best.LogLikelihood+1e-9 {
				t.Errorf("%s: %v at %+v, but %v at %+v", best.Law, best.LogLikelihood, best, other.LogLikelihood, other)
			}
		}
	})
}

func TestFitsRefuse(t *testing.T) {
	nan := math.NaN()
	for _, test := range []struct {
		name, argument string
		err            error
		lives          []Observation
	}{
		{"nothing", "time", stats.ErrTooFew, nil},
		{"no units", "time", stats.ErrTooFew, []Observation{{5, true, 0}}},
		{"everything censored", "event", ErrNoFailures, []Observation{{5, false, 1}, {6, false, 9}}},
		{"all failures at the longest life", "time", stats.ErrNoSpread, []Observation{{5, true, 3}, {4, false, 1}}},
		{"one life", "time", stats.ErrNoSpread, []Observation{{5, true, 1}}},
		{"failure at age 0", "time[1]", stats.ErrOutOfRange, []Observation{{5, true, 1}, {0, true, 1}}},
		{"negative time", "time[0]", stats.ErrOutOfRange, []Observation{{-5, true, 1}}},
		{"time not a number", "time[1]", stats.ErrNotFinite, []Observation{{5, true, 1}, {nan, true, 1}}},
		{"negative count", "frequency[0]", stats.ErrOutOfRange, []Observation{{5, true, -1}}},
		{"count of 1e18", "frequency[0]", stats.ErrOutOfRange, []Observation{{5, true, 1e18}}},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := FitWeibull(test.lives)
			wantArgument(t, err, test.argument, test.err)
			_, err = FitLognormal(test.lives)
			wantArgument(t, err, test.argument, test.err)
		})
	}
	_, err := FitWeibullShape(handbook(), 0)
	wantArgument(t, err, "shape", stats.ErrOutOfRange)
	_, err = FitWeibullShape(handbook(), nan)
	wantArgument(t, err, "shape", stats.ErrOutOfRange)
}

// Units censored at age 0 say nothing and do no harm.
func TestUnitsShippedToday(t *testing.T) {
	a, err := FitWeibull(handbook())
	b, errB := FitWeibull(append(handbook(), Observation{0, false, 7}))
	if err != nil || errB != nil || a.Location != b.Location || a.Covariance != b.Covariance || b.Units != a.Units+7 {
		t.Errorf("%+v, %v against %+v, %v", a, err, b, errB)
	}
}

// The limits of NIST/SEMATECH e-Handbook 8.4.5.1 are those of an assumed shape
// of 1; its worked cases give total time and failures.
func TestAssumedShapeOfOne(t *testing.T) {
	for _, c := range cases.OfKind(t, "mtbf_interval") {
		in := cases.Decode[struct {
			Total      float64 `json:"total_time"`
			Failures   int     `json:"failures"`
			Confidence float64 `json:"confidence"`
		}](t, c.Input)
		want := cases.Decode[struct {
			TwoSided [2]*float64 `json:"two_sided"`
		}](t, c.Expected)
		// Any lives with that total.
		lives := []Observation{{in.Total / 10, false, 10 - in.Failures}, {in.Total / 10, true, in.Failures}}
		got, err := AssumedShape(lives, 1, in.Confidence)
		apart(t, c.ID+" low", got.Low, err, *want.TwoSided[0], 1e-9**want.TwoSided[0])
		if got.ScaleKnown != (want.TwoSided[1] != nil) {
			t.Errorf("%s: %+v", c.ID, got)
		} else if got.ScaleKnown {
			apart(t, c.ID+" high", got.High, err, *want.TwoSided[1], 1e-9**want.TwoSided[1])
		}
	}
}

// Weibull data by a seeded generator: intervals hold the truth about as often as
// they say, and forecasts the number that then fails.
func TestCoverageBySimulation(t *testing.T) {
	const samples, units, horizon = 600, 200, 6.
	random := rand.New(rand.NewPCG(10, 1951))
	const shape, scale, age = 1.6, 30., 12.
	var shapes, forecasts int
	for range samples {
		var lives []Observation
		later := 0
		for range units {
			time := scale * math.Pow(random.ExpFloat64(), 1/shape)
			lives = append(lives, Observation{min(time, age), time <= age, 1})
			if time > age && time <= age+horizon {
				later++
			}
		}
		fit, err := FitWeibull(lives)
		if err != nil {
			t.Fatal(err)
		}
		interval, err := fit.ShapeInterval(0.95)
		if err != nil {
			t.Fatal(err)
		}
		forecast, err := fit.Forecast(lives, horizon, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if interval.Low <= shape && shape <= interval.High {
			shapes++
		}
		if forecast.Low <= later && later <= forecast.High {
			forecasts++
		}
	}
	// Three standard errors of 95 % of 600 are 2.7 %; counts are whole numbers,
	// so that a forecast holds somewhat more.
	apart(t, "intervals of the shape", float64(shapes)/samples, nil, 0.95, 0.027)
	apart(t, "forecasts", float64(forecasts)/samples, nil, 0.96, 0.037)
}

func BenchmarkFitWeibull(b *testing.B) {
	random := rand.New(rand.NewPCG(1, 2))
	lives := make([]Observation, 10_000)
	for i := range lives {
		time := 30 * math.Pow(random.ExpFloat64(), 1/1.6)
		now := 24 * random.Float64()
		lives[i] = Observation{min(time, now), time <= now, 1}
	}
	for b.Loop() {
		if _, err := FitWeibull(lives); err != nil {
			b.Fatal(err)
		}
	}
}
