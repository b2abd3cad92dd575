package life

import (
	"cmp"
	"math"
	"slices"
)

// Interval is a two-sided interval.
type Interval struct {
	Low, High float64
}

// Point is the survival curve right after a time at which something failed.
type Point struct {
	Time             float64
	AtRisk, Failures int     // Units that had reached the time, and those that failed at it.
	Survival         float64 // Kaplan-Meier.
	// SE is the standard error of Survival (Greenwood), and Log and LogLog are
	// pointwise intervals by the logarithm of the survival and by the logarithm of
	// its negative logarithm. They exist when Bounded: not once everything has
	// failed and the survival is 0.
	SE          float64
	Log, LogLog Interval
	Bounded     bool
	Hazard      float64 // Cumulative hazard (Nelson-Aalen).
	Few         bool    // Fewer at risk than asked for: read no further.
}

// Curve is a survival curve; it stays at its last point until the next.
type Curve struct {
	Points          []Point
	Units, Failures int
	Confidence      float64
	Last            float64 // Age of the oldest unit: behind it the curve says nothing.
}

// CurveOptions say how to draw a curve.
type CurveOptions struct {
	Confidence float64 // Of the intervals, two-sided, such as 0.95.
	// LeastAtRisk marks points with fewer at risk; 10 is common practice, 0 marks
	// none.
	LeastAtRisk int
}

// KaplanMeier returns the product-limit estimate of the survival,
//
//	S(t) = prod (1 - d_i/n_i) over failure times up to t,
//
// d_i failures among n_i at risk (Kaplan and Meier, Journal of the American
// Statistical Association 53, 1958), with Greenwood's variance
//
//	Var S = S^2 sum d_i/(n_i (n_i - d_i)),
//
// the intervals S exp(+-z SE/S), at most 1, and S^exp(+-z SE/(S ln S))
// (Kalbfleisch and Prentice, The Statistical Analysis of Failure Time Data,
// 1980), and the cumulative hazard sum d_i/n_i (Nelson 1969, Aalen 1978). A
// sample without failures has a curve without points.
func KaplanMeier(lives []Observation, options CurveOptions) (Curve, error) {
	t, err := count(lives)
	if err != nil {
		return Curve{}, err
	}
	z, err := bothSides(options.Confidence)
	if err != nil {
		return Curve{}, err
	}
	sorted := slices.Clone(lives)
	slices.SortFunc(sorted, func(a, b Observation) int { return cmp.Compare(a.Time, b.Time) })
	curve := Curve{Units: t.units, Failures: t.failures, Confidence: options.Confidence}
	atRisk, survival, greenwood, hazard := t.units, 1., 0., 0.
	for i := 0; i < len(sorted); {
		time, failed, gone := sorted[i].Time, 0, 0
		curve.Last = time
		for ; i < len(sorted) && sorted[i].Time == time; i++ {
			gone += sorted[i].Count
			if sorted[i].Failed {
				failed += sorted[i].Count
			}
		}
		if failed > 0 {
			n, d := float64(atRisk), float64(failed)
			survival *= (n - d) / n
			hazard += d / n
			point := Point{
				Time: time, AtRisk: atRisk, Failures: failed, Survival: survival, Hazard: hazard,
				Few: atRisk < options.LeastAtRisk,
			}
			if failed < atRisk {
				greenwood += d / (n * (n - d))
				point.bound(greenwood, z)
			}
			curve.Points = append(curve.Points, point)
		}
		atRisk -= gone
	}
	return curve, nil
}

// bound adds standard error and intervals from Greenwood's sum.
func (p *Point) bound(greenwood, z float64) {
	relative := math.Sqrt(greenwood)
	p.SE, p.Bounded = p.Survival*relative, true
	p.Log = Interval{p.Survival * math.Exp(-z*relative), min(1, p.Survival*math.Exp(z*relative))}
	width := math.Exp(z * relative / -math.Log(p.Survival))
	p.LogLog = Interval{math.Pow(p.Survival, width), math.Pow(p.Survival, 1/width)}
}

// Firm returns the points up to the first that is marked as having few at risk.
func (c Curve) Firm() []Point {
	if i := slices.IndexFunc(c.Points, func(p Point) bool { return p.Few }); i >= 0 {
		return c.Points[:i]
	}
	return c.Points
}

// Median is the time by which half of the units have failed.
type Median struct {
	Time float64
	// Low and High bound it, where the curve goes down that far.
	Low, High           float64
	LowKnown, HighKnown bool
}

// half is a survival of one half, with room for the rounding of the product.
const half = 0.5 * (1 + 1e-12)

// Median returns the first time at which the survival is one half or less, and
// the times at which the log-log interval of the survival comes down to one
// half and leaves it behind (Brookmeyer and Crowley, Biometrics 38, 1982). It
// reports false when the curve stays above one half.
func (c Curve) Median() (Median, bool) {
	return c.median(func(p Point) Interval { return p.LogLog })
}

func (c Curve) median(interval func(Point) Interval) (Median, bool) {
	var m Median
	found := false
	for _, p := range c.Points {
		if !found && p.Survival <= half {
			m.Time, found = p.Time, true
		}
		if !p.Bounded {
			continue
		}
		if !m.LowKnown && interval(p).Low <= half {
			m.Low, m.LowKnown = p.Time, true
		}
		if !m.HighKnown && interval(p).High < 0.5 {
			m.High, m.HighKnown = p.Time, true
		}
	}
	return m, found
}
