package stats

import (
	"math"
	"slices"
)

// ShapiroWilkSingle is [ShapiroWilk] in the single precision in which algorithm
// AS R94 was published, with the values taken about their median and the normal
// quantiles of AS 111. It gives, digit for digit, the figures that programs
// print which carry the published code. Its roundings reach 5e-6 of W and a
// thousandth of a small p at 700 values, so a decision rests on [ShapiroWilk]
// and this one serves to compare with figures from elsewhere.
func ShapiroWilkSingle(x []float64) (w, p float64, err error) {
	if _, _, err := ShapiroWilk(x); err != nil {
		return 0, 0, err
	}
	middle, err := Median(x)
	if err != nil {
		return 0, 0, err
	}
	sorted := make([]float32, len(x))
	for i, v := range x {
		sorted[i] = float32(v - middle)
	}
	slices.Sort(sorted)
	reach := sorted[len(sorted)-1] - sorted[0]
	missing, ok := shapiroMissing(sorted, reach)
	if !(reach >= 1e-19) || math.IsInf(float64(reach), 1) || !ok {
		return 0, 0, outside("x", reach, "is a spread that single precision does not hold")
	}
	if len(x) == 3 {
		w = math.Max(float64(1-missing), 0.75)
		return w, shapiroP(w, 3), nil
	}
	return float64(1 - missing), float64(float32(shapiroSingleP(missing, len(x)))), nil
}

// shapiroMissing returns 1 - W of sorted values. Products are converted before
// they are added, so that no processor joins the two.
func shapiroMissing(sorted []float32, reach float32) (missing float32, ok bool) {
	n := len(sorted)
	weights := shapiroSingleWeights(n)
	// weight is that of place i of n.
	weight := func(i int) float32 {
		switch mirror := n - 1 - i; {
		case i < mirror:
			return -weights[i]
		case i > mirror:
			return weights[mirror]
		}
		return 0
	}
	size := float32(n)
	meanWeight, mean := weight(0), sorted[0]/reach
	for i := 1; i < n; i++ {
		mean += sorted[i] / reach
		meanWeight += weight(i)
	}
	meanWeight /= size
	mean /= size
	var ssa, ssx, sax float32
	for i, v := range sorted {
		a, d := weight(i)-meanWeight, v/reach-mean
		ssa += float32(a * a)
		ssx += float32(d * d)
		sax += float32(a * d)
	}
	both := float32(ssa * ssx)
	root := rootSingle(both)
	missing = float32((root-sax)*(root+sax)) / both
	return max(missing, 0), both > 0
}

// shapiroSingleWeights returns the weights of the upper half, largest first.
func shapiroSingleWeights(n int) []float32 {
	a := make([]float32, n/2)
	if n == 3 {
		a[0] = rootSingle(0.5)
		return a
	}
	var squares float32
	for i := range a {
		a[i] = -quantileAS111((float32(i+1) - 0.375) / (float32(n) + 0.25))
		squares += float32(a[i] * a[i])
	}
	squares *= 2
	length, root := rootSingle(squares), 1/rootSingle(float32(n))
	first := polynomialSingle(root, 0, 0.221157, -0.147981, -2.07119, 4.434685, -2.706056) + a[0]/length
	left, right := squares-float32(2*a[0]*a[0]), 1-float32(2*first*first)
	a[0] = first
	done := 1
	if n > 5 {
		second := a[1]/length + polynomialSingle(root, 0, 0.042981, -0.293762, -1.752461, 5.682633, -3.582633)
		left, right = left-float32(2*a[1]*a[1]), right-float32(2*second*second)
		a[1] = second
		done = 2
	}
	factor := rootSingle(left / right)
	for i := done; i < len(a); i++ {
		a[i] /= factor
	}
	return a
}

// shapiroSingleP is [shapiroP] in single precision but for the last step.
func shapiroSingleP(missing float32, n int) float64 {
	if missing == 0 {
		return 1
	}
	y, size := logSingle(missing), float32(n)
	var mean, sd float32
	if n <= 11 {
		gamma := polynomialSingle(size, -2.273, 0.459)
		if y >= gamma {
			return 0
		}
		y = -logSingle(gamma - y)
		mean = polynomialSingle(size, 0.5440, -0.39978, 0.025054, -6.714e-4)
		sd = float32(math.Exp(float64(polynomialSingle(size, 1.3822, -0.77857, 0.062767, -0.0020322))))
	} else {
		logSize := logSingle(size)
		mean = polynomialSingle(logSize, -1.5861, -0.31082, -0.083751, 0.0038915)
		sd = float32(math.Exp(float64(polynomialSingle(logSize, -0.4803, -0.082676, 0.0030302))))
	}
	return NormalAbove(float64((y - mean) / sd))
}

// quantileAS111 is the normal quantile of Beasley and Springer (Applied
// Statistics 26, 1977, algorithm AS 111) for p between 0 and 1.
func quantileAS111(p float32) float32 {
	q := p - 0.5
	if q >= -0.42 && q <= 0.42 {
		r := float32(q * q)
		top := hornerSingle(r, -25.44106049637, 41.39119773534, -18.61500062529, 2.50662823884)
		return float32(q*top) / hornerSingle(r, 3.13082909833, -21.06224101826, 23.08336743743, -8.47351093090, 1)
	}
	r := p
	if q > 0 {
		r = 1 - p
	}
	r = rootSingle(-logSingle(r))
	v := hornerSingle(r, 2.32121276858, 4.85014127135, -2.29796479134, -2.78718931138) / hornerSingle(r, 1.63706781897, 3.54388924762, 1)
	if q < 0 {
		return -v
	}
	return v
}

// polynomialSingle is [polynomial]; the constant is added last, as published.
func polynomialSingle(x float32, c ...float32) float32 {
	var sum float32
	for _, v := range slices.Backward(c[1:]) {
		sum = float32((sum + v) * x)
	}
	return c[0] + sum
}

// hornerSingle takes the highest power first.
func hornerSingle(x float32, c ...float32) float32 {
	sum := c[0]
	for _, v := range c[1:] {
		sum = float32(sum*x) + v
	}
	return sum
}

func rootSingle(x float32) float32 { return float32(math.Sqrt(float64(x))) }

func logSingle(x float32) float32 { return float32(math.Log(float64(x))) }
