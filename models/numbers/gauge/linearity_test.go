package gauge

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// The linearity study of five parts with twelve readings each that the
// Measurement Systems Analysis reference manual (AIAG, 3rd edition) works, data
// and results from memory: slope -0.13167, intercept 0.73667, s 0.23954,
// t -12.043 and 10.158.
func TestPublishedLinearity(t *testing.T) {
	var references, biases []float64
	for _, part := range []struct {
		reference float64
		readings  []float64
	}{
		{2, []float64{2.7, 2.5, 2.4, 2.5, 2.7, 2.3, 2.5, 2.5, 2.4, 2.4, 2.6, 2.4}},
		{4, []float64{5.1, 3.9, 4.2, 5.0, 3.8, 3.9, 3.9, 3.9, 3.9, 4.0, 4.1, 3.8}},
		{6, []float64{5.8, 5.7, 5.9, 5.9, 6.0, 6.1, 6.0, 6.1, 6.4, 6.3, 6.0, 6.1}},
		{8, []float64{7.6, 7.7, 7.8, 7.7, 7.8, 7.8, 7.8, 7.7, 7.8, 7.5, 7.6, 7.7}},
		{10, []float64{9.1, 9.3, 9.5, 9.3, 9.4, 9.5, 9.5, 9.5, 9.6, 9.2, 9.3, 9.4}},
	} {
		for _, v := range part.readings {
			references, biases = append(references, part.reference), append(biases, v-part.reference)
		}
	}
	l, err := Linearity(references, biases)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", l.Slope, -0.13167, 5e-6)
	near(t, "intercept", l.Intercept, 0.73667, 5e-6)
	near(t, "s", l.S, 0.23954, 5e-6)
	near(t, "t of the slope", l.TSlope, -12.043, 5e-4)
	near(t, "t of the intercept", l.TIntercept, 10.158, 5e-4)
	if !l.SlopeSignificant || !l.InterceptSignificant {
		t.Errorf("slope and intercept differ from 0: %+v", l)
	}
	// On the mean of the references the interval is that of a mean of 60 with 58
	// degrees of freedom, t = 2.0017.
	bias, half, err := l.At(6)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bias in the middle", bias, -0.13167*6+0.73667, 5e-5)
	near(t, "its half-width", half, 2.0017*0.23954/math.Sqrt(60), 1e-5)
}

// A constant bias far from the reference 0. By hand: at 900 to 1300 two biases of 8 and
// 12 each have the mean 10 and no slope; s = sqrt(40/8) = 2.2361, the mean's uncertainty
// s/sqrt(10) = 0.70711 and t = 14.142 against 2.3060 of Student's table for 8. At the
// reference 0 the line is known to s sqrt(0.1 + 1100^2/200000) = 5.545 only: t = 1.803.
func TestAConstantBiasFarFromNothing(t *testing.T) {
	var references, biases []float64
	for x := 900.0; x <= 1300; x += 100 {
		references, biases = append(references, x, x), append(biases, 8, 12)
	}
	l, err := Linearity(references, biases)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean bias", l.Bias, 10, 1e-12)
	near(t, "t of the mean", l.TBias, 14.142, 5e-4)
	near(t, "its half-width", l.BiasHalf, 2.3060*0.70711, 5e-5)
	near(t, "t of the intercept", l.TIntercept, 1.803, 5e-4)
	if l.SlopeSignificant || l.InterceptSignificant || !l.BiasSignificant {
		t.Errorf("%+v", l)
	}
	// On the mean of the references the line's own interval is that of the mean bias.
	if bias, half, err := l.At(1100); err != nil || math.Abs(bias-l.Bias) > 1e-9 || math.Abs(half-l.BiasHalf) > 1e-9 {
		t.Errorf("on the line %v +- %v, %v", bias, half, err)
	}
}

// Biases on a line without scatter: the line, no t, and significance by eye.
func TestLineWithoutScatter(t *testing.T) {
	for _, test := range []struct {
		name                string
		biases              []float64
		slope, intercept    float64
		slopes, offsetsZero bool
	}{
		{"a slope", []float64{0.1, 0.2, 0.3, 0.4}, 0.1, 0, true, false},
		{"an offset", []float64{0.1, 0.1, 0.1, 0.1}, 0, 0.1, false, true},
		{"nothing", []float64{0, 0, 0, 0}, 0, 0, false, false},
	} {
		l, err := Linearity([]float64{1, 2, 3, 4}, test.biases)
		if err != nil {
			t.Fatal(err)
		}
		near(t, test.name+": slope", l.Slope, test.slope, 1e-15)
		near(t, test.name+": intercept", l.Intercept, test.intercept, 1e-15)
		if l.BiasSignificant != (test.slope != 0 || test.intercept != 0) {
			t.Errorf("%s: the mean bias: %+v", test.name, l)
		}
		if l.TKnown || l.S != 0 || l.SlopeSignificant != test.slopes || l.InterceptSignificant != test.offsetsZero {
			t.Errorf("%s: %+v", test.name, l)
		}
	}
}

// The line moves with its data, and its tests do not.
func TestLinearityProperties(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(3, 20).Draw(r, "n")
		x, y, scaled := make([]float64, n), make([]float64, n), make([]float64, n)
		slope, offset := rapid.Float64Range(-2, 2).Draw(r, "slope"), rapid.Float64Range(-5, 5).Draw(r, "offset")
		for i := range x {
			x[i] = float64(i) + rapid.Float64Range(0, 0.5).Draw(r, "x")
			y[i] = offset + slope*x[i] + rapid.Float64Range(0.01, 1).Draw(r, "y")*float64(1-2*(i%2))
			scaled[i] = 4 * y[i]
		}
		l, err := Linearity(x, y)
		if err != nil {
			r.Fatal(err)
		}
		s, err := Linearity(x, scaled)
		if err != nil || math.Abs(s.Slope-4*l.Slope) > 1e-9 || math.Abs(s.S-4*l.S) > 1e-9 || math.Abs(s.TSlope-l.TSlope) > 1e-6*math.Abs(l.TSlope)+1e-9 {
			r.Fatalf("four times the biases: %+v, %v; before %+v", s, err, l)
		}
		// Residuals of least squares sum to nothing, alone and along x.
		var sum, along float64
		for i := range x {
			residual := y[i] - l.Intercept - l.Slope*x[i]
			sum, along = sum+residual, along+residual*x[i]
		}
		if math.Abs(sum) > 1e-9 || math.Abs(along) > 1e-8 {
			r.Fatalf("residuals sum to %v, along x to %v", sum, along)
		}
	})
}

func TestLinearityRefuses(t *testing.T) {
	three := []float64{1, 2, 3}
	for _, test := range []struct {
		name     string
		x, y     []float64
		reason   error
		argument string
	}{
		{"nothing", nil, nil, stats.ErrTooFew, "references"},
		{"two", []float64{1, 2}, []float64{1, 2}, stats.ErrTooFew, "references"},
		{"sizes differ", three, []float64{1, 2}, ErrSizesDiffer, "biases"},
		{"one reference", []float64{2, 2, 2}, three, stats.ErrNoSpread, "references"},
		{"NaN", three, []float64{1, math.NaN(), 2}, stats.ErrNotFinite, "biases"},
		{"infinite", []float64{1, 2, math.Inf(1)}, three, stats.ErrNotFinite, "references"},
		{"overflow", []float64{-1e200, 0, 1e200}, three, stats.ErrNotFinite, "references"},
	} {
		t.Run(test.name, func(t *testing.T) {
			l, err := Linearity(test.x, test.y)
			if err == nil {
				t.Fatalf("answered %+v", l)
			}
			refuses(t, err, test.reason, test.argument)
		})
	}
}

// Among gauges without a bias one is found in 5 of 100 studies, slope and mean
// together, within three standard errors of the share; each alone at 95 % would be
// found in 9 to 10. The factor of the mean: scipy 1.10, stats.t.isf(0.0125, 13).
func TestSlopeAndMeanShareTheFalseAlarms(t *testing.T) {
	const studies = 4000
	chance := stats.NewRandom(41)
	references, biases := make([]float64, 15), make([]float64, 15)
	called := 0
	for range studies {
		for i := range references {
			references[i], biases[i] = float64(i/3), chance.Normal()
		}
		l, err := Linearity(references, biases)
		if err != nil {
			t.Fatal(err)
		}
		shown, err := l.Shown(0.05)
		if err != nil {
			t.Fatal(err)
		}
		if shown.Slope || shown.Mean {
			called++
		}
		near(t, "half", shown.Half, 2.532637831*l.S/math.Sqrt(15), 1e-6)
	}
	near(t, "share called without a bias", float64(called)/studies, 0.05, 3*math.Sqrt(0.95*0.05/studies))
	l, err := Linearity(references, biases)
	if err != nil {
		t.Fatal(err)
	}
	_, err = l.Shown(1)
	refuses(t, err, stats.ErrOutOfRange, "alpha")
}

// The interval of a bias holds the true one in 95 of 100 studies, within three
// standard errors of the share.
func TestBiasInterval(t *testing.T) {
	const studies = 4000
	chance := stats.NewRandom(14)
	held, called := 0, 0
	for range studies {
		readings := make([]float64, 6)
		for i := range readings {
			readings[i] = 8.02 + 0.05*chance.Normal()
		}
		b, err := Bias(readings, 8, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		if b.Low <= 0.02 && 0.02 <= b.High {
			held++
		}
		if b.Significant != (b.Low > 0 || b.High < 0) {
			t.Fatalf("%+v", b)
		}
		if unbiased, err := Bias(readings, 8.02, 0.05); err != nil || unbiased.Significant {
			called++
		}
	}
	near(t, "share held", float64(held)/studies, 0.95, 3*math.Sqrt(0.95*0.05/studies))
	near(t, "share called without a bias", float64(called)/studies, 0.05, 3*math.Sqrt(0.95*0.05/studies))
}

func TestBiasRefuses(t *testing.T) {
	two := []float64{1, 2}
	for _, test := range []struct {
		name             string
		x                []float64
		reference, alpha float64
		reason           error
		argument         string
	}{
		{"nothing", nil, 8, 0.05, stats.ErrTooFew, "readings"},
		{"one", []float64{8}, 8, 0.05, stats.ErrTooFew, "readings"},
		{"all equal", []float64{8, 8, 8}, 7, 0.05, stats.ErrNoSpread, "readings"},
		{"NaN", []float64{8, math.NaN()}, 8, 0.05, stats.ErrNotFinite, "readings"},
		{"reference", two, math.Inf(1), 0.05, stats.ErrNotFinite, "reference"},
		{"alpha 0", two, 8, 0, stats.ErrOutOfRange, "alpha"},
		{"alpha 1", two, 8, 1, stats.ErrOutOfRange, "alpha"},
		{"alpha NaN", two, 8, math.NaN(), stats.ErrOutOfRange, "alpha"},
	} {
		t.Run(test.name, func(t *testing.T) {
			b, err := Bias(test.x, test.reference, test.alpha)
			if err == nil {
				t.Fatalf("answered %+v", b)
			}
			refuses(t, err, test.reason, test.argument)
		})
	}
}
