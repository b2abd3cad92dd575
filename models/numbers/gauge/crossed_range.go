package gauge

import (
	"math"

	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// RangeStudy is a crossed study by the method of ranges: less exact than the
// analysis of variance and blind to an interaction, but done on paper.
type RangeStudy struct {
	MeanRange     float64   // Mean over parts and operators of the range of the trials.
	OperatorMeans []float64 // Mean of all readings of each operator.
	OperatorRange float64   // Their range.
	PartRange     float64   // Range of the part means.
	// Standard deviations found from them; OperatorVariance is the variance
	// before a negative one is taken for 0.
	Repeatability, Operator, Gauge, Part, Total float64
	OperatorVariance                            float64
	// Estimated is false when there are more trials, operators or parts than
	// range constants exist for; then only the first four figures are there.
	Estimated bool
}

// ManyRanges is from how many ranges on their mean is divided by d2 instead of
// d2*, as the printed tables do.
const ManyRanges = 16

// Ranges evaluates a study by its ranges:
//
//	repeatability = mean range / d2*(r, p o)
//	operator^2    = (operator range / d2*(o, 1))^2 - repeatability^2/(p r)
//	part          = part range / d2*(p, 1)
//
// d2*(n, g) = sqrt(d2(n)^2 + d3(n)^2/g) makes the square of a mean of g ranges
// of n unbiased (Duncan, Quality Control and Industrial Statistics; Patnaik,
// Biometrika 37, 1950).
func Ranges(y Readings) (RangeStudy, error) {
	m, err := meansOf(y)
	if err != nil {
		return RangeStudy{}, err
	}
	var ranges []float64
	for i := range y {
		for _, trials := range y[i] {
			ranges = append(ranges, spread(trials))
		}
	}
	s := RangeStudy{OperatorMeans: m.operator, OperatorRange: spread(m.operator), PartRange: spread(m.part)}
	if s.MeanRange, err = stats.Mean(ranges); err != nil {
		return RangeStudy{}, about("readings", err)
	}
	if err := s.estimate(len(y), len(y[0]), len(y[0][0])); err != nil {
		return RangeStudy{}, err
	}
	return s, checkAll(checkFinite("readings", s.OperatorRange), checkFinite("readings", s.PartRange), checkFinite("readings", s.Total))
}

func (s *RangeStudy) estimate(parts, operators, trials int) error {
	if max(parts, operators, trials) > spc.MaxSubgroup {
		return nil
	}
	var divisors [3]float64
	for i, of := range []struct{ n, groups int }{{trials, parts * operators}, {operators, 1}, {parts, 1}} {
		var err error
		if divisors[i], err = rangeDivisor(of.n, of.groups); err != nil {
			return err
		}
	}
	s.Estimated = true
	s.Repeatability = s.MeanRange / divisors[0]
	s.OperatorVariance = square(s.OperatorRange/divisors[1]) - square(s.Repeatability)/float64(parts*trials)
	s.Operator = math.Sqrt(max(s.OperatorVariance, 0))
	s.Part = s.PartRange / divisors[2]
	s.Gauge = math.Hypot(s.Repeatability, s.Operator)
	s.Total = math.Hypot(s.Gauge, s.Part)
	return checkFinite("readings", s.OperatorVariance)
}

// rangeDivisor is d2* for the mean of some ranges of n values, d2 for many.
func rangeDivisor(n, groups int) (float64, error) {
	c, err := spc.For(n)
	if err != nil {
		return 0, about("readings", err)
	}
	if groups >= ManyRanges {
		return c.D2, nil
	}
	return math.Sqrt(square(c.D2) + square(c.D3)/float64(groups)), nil
}

// spread returns the range of at least one value.
func spread(x []float64) float64 {
	low, high := x[0], x[0]
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	return high - low
}
