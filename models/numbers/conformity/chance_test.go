package conformity

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

func to(v float64) *float64 { return &v }

// JCGM 106:2012, 7.3.3 (breakdown voltage of a Zener diode: -5.47 V, u = 0.05 V,
// limit -5.40 V, p = 0.92) and 7.4 (viscosity: 13.6, u = 1.8, 12.5 to 16.3,
// p = 0.66); inputs from memory, p to the digits printed there.
func TestChanceOfTheGuide(t *testing.T) {
	tests := []struct {
		name      string
		y, u      float64
		tolerance Range
		want      float64
	}{
		{"breakdown voltage", -5.47, 0.05, Range{High: to(-5.40)}, 0.92},
		{"viscosity", 13.6, 1.8, Range{Low: to(12.5), High: to(16.3)}, 0.66},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			c, err := ChanceOf(test.y, test.u, test.tolerance)
			if err != nil || math.Abs(c.Inside-test.want) > 0.005 {
				t.Errorf("p = %v, %v; want %v", c.Inside, err, test.want)
			}
			if math.Abs(c.Inside+c.Outside()-1) > 1e-15 {
				t.Errorf("%+v does not sum to 1", c)
			}
		})
	}
}

// A value on its only limit conforms with one half; one far inside keeps the
// digits of what is left: Phi(-10) = 7.619853024160526e-24 (Abramowitz and
// Stegun, table 26.2, has 7.61985 in front).
func TestChanceTails(t *testing.T) {
	c, err := ChanceOf(0.3, 0.02, Range{High: to(0.3)})
	if err != nil || c.Inside != 0.5 || c.Below != 0 {
		t.Errorf("on the limit: %+v, %v", c, err)
	}
	c, err = ChanceOf(0, 1, Range{High: to(10)})
	if err != nil || math.Abs(c.Above/7.61985e-24-1) > 1e-6 {
		t.Errorf("10 u inside: %+v, %v", c, err)
	}
	c, err = ChanceOf(20, 1, Range{Low: to(0), High: to(10)})
	if err != nil || math.Abs(c.Inside/7.61985e-24-1) > 1e-6 {
		t.Errorf("10 u outside: %+v, %v", c, err)
	}
}

func TestRiskAtLimit(t *testing.T) {
	inf := math.Inf(1)
	tests := []struct {
		name        string
		r, k, width float64
		want        float64
	}{
		// ILAC-G8:09/2019, table 1, as printed: < 50 %, < 5 %, < 2.5 %, < 0.16 %.
		{"no guard band", 0, 2, inf, 0.5},
		{"0.83 U", 0.83, 2, inf, 0.0485},
		{"U", 1, 2, inf, 0.0228},
		{"1.5 U", 1.5, 2, inf, 0.0013},
		// The one value that is left lies 2 u from both limits: 2 x 2.28 %.
		{"U, limits 4 u apart", 1, 2, 4, 0.0455},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if got, err := RiskAtLimit(test.r, test.k, test.width); err != nil || math.Abs(got-test.want) > 6e-5 {
				t.Errorf("got %v, %v; want %v", got, err, test.want)
			}
		})
	}
}

// JCGM 106:2012, 7.6.3: a tolerance of 4 u, the interval of +-2 u once.
func TestMeasurementCapability(t *testing.T) {
	if got, err := MeasurementCapability(0.04, Range{Low: to(1499.8), High: to(1500.2)}); err != nil || math.Abs(got-2.5) > 1e-9 {
		t.Errorf("got %v, %v; want 0.4/(4 x 0.04) = 2.5", got, err)
	}
}

func TestGuardBand(t *testing.T) {
	tests := []struct {
		name      string
		u, risk   float64
		tolerance Range
		want      float64
	}{
		// w = 1.645 u for 5 %, 2.326 u for 1 % (normal tables).
		{"5 %, one limit", 0.02, 0.05, Range{High: to(0.3)}, 0.0329},
		{"1 %, one limit", 0.02, 0.01, Range{Low: to(0.3)}, 0.0465},
		{"two limits far apart", 0.02, 0.05, Range{Low: to(0), High: to(1)}, 0.0329},
		{"half", 0.02, 0.5, Range{High: to(0.3)}, 0},
		{"above one half moves outward", 1, 0.95, Range{High: to(0)}, -1.6449},
		// In the middle of 3.92 u both tails are 2.5 %: the least risk that can be
		// had is 5 %, with half the width.
		{"the last value left", 1, 0.0500011, Range{Low: to(0), High: to(3.919928)}, 1.96},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			w, err := GuardBand(test.u, test.risk, test.tolerance)
			if err != nil || math.Abs(w-test.want) > 5e-3*max(test.u, 0.01) {
				t.Errorf("w = %v, %v; want %v", w, err, test.want)
			}
		})
	}
}

// By integrals of another kind: 2 million items drawn from the process and
// measured. Within 3 standard errors, for one limit and two, for a guard band
// inward, outward and none, and for an uncertainty larger than the process.
func TestGlobalRisksAgainstDraws(t *testing.T) {
	tests := []struct {
		name      string
		process   Process
		u, w      float64
		tolerance Range
	}{
		{"resistors", Process{1500, 0.12}, 0.04, 0, Range{Low: to(1499.8), High: to(1500.2)}},
		{"resistors guarded by U", Process{1500, 0.12}, 0.04, 0.08, Range{Low: to(1499.8), High: to(1500.2)}},
		{"guarded outward", Process{1500.1, 0.12}, 0.04, -0.05, Range{Low: to(1499.8), High: to(1500.2)}},
		{"one limit", Process{0.15, 0.06}, 0.03, 0.01, Range{High: to(0.25)}},
		{"low limit, process beyond it", Process{0.1, 0.06}, 0.03, 0, Range{Low: to(0.25)}},
		{"measured worse than made", Process{0, 1}, 3, 0.2, Range{Low: to(-2), High: to(1)}},
	}
	const items = 2_000_000
	for i, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(106, uint64(i)))
			low, high := math.Inf(-1), math.Inf(1)
			if test.tolerance.Low != nil {
				low = *test.tolerance.Low
			}
			if test.tolerance.High != nil {
				high = *test.tolerance.High
			}
			var consumer, producer, accepted, conforming float64
			for range items {
				eta := test.process.Mean + test.process.SD*r.NormFloat64()
				y := eta + test.u*r.NormFloat64()
				good, pass := eta >= low && eta <= high, y >= low+test.w && y <= high-test.w
				switch {
				case pass && !good:
					consumer++
				case good && !pass:
					producer++
				}
				if pass {
					accepted++
				}
				if good {
					conforming++
				}
			}
			got, err := GlobalRisks(test.process, test.u, test.w, test.tolerance)
			if err != nil {
				t.Fatal(err)
			}
			for _, pair := range []struct {
				name        string
				got, counts float64
			}{{"consumer", got.Consumer, consumer}, {"producer", got.Producer, producer}, {"accepted", got.Accepted, accepted}, {"conforming", got.Conforming, conforming}} {
				share := pair.counts / items
				if standardError := math.Sqrt(share*(1-share)/items) + 1e-9; math.Abs(pair.got-share) > 3*standardError {
					t.Errorf("%s: %v; drawn %v +- %v", pair.name, pair.got, share, standardError)
				}
			}
		})
	}
}

// Closed form at w = 0 with the one limit at the process mean: the true value
// and the reading are two normal values with correlation rho =
// 1/sqrt(1 + (u/sd)^2), and the chance of opposite signs is
// arccos(rho)/pi, half for each risk (Sheppard's theorem).
func TestGlobalRisksClosedForm(t *testing.T) {
	for _, u := range []float64{1e-12, 1e-6, 0.01, 0.3, 1, 5, 1e3, 1e9} {
		r, err := GlobalRisks(Process{Mean: 7, SD: 1}, u, 0, Range{High: to(7)})
		want := math.Atan(u) / (2 * math.Pi) // arccos(1/sqrt(1+u^2)) = arctan u.
		if err != nil || math.Abs(r.Consumer-want) > 1e-12 || math.Abs(r.Producer-want) > 1e-12 ||
			math.Abs(r.Accepted-0.5) > 1e-12 || math.Abs(r.Conforming-0.5) > 1e-12 {
			t.Errorf("u = %v: %+v, %v; want %v", u, r, err, want)
		}
	}
}

func TestProcessBehind(t *testing.T) {
	p, err := ProcessBehind(3, 0.5, 0.3)
	if err != nil || p.Mean != 3 || math.Abs(p.SD-0.4) > 1e-15 {
		t.Errorf("0.5^2 - 0.3^2: %+v, %v; want 0.4", p, err)
	}
	for _, bad := range []struct {
		mean, sd, u float64
		want        error
	}{
		{3, 0.3, 0.3, ErrProcess}, {3, 0.2, 0.3, ErrProcess}, {3, math.NaN(), 0.3, ErrProcess}, {3, math.Inf(1), 0.3, ErrProcess},
		{3, 0.5, 0, ErrUncertainty}, {3, 0.5, math.NaN(), ErrUncertainty}, {math.NaN(), 0.5, 0.3, ErrNotFinite},
	} {
		if p, err := ProcessBehind(bad.mean, bad.sd, bad.u); !errors.Is(err, bad.want) {
			t.Errorf("%+v: %+v, %v; want %v", bad, p, err, bad.want)
		}
	}
}

func TestChancesRefuse(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	both := Range{Low: to(1), High: to(2)}
	good := Process{Mean: 1.5, SD: 0.1}
	guard := func(u, risk float64, t Range) error { _, err := GuardBand(u, risk, t); return err }
	chance := func(y, u float64, t Range) error { _, err := ChanceOf(y, u, t); return err }
	global := func(p Process, u, w float64, t Range) error { _, err := GlobalRisks(p, u, w, t); return err }
	atLimit := func(r, k, width float64) error { _, err := RiskAtLimit(r, k, width); return err }
	factor := func(w, u, k float64) error { _, err := GuardFactor(w, u, k); return err }
	inward := func(t Range, w float64) error { _, err := t.Inward(w); return err }
	capability := func(u float64, t Range) error { _, err := MeasurementCapability(u, t); return err }
	tests := []struct {
		name string
		err  error
		want error
	}{
		{"chance: no limit", chance(1, 1, Range{}), ErrLimits},
		{"chance: limits crossed", chance(1, 1, Range{Low: to(2), High: to(1)}), ErrLimits},
		{"chance: limit NaN", chance(1, 1, Range{Low: to(nan)}), ErrLimits},
		{"chance: u 0", chance(1, 0, both), ErrUncertainty},
		{"chance: u negative", chance(1, -1, both), ErrUncertainty},
		{"chance: u NaN", chance(1, nan, both), ErrUncertainty},
		{"chance: u infinite", chance(1, inf, both), ErrUncertainty},
		{"chance: value NaN", chance(nan, 1, both), ErrNotFinite},
		{"guard: risk 0", guard(0.1, 0, both), ErrRule},
		{"guard: risk 1", guard(0.1, 1, both), ErrRule},
		{"guard: risk NaN", guard(0.1, nan, both), ErrRule},
		{"guard: no limit", guard(0.1, 0.05, Range{}), ErrLimits},
		{"guard: u 0", guard(0, 0.05, both), ErrUncertainty},
		{"guard: nothing left", guard(1, 0.05, both), ErrNoAcceptanceZone},
		{"guard: equal limits", guard(0.1, 0.05, Range{Low: to(1), High: to(1)}), ErrNoAcceptanceZone},
		{"guard: beyond a double", guard(math.MaxFloat64, 1e-9, Range{High: to(1)}), ErrNotFinite},
		{"at the limit: r NaN", atLimit(nan, 2, inf), ErrNotFinite},
		{"at the limit: r beyond a double", atLimit(1e300, 1e300, inf), ErrNotFinite},
		{"factor: k 0", factor(1, 1, 0), ErrRule},
		{"factor: u 0", factor(1, 0, 2), ErrUncertainty},
		{"factor: beyond a double", factor(1e300, 1e-300, 1), ErrNotFinite},
		{"inward: no limit", inward(Range{}, 1), ErrLimits},
		{"inward: beyond a double", inward(Range{High: to(math.MaxFloat64)}, -math.MaxFloat64), ErrNotFinite},
		{"inward: low, beyond a double", inward(Range{Low: to(math.MaxFloat64)}, math.MaxFloat64), ErrNotFinite},
		{"inward: nothing left", inward(both, 0.51), ErrNoAcceptanceZone},
		{"at the limit: k 0", atLimit(1, 0, inf), ErrRule},
		{"at the limit: width negative", atLimit(1, 2, -1), ErrLimits},
		{"at the limit: bands cross", atLimit(1, 2, 3.9), ErrNoAcceptanceZone},
		{"capability: one limit", capability(1, Range{Low: to(1)}), ErrLimits},
		{"capability: u 0", capability(0, both), ErrUncertainty},
		{"global: sd 0", global(Process{Mean: 1}, 0.1, 0, both), ErrProcess},
		{"global: sd NaN", global(Process{Mean: 1, SD: nan}, 0.1, 0, both), ErrProcess},
		{"global: mean NaN", global(Process{Mean: nan, SD: 1}, 0.1, 0, both), ErrNotFinite},
		{"global: u 0", global(good, 0, 0, both), ErrUncertainty},
		{"global: w NaN", global(good, 0.1, nan, both), ErrNotFinite},
		{"global: no limit", global(good, 0.1, 0, Range{}), ErrLimits},
		{"global: nothing left", global(good, 0.1, 0.51, both), ErrNoAcceptanceZone},
		{"global: scales apart", global(Process{Mean: 1, SD: 1e-200}, 1e200, 0, both), ErrNotFinite},
	}
	for _, test := range tests {
		if !errors.Is(test.err, test.want) {
			t.Errorf("%s: got %v; want %v", test.name, test.err, test.want)
		}
	}
}
