package spc

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"tracewright/models/numbers/stats"
)

// specimen is what the shared suite needs to know of one chart of the table.
type specimen struct {
	kind string
	// draw makes data of n points from a process in control.
	draw func(r *rand.Rand, n int) Input
	// image is where a height of the first panel goes when the values are
	// multiplied by scale and shift is added to them.
	image  func(y, scale, shift float64) float64
	shifts bool // Otherwise only scale is applied.
	// known are limits for that very process, and alarms the computed share of
	// points beyond them, by the name of the panel. Charts without them have
	// tests of their own.
	known  Limits
	alarms map[string]float64
}

// beyondThree is 2 (1 - Phi(3)), the share of normal values beyond three sigma.
var beyondThree = math.Erfc(3 / math.Sqrt2)

func affine(y, scale, shift float64) float64 { return y*scale + shift }
func scaled(y, scale, _ float64) float64     { return y * scale }
func unmoved(y, _, _ float64) float64        { return y }

func drawn(r *rand.Rand, n int, mean, sd float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = mean + sd*r.NormFloat64()
	}
	return x
}

// groups makes subgroups, of the sizes in turn.
func groups(r *rand.Rand, n int, sizes ...int) [][]float64 {
	values := make([][]float64, n)
	for i := range values {
		values[i] = drawn(r, sizes[i%len(sizes)], 10, 1)
	}
	return values
}

// rangeAlarms is the share of ranges of n normal values outside RangeLow and
// RangeHigh, by the formula of Hartley (constants_test.go).
func rangeAlarms(t testing.TB, n int) float64 {
	c, err := For(n)
	if err != nil {
		t.Fatal(err)
	}
	share := 1 - hartley(n, c.RangeHigh(), 1.0/32)
	if c.RangeLow() > 0 {
		share += hartley(n, c.RangeLow(), 1.0/32)
	}
	return share
}

// sdAlarms is the share of standard deviations of n normal values outside B5
// and B6: (n-1) s^2 is chi-square.
func sdAlarms(t testing.TB, n int) float64 {
	c, err := For(n)
	if err != nil {
		t.Fatal(err)
	}
	chi := distuv.ChiSquared{K: float64(n - 1)}
	return chi.Survival(float64(n-1)*c.B6()*c.B6()) + chi.CDF(float64(n-1)*c.B5()*c.B5())
}

// countAlarms is the share of counts outside of limits, summed over the counts.
func countAlarms(probability func(float64) float64, low, high float64) float64 {
	share := 1.0
	for k := math.Ceil(low); k <= math.Floor(high); k++ {
		share -= probability(k)
	}
	return share
}

func counts(n int, next func() float64, of float64) Counts {
	c := Counts{Counts: make([]int, n)}
	for i := range c.Counts {
		c.Counts[i] = int(next())
		if of > 0 {
			c.Of = append(c.Of, of)
		}
	}
	return c
}

func vector(r *rand.Rand) []float64 {
	a, b := r.NormFloat64(), r.NormFloat64()
	return []float64{10 + a, 20 + 2*(0.8*a+0.6*b)}
}

func vectors(r *rand.Rand, n int) [][]float64 {
	x := make([][]float64, n)
	for i := range x {
		x[i] = vector(r)
	}
	return x
}

func vectorGroups(r *rand.Rand, n, items int) [][][]float64 {
	x := make([][][]float64, n)
	for i := range x {
		x[i] = vectors(r, items)
	}
	return x
}

// mixed makes values of two products in turn.
func mixed(r *rand.Rand, n int, of map[string]func(float64) float64) ShortRun {
	s := ShortRun{Values: make([]float64, n), Groups: make([]string, n)}
	for i := range s.Values {
		s.Groups[i] = "a"
		if i%2 == 1 {
			s.Groups[i] = "b"
		}
		s.Values[i] = of[s.Groups[i]](r.NormFloat64())
	}
	return s
}

func pointer(x float64) *float64 { return &x }

// specimens has one for every chart of the table.
func specimens(t testing.TB) []specimen {
	three := map[string]float64{PanelValues: beyondThree}
	lognormal := func(r *rand.Rand, n int) Input {
		x := drawn(r, n, 0, 0.5)
		return Data{Values: raised(x)}
	}
	single := func(r *rand.Rand, n int) Input { return Data{Values: drawn(r, n, 10, 1)} }
	subgroups := func(sizes ...int) func(r *rand.Rand, n int) Input {
		return func(r *rand.Rand, n int) Input { return Subgroups{Values: groups(r, n, sizes...)} }
	}
	binomial := func(r *rand.Rand, n int, of, p float64) Input {
		return counts(n, distuv.Binomial{N: of, P: p, Src: r}.Rand, of)
	}
	poisson := func(r *rand.Rand, n int, mean, of float64) Input {
		return counts(n, distuv.Poisson{Lambda: mean, Src: r}.Rand, of)
	}
	ratios := map[string]func(float64) float64{
		"a": func(z float64) float64 { return 0.2 * math.Exp(0.3*z) }, "b": func(z float64) float64 { return 0.5 * math.Exp(0.3*z) },
	}
	folded := map[string]func(float64) float64{
		"a": func(z float64) float64 { return 0.2 * (1 + 0.1*z) * (1 + 0.1*z) }, "b": func(z float64) float64 { return 0.5 * (1 + 0.1*z) * (1 + 0.1*z) },
	}
	deviations := map[string]func(float64) float64{
		"a": func(z float64) float64 { return 1000 + 8*z }, "b": func(z float64) float64 { return 700 + 8*z },
	}
	unlike := map[string]func(float64) float64{
		"a": func(z float64) float64 { return 1000 + 8*z }, "b": func(z float64) float64 { return 700 + 2*z },
	}
	// The median of 5 lies above x when 3 of them or more do.
	medianAlarms := 2 * distuv.Binomial{N: 5, P: stats.NormalAbove(3 * medianSD(5))}.Survival(2)
	c8, _ := For(8)
	unequal := (sdAlarms(t, 3) + sdAlarms(t, 6) + sdAlarms(t, 9)) / 3
	p200, p50 := distuv.Binomial{N: 200, P: 0.06}, distuv.Binomial{N: 50, P: 0.02}
	c16, u3 := distuv.Poisson{Lambda: 16}, distuv.Poisson{Lambda: 3}
	spread200 := 3 * math.Sqrt(200*0.06*0.94)
	weibull, err := stats.NewDistribution(stats.ShapeWeibull, 1.5, 2)
	if err != nil {
		t.Fatal(err)
	}
	var fitted Limits
	if err := fitted.cut(weibull); err != nil {
		t.Fatal(err)
	}
	return []specimen{
		{kind: "individuals", draw: single, image: affine, shifts: true, known: Limits{Centre: 10, Sigma: 1}, alarms: three},
		{kind: "individuals_log", draw: lognormal, image: scaled, known: Limits{Scale: Logarithmic, Sigma: 0.5}, alarms: three},
		{kind: "individuals_root", draw: func(r *rand.Rand, n int) Input { return Data{Values: squared(drawn(r, n, 5, 0.5))} }, image: scaled,
			known: Limits{Scale: SquareRoot, Centre: 5, Sigma: 0.5}, alarms: three},
		{kind: "mean_range", draw: subgroups(5), image: affine, shifts: true, known: Limits{Centre: 10, Sigma: 1, Size: 5},
			alarms: map[string]float64{PanelMeans: beyondThree, PanelRanges: rangeAlarms(t, 5)}},
		{kind: "mean_sd", draw: subgroups(8), image: affine, shifts: true, known: Limits{Centre: 10, Sigma: 1, Size: c8.N},
			alarms: map[string]float64{PanelMeans: beyondThree, PanelSDs: sdAlarms(t, 8)}},
		{kind: "mean_sd_unequal", draw: subgroups(3, 6, 9), image: affine, shifts: true, known: Limits{Centre: 10, Sigma: 1},
			alarms: map[string]float64{PanelMeans: beyondThree, PanelSDs: unequal}},
		{kind: "median_range", draw: subgroups(5), image: affine, shifts: true, known: Limits{Centre: 10, Sigma: 1, Size: 5},
			alarms: map[string]float64{PanelMedians: medianAlarms, PanelRanges: rangeAlarms(t, 5)}},
		// Items spread by 3, their 12 readings by 2: means by sqrt(9 + 4/12).
		{kind: "three_way", image: affine, shifts: true, draw: func(r *rand.Rand, n int) Input {
			items := make([][]float64, n)
			for i := range items {
				items[i] = drawn(r, 12, 50+3*r.NormFloat64(), 2)
			}
			return Items{Readings: items}
		}, known: Limits{Centre: 50, Sigma: math.Sqrt(9 + 4.0/12), Within: 2, Size: 12},
			alarms: map[string]float64{PanelItemMeans: beyondThree, PanelWithinItems: sdAlarms(t, 12)}},
		{kind: "p", draw: func(r *rand.Rand, n int) Input { return binomial(r, n, 200, 0.06) }, image: unmoved,
			known:  Limits{Centre: 0.06},
			alarms: map[string]float64{PanelProportions: countAlarms(p200.Prob, 12-spread200, 12+spread200)}},
		// 1 of 50 is expected: 4 is beyond with 0.018, 5 with 0.0032, 6 with
		// 0.0005, so 5 is the limit.
		{kind: "np", draw: func(r *rand.Rand, n int) Input { return binomial(r, n, 50, 0.02) }, image: unmoved,
			known:  Limits{Centre: 0.02, Size: 50, Exact: true},
			alarms: map[string]float64{PanelCounts: countAlarms(p50.Prob, 0, 5)}},
		{kind: "c", draw: func(r *rand.Rand, n int) Input { return poisson(r, n, 16, 0) }, image: unmoved,
			known: Limits{Centre: 16}, alarms: map[string]float64{PanelCounts: countAlarms(c16.Prob, 4, 28)}},
		// 3 are expected on 2.5 units: P(X > 8) = 0.0038, P(X > 9) = 0.0011.
		{kind: "u", draw: func(r *rand.Rand, n int) Input { return poisson(r, n, 3, 2.5) }, image: func(y, scale, _ float64) float64 { return y / scale },
			known: Limits{Centre: 1.2, Exact: true}, alarms: map[string]float64{PanelRates: countAlarms(u3.Prob, 0, 9)}},
		// A proportion that moves by 0.004 itself around 0.05, of 20,000: the
		// variance is p(1-p)/n + 0.004^2 nearly, and the mixture nearly normal.
		{kind: "overdispersed_p", draw: func(r *rand.Rand, n int) Input {
			return counts(n, func() float64 {
				return distuv.Binomial{N: 20_000, P: 0.05 + 0.004*r.NormFloat64(), Src: r}.Rand()
			}, 20_000)
		}, image: unmoved, known: Limits{Centre: 0.05, Sigma: math.Sqrt(0.05*0.95 + 20_000*0.004*0.004)},
			alarms: map[string]float64{PanelProportions: beyondThree}},
		{kind: "overdispersed_u", draw: func(r *rand.Rand, n int) Input {
			return counts(n, func() float64 { return distuv.Poisson{Lambda: 2000 + 90*r.NormFloat64(), Src: r}.Rand() }, 400)
		}, image: func(y, scale, _ float64) float64 { return y / scale },
			known:  Limits{Centre: 5, Sigma: math.Sqrt(5 + 400*(90.0/400)*(90.0/400))},
			alarms: map[string]float64{PanelRates: beyondThree}},
		{kind: "ewma", draw: single, image: affine, shifts: true},
		{kind: "cusum", draw: single, image: scaled, shifts: true},
		{kind: "t2_individuals", draw: func(r *rand.Rand, n int) Input { return Vectors{Values: vectors(r, n)} }, image: unmoved, shifts: true},
		{kind: "t2_subgroups", draw: func(r *rand.Rand, n int) Input { return VectorSubgroups{Values: vectorGroups(r, n, 4)} }, image: unmoved, shifts: true},
		{kind: "short_run_ratio", draw: func(r *rand.Rand, n int) Input { return mixed(r, n, ratios) }, image: unmoved,
			known:  Limits{Scale: Logarithmic, Sigma: 0.3, Groups: map[string]Group{"a": {Centre: 0.2}, "b": {Centre: 0.5}}},
			alarms: map[string]float64{PanelRatios: beyondThree}},
		{kind: "short_run_root", draw: func(r *rand.Rand, n int) Input { return mixed(r, n, folded) }, image: unmoved,
			known:  Limits{Scale: SquareRoot, Centre: 1, Sigma: 0.1, Groups: map[string]Group{"a": {Centre: 0.2}, "b": {Centre: 0.5}}},
			alarms: map[string]float64{PanelRatios: beyondThree}},
		{kind: "short_run_deviation", draw: func(r *rand.Rand, n int) Input {
			s := mixed(r, n, deviations)
			s.Nominals = map[string]float64{"a": 1000, "b": 700}
			return s
		}, image: scaled, shifts: true, known: Limits{Sigma: 8, Groups: map[string]Group{"a": {Centre: 1000}, "b": {Centre: 700}}},
			alarms: map[string]float64{PanelDeviations: beyondThree}},
		{kind: "short_run_standardised", draw: func(r *rand.Rand, n int) Input { return mixed(r, n, unlike) }, image: unmoved, shifts: true,
			known:  Limits{Sigma: 1, Groups: map[string]Group{"a": {Centre: 1000, Sigma: 8}, "b": {Centre: 700, Sigma: 2}}},
			alarms: map[string]float64{PanelStandardised: beyondThree}},
		{kind: "probability_limits", draw: func(r *rand.Rand, n int) Input {
			d := distuv.Weibull{K: 1.5, Lambda: 2, Src: r}
			x := make([]float64, n)
			for i := range x {
				x[i] = d.Rand()
			}
			return Data{Values: x, Settings: Settings{Shape: string(stats.ShapeWeibull)}}
		}, image: scaled, known: Limits{Centre: fitted.Centre, Sigma: fitted.Sigma, Low: fitted.Low, High: fitted.High}, alarms: three},
	}
}

// definition returns the line of the table that the specimen is of.
func (s specimen) definition(t testing.TB) Definition {
	t.Helper()
	d, err := ChartOf(s.kind)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// data makes the data of the specimen, the same at each call.
func (s specimen) data(n int) Input { return s.draw(rand.New(rand.NewPCG(20, 26)), n) }

// part returns the points from one index to before another, with a baseline.
func part(in Input, from, to int, b Baseline) Input {
	switch d := in.(type) {
	case Data:
		d.Values, d.Baseline = d.Values[from:to], b
		return d
	case Subgroups:
		d.Values, d.Baseline = d.Values[from:to], b
		return d
	case Items:
		d.Readings, d.Baseline = d.Readings[from:to], b
		return d
	case Counts:
		d.Counts, d.Baseline = d.Counts[from:to], b
		if d.Of != nil {
			d.Of = d.Of[from:to]
		}
		return d
	case Vectors:
		d.Values, d.Baseline = d.Values[from:to], b
		return d
	case VectorSubgroups:
		d.Values, d.Baseline = d.Values[from:to], b
		return d
	case ShortRun:
		d.Values, d.Groups, d.Baseline = d.Values[from:to], d.Groups[from:to], b
		return d
	}
	panic(fmt.Sprintf("%T", in))
}

// change returns the input with every value replaced, the values of a subgroup
// or item in an order that order gives; counts get their units multiplied by
// what f makes of them.
func change(in Input, f func(float64) float64, order func(n int) []int) Input {
	row := func(x []float64) []float64 {
		out := make([]float64, len(x))
		for i, v := range x {
			out[i] = f(v)
		}
		return out
	}
	rows := func(x [][]float64, mix bool) [][]float64 {
		out := make([][]float64, len(x))
		for i, v := range x {
			if !mix {
				out[i] = row(v)
				continue
			}
			out[i] = make([]float64, len(v))
			for k, from := range order(len(v)) {
				out[i][k] = f(v[from])
			}
		}
		return out
	}
	switch d := in.(type) {
	case Data:
		d.Values = row(d.Values)
		return d
	case Subgroups:
		d.Values = rows(d.Values, true)
		return d
	case Items:
		d.Readings = rows(d.Readings, true)
		return d
	case Counts:
		if d.Of != nil {
			d.Of = row(d.Of)
		}
		return d
	case Vectors:
		d.Values = rows(d.Values, false)
		return d
	case VectorSubgroups:
		groups := make([][][]float64, len(d.Values))
		for i, group := range d.Values {
			groups[i] = make([][]float64, len(group))
			for k, from := range order(len(group)) {
				groups[i][k] = row(group[from])
			}
		}
		d.Values = groups
		return d
	case ShortRun:
		nominals := map[string]float64{}
		for name, x := range d.Nominals {
			nominals[name] = f(x)
		}
		d.Values, d.Nominals = row(d.Values), nominals
		return d
	}
	panic(fmt.Sprintf("%T", in))
}

func inOrder(n int) []int {
	places := make([]int, n)
	for i := range places {
		places[i] = i
	}
	return places
}
