package stats

import (
	"math"
	"slices"
)

// AndersonDarling is the test of normal shape that weighs the tails.
type AndersonDarling struct {
	// A2 is -n - sum((2i-1)(ln F(z_i) + ln(1 - F(z_(n+1-i)))))/n over the sorted
	// values in units of their own standard deviation (n-1) about their mean.
	A2 float64
	// Adjusted is A2 (1 + 0.75/n + 2.25/n^2), which has one distribution for
	// every n from 8 on.
	Adjusted float64
	// AdjustedOtherwise is A2 (1 + 4/n - 25/n^2), which some tables go with; P does
	// not rest on it.
	AdjustedOtherwise float64
	// P is the chance of as large an Adjusted among normal values. Above 13, where
	// the fitted formula ends, it is below 5e-31 and given as 0.
	P float64
}

// FewestForAndersonDarling is the smallest sample that is tested.
const FewestForAndersonDarling = 5

// AndersonDarlingOf tests at least 5 values, not all equal, for a normal shape
// with mean and standard deviation unknown (Stephens in D'Agostino and
// Stephens, Goodness-of-Fit Techniques, 1986, table 4.9).
func AndersonDarlingOf(x []float64) (AndersonDarling, error) {
	z, _, _, err := standardised(x, FewestForAndersonDarling)
	if err != nil {
		return AndersonDarling{}, err
	}
	slices.Sort(z)
	n := float64(len(z))
	terms := make([]float64, len(z))
	for i, v := range z {
		terms[i] = float64(2*i+1) * (logNormalBelow(v) + logNormalBelow(-z[len(z)-1-i]))
	}
	a2 := -n - Sum(terms)/n
	adjusted := a2 * (1 + 0.75/n + 2.25/(n*n))
	return AndersonDarling{A2: a2, Adjusted: adjusted, AdjustedOtherwise: a2 * (1 + 4/n - 25/(n*n)), P: andersonDarlingP(adjusted)}, nil
}

// andersonDarlingP is the four formulas of table 4.9.
func andersonDarlingP(a float64) float64 {
	switch {
	case a > 13:
		return 0
	case a >= 0.6:
		return math.Exp(1.2937 - 5.709*a + 0.0186*a*a)
	case a >= 0.34:
		return math.Exp(0.9177 - 4.279*a - 1.38*a*a)
	case a >= 0.2:
		return 1 - math.Exp(-8.318+42.796*a-59.938*a*a)
	}
	return 1 - math.Exp(-13.436+101.14*a-223.73*a*a)
}

// logNormalBelow returns ln F(z), by the continued fraction of the upper tail
// (Abramowitz and Stegun, 26.2.14) where F itself would vanish.
func logNormalBelow(z float64) float64 {
	if z > -30 {
		return math.Log(NormalBelow(z))
	}
	fraction := -z
	for k := 20.; k > 0; k-- {
		fraction = -z + k/fraction
	}
	return -z*z/2 - halfLog2Pi - math.Log(fraction)
}

// MostForShapiroWilk is the largest sample that the approximation covers.
const MostForShapiroWilk = 5000

// ShapiroWilk tests 3 to 5000 values, not all equal, for a normal shape. It
// returns W, the squared correlation of the sorted values with weights close to
// the best ones for normal order statistics, and the chance of as small a W
// among normal values (Royston, Applied Statistics 44, 1995, algorithm AS R94;
// exact for 3 values).
func ShapiroWilk(x []float64) (w, p float64, err error) {
	z, _, _, err := standardised(x, 3)
	if err != nil {
		return 0, 0, err
	}
	if len(x) > MostForShapiroWilk {
		return 0, 0, outside("x", len(x), "values are more than the 5000 that the approximation covers")
	}
	slices.Sort(z)
	weights, err := shapiroWeights(len(z))
	if err != nil {
		return 0, 0, err
	}
	// The weights are antisymmetric, their squares sum to 1; z has n-1 for its
	// sum of squares.
	terms := make([]float64, len(weights))
	for i, a := range weights {
		terms[i] = a * (z[len(z)-1-i] - z[i])
	}
	top := Sum(terms)
	w = min(top*top/float64(len(z)-1), 1)
	return w, shapiroP(w, len(z)), nil
}

// shapiroWeights returns the weights of the upper half, largest value first.
func shapiroWeights(n int) ([]float64, error) {
	if n == 3 {
		return []float64{math.Sqrt(0.5)}, nil
	}
	m := make([]float64, n/2)
	var squares float64
	for i := range m {
		z, err := NormalQuantile((float64(i+1) - 0.375) / (float64(n) + 0.25))
		if err != nil {
			return nil, err
		}
		m[i] = -z
		squares += 2 * z * z
	}
	root := 1 / math.Sqrt(float64(n))
	a := make([]float64, len(m))
	a[0] = polynomial(root, 0, 0.221157, -0.147981, -2.07119, 4.434685, -2.706056) + m[0]/math.Sqrt(squares)
	left, right, done := squares-2*m[0]*m[0], 1-2*a[0]*a[0], 1
	if n > 5 {
		a[1] = polynomial(root, 0, 0.042981, -0.293762, -1.752461, 5.682633, -3.582633) + m[1]/math.Sqrt(squares)
		left, right, done = left-2*m[1]*m[1], right-2*a[1]*a[1], 2
	}
	for i := done; i < len(m); i++ {
		a[i] = m[i] / math.Sqrt(left/right)
	}
	return a, nil
}

// shapiroP turns W into a normal deviate, by the fits of Royston.
func shapiroP(w float64, n int) float64 {
	if n == 3 {
		return min(max(6/math.Pi*(math.Asin(math.Sqrt(w))-math.Asin(math.Sqrt(0.75))), 0), 1)
	}
	if w >= 1 {
		return 1
	}
	y, size, logSize := math.Log(1-w), float64(n), math.Log(float64(n))
	var mean, sd float64
	if n <= 11 {
		gamma := polynomial(size, -2.273, 0.459)
		if y >= gamma {
			return 0
		}
		y = -math.Log(gamma - y)
		mean = polynomial(size, 0.5440, -0.39978, 0.025054, -6.714e-4)
		sd = math.Exp(polynomial(size, 1.3822, -0.77857, 0.062767, -0.0020322))
	} else {
		mean = polynomial(logSize, -1.5861, -0.31082, -0.083751, 0.0038915)
		sd = math.Exp(polynomial(logSize, -0.4803, -0.082676, 0.0030302))
	}
	return NormalAbove((y - mean) / sd)
}

// polynomial returns c[0] + c[1] x + c[2] x^2 and so on.
func polynomial(x float64, c ...float64) float64 {
	sum := 0.
	for _, v := range slices.Backward(c) {
		sum = sum*x + v
	}
	return sum
}
