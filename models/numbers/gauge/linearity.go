package gauge

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// LinearityStudy is the line through the biases found at several reference
// values: bias = Intercept + Slope x reference.
type LinearityStudy struct {
	N                int
	Slope, Intercept float64
	S                float64 // Residual standard deviation, n-2 degrees of freedom.
	// T of the slope and of the intercept, Known unless the biases lie on the
	// line without scatter.
	TSlope, TIntercept float64
	TKnown             bool
	// Whether they differ from 0, two-sided at 95 %.
	SlopeSignificant, InterceptSignificant bool
	// Bias is the mean of all biases, which is the line at the mean of the references:
	// BiasHalf is the half-width of its 95 % interval, TBias its t. Intercept is the line
	// at the reference 0, which references far from it say little of.
	Bias, BiasHalf, TBias float64
	BiasSignificant       bool

	mean, squares float64 // Of the references: their mean and sum of squares about it.
}

// linearityConfidence is that of the two tests and of the band.
const linearityConfidence = 0.95

// Linearity regresses biases on reference values by least squares, at least
// three pairs at two or more references:
//
//	slope = Sxy/Sxx, t = slope / (s/sqrt(Sxx)), s^2 = sum residual^2 / (n-2)
//
// (any text on simple regression; NIST/SEMATECH e-Handbook, 2.4.5.2). Whether there is
// a bias at all is asked of the slope and of the mean of the biases,
//
//	t = bias / (s/sqrt(n)), n-2 degrees of freedom,
//
// which no slope moves: SlopeSignificant and BiasSignificant answer each alone at 95 %,
// [LinearityStudy.Shown] both together. The Measurement Systems Analysis reference
// manual (AIAG, 4th edition, chapter III; from memory) wants the line of no bias inside
// the band about the fitted line, and at the mean the band is narrowest. Several
// biases may stand at one reference. A slope says that a correction by one
// constant will not do; scatter about the line that is large against s of the
// repeats says that a line will not do.
func Linearity(references, biases []float64) (LinearityStudy, error) {
	if len(references) != len(biases) {
		return LinearityStudy{}, about("biases", fmt.Errorf("%d where there are %d references: %w", len(biases), len(references), ErrSizesDiffer))
	}
	for _, of := range []struct {
		name   string
		values []float64
	}{{"references", references}, {"biases", biases}} {
		if err := stats.Check(of.values, 3); err != nil {
			return LinearityStudy{}, about(of.name, err)
		}
	}
	if stats.Distinct(references) == 1 {
		return LinearityStudy{}, about("references", stats.ErrNoSpread)
	}
	meanX, err := stats.Mean(references)
	if err != nil {
		return LinearityStudy{}, about("references", err)
	}
	meanY, err := stats.Mean(biases)
	if err != nil {
		return LinearityStudy{}, about("biases", err)
	}
	n := len(references)
	xx, xy, residuals := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, x := range references {
		xx[i], xy[i] = square(x-meanX), (x-meanX)*(biases[i]-meanY)
	}
	l := LinearityStudy{N: n, mean: meanX, squares: stats.Sum(xx)}
	l.Slope = stats.Sum(xy) / l.squares
	l.Intercept, l.Bias = meanY-l.Slope*meanX, meanY
	for i, x := range references {
		residuals[i] = square(biases[i] - meanY - l.Slope*(x-meanX))
	}
	l.S = math.Sqrt(stats.Sum(residuals) / float64(n-2))
	l.settle(references, biases)
	if err := checkAll(checkPositive("references", l.squares), checkFinite("biases", l.Slope), checkFinite("biases", l.Intercept), checkFinite("biases", l.S)); err != nil {
		return LinearityStudy{}, err
	}
	return l, l.test()
}

// settle takes for 0 what the rounding of the biases alone would make: a slope,
// an intercept and a scatter of the last digit are none.
func (l *LinearityStudy) settle(references, biases []float64) {
	largest := math.Abs(l.Slope * l.mean)
	for _, v := range biases {
		largest = max(largest, math.Abs(v))
	}
	rounding := 4 * epsilon * largest
	if math.Abs(l.Slope)*spread(references) <= rounding {
		l.Slope = 0
	}
	if math.Abs(l.Intercept) <= rounding {
		l.Intercept = 0
	}
	if math.Abs(l.Bias) <= rounding {
		l.Bias = 0
	}
	if l.S <= rounding {
		l.S = 0
	}
}

func (l *LinearityStudy) test() error {
	k, err := Coverage(linearityConfidence, float64(l.N-2))
	if err != nil {
		return err
	}
	uSlope := l.S / math.Sqrt(l.squares)
	uIntercept := l.S * math.Sqrt(1/float64(l.N)+square(l.mean)/l.squares)
	uBias := l.S / math.Sqrt(float64(l.N))
	l.TSlope, l.TIntercept, l.TBias = l.Slope/uSlope, l.Intercept/uIntercept, l.Bias/uBias
	if l.TKnown = finiteAll(l.TSlope, l.TIntercept); !l.TKnown || !finiteAll(l.TBias) {
		l.TSlope, l.TIntercept, l.TBias = 0, 0, 0
	}
	l.SlopeSignificant = math.Abs(l.Slope) > k*uSlope
	l.InterceptSignificant = math.Abs(l.Intercept) > k*uIntercept
	l.BiasHalf = k * uBias
	l.BiasSignificant = math.Abs(l.Bias) > l.BiasHalf
	return nil
}

// Shown is what the slope and the mean of the biases show together. Half is the
// half-width of the mean's interval with the confidence of its test.
type Shown struct {
	Slope, Mean bool
	Half        float64
}

// Shown asks the slope and the mean of the biases, each at half of alpha, so that
// among gauges without any bias one is found in alpha of the studies at most.
func (l LinearityStudy) Shown(alpha float64) (Shown, error) {
	if err := checkBetween("alpha", alpha, 0, 1); err != nil {
		return Shown{}, err
	}
	k, err := Coverage(1-alpha/2, float64(l.N-2))
	if err != nil {
		return Shown{}, about("alpha", err)
	}
	half := k * l.S / math.Sqrt(float64(l.N))
	return Shown{Slope: math.Abs(l.Slope) > k*l.S/math.Sqrt(l.squares), Mean: math.Abs(l.Bias) > half, Half: half}, checkFinite("biases", half)
}

// At returns the bias on the line at a reference, and the half-width of its 95 %
// interval t s sqrt(1/n + (x - mean)^2/Sxx). Outside the references studied the
// line is a guess, and the caller should not ask.
func (l LinearityStudy) At(reference float64) (bias, halfWidth float64, err error) {
	k, err := Coverage(linearityConfidence, float64(l.N-2))
	if err != nil {
		return 0, 0, err
	}
	bias = l.Intercept + l.Slope*reference
	halfWidth = k * l.S * math.Sqrt(1/float64(l.N)+square(reference-l.mean)/l.squares)
	return bias, halfWidth, checkAll(checkFinite("reference", bias), checkFinite("reference", halfWidth))
}
