package spc

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// SubgroupFigures are those of every subgroup and of all together, from which
// the charts of means, ranges and standard deviations are made.
type SubgroupFigures struct {
	Sizes              []int
	Means, Ranges, SDs []float64
	// GrandMean is the mean of all values, MeanRange and MeanSD those of the
	// subgroups.
	GrandMean, MeanRange, MeanSD float64
	// PooledSD = sqrt( sum((n-1) s^2) / sum(n-1) ), OverallSD that of all values
	// around the grand mean.
	PooledSD, OverallSD float64
	// SigmaByRange = MeanRange/d2(n) and SigmaBySD = MeanSD/c4(n); Size is n. All
	// three are 0 where sizes differ.
	SigmaByRange, SigmaBySD float64
	Size                    int
}

// FromSubgroups computes the figures of at least one subgroup of 2 to
// [MaxSubgroup] values (ASTM MNL 7; NIST/SEMATECH e-Handbook, 6.3.2.1).
func FromSubgroups(values [][]float64) (SubgroupFigures, error) {
	if err := checkSubgroups(values); err != nil {
		return SubgroupFigures{}, err
	}
	k := len(values)
	f := SubgroupFigures{Sizes: make([]int, k), Means: make([]float64, k), Ranges: make([]float64, k), SDs: make([]float64, k), Size: len(values[0])}
	var all, squares []float64
	freedom := 0
	for i, group := range values {
		s, err := stats.Mean(group)
		if err != nil {
			return SubgroupFigures{}, at(element("subgroups", i), err)
		}
		f.Sizes[i], f.Means[i], f.Ranges[i] = len(group), s, rangeOf(group)
		if f.SDs[i], err = stats.SD(group); err != nil {
			return SubgroupFigures{}, at(element("subgroups", i), err)
		}
		if len(group) != f.Size {
			f.Size = 0
		}
		all = append(all, group...)
		squares = append(squares, float64(len(group)-1)*f.SDs[i]*f.SDs[i])
		freedom += len(group) - 1
	}
	f.PooledSD = math.Sqrt(stats.Sum(squares) / float64(freedom))
	if f.Size > 0 {
		c, err := For(f.Size)
		if err != nil {
			return SubgroupFigures{}, err
		}
		f.MeanRange, f.MeanSD = stats.Sum(f.Ranges)/float64(k), stats.Sum(f.SDs)/float64(k)
		f.SigmaByRange, f.SigmaBySD = f.MeanRange/c.D2, f.MeanSD/c.C4
	}
	var err error
	if f.GrandMean, err = stats.Mean(all); err != nil {
		return SubgroupFigures{}, at("subgroups", err)
	}
	if f.OverallSD, err = stats.SD(all); err != nil {
		return SubgroupFigures{}, at("subgroups", err)
	}
	if err := stats.Check([]float64{f.PooledSD, f.MeanRange, f.SigmaByRange, f.SigmaBySD}, 4); err != nil {
		return SubgroupFigures{}, at("subgroups", err)
	}
	return f, nil
}

// SubgroupLines are the limits of the charts of equal subgroups.
type SubgroupLines struct {
	MeanLowByRange, MeanHighByRange float64 // Grand mean -+ A2 mean range.
	RangeLow, RangeHigh             float64 // D3, D4 times the mean range.
	MeanLowBySD, MeanHighBySD       float64 // Grand mean -+ A3 mean s.
	SDLow, SDHigh                   float64 // B3, B4 times the mean s.
}

// Lines returns the limits of equal subgroups.
func (f SubgroupFigures) Lines() (SubgroupLines, error) {
	if f.Size == 0 {
		return SubgroupLines{}, at("subgroups", ErrSizesDiffer)
	}
	c, err := For(f.Size)
	if err != nil {
		return SubgroupLines{}, err
	}
	l := SubgroupLines{
		MeanLowByRange: f.GrandMean - c.A2()*f.MeanRange, MeanHighByRange: f.GrandMean + c.A2()*f.MeanRange,
		RangeLow: c.RangeLowFromMean() * f.MeanRange, RangeHigh: c.RangeHighFromMean() * f.MeanRange,
		MeanLowBySD: f.GrandMean - c.A3()*f.MeanSD, MeanHighBySD: f.GrandMean + c.A3()*f.MeanSD,
		SDLow: c.B3() * f.MeanSD, SDHigh: c.B4() * f.MeanSD,
	}
	lines := []float64{l.MeanLowByRange, l.MeanHighByRange, l.RangeHigh, l.MeanLowBySD, l.MeanHighBySD, l.SDHigh}
	if err := stats.Check(lines, 0); err != nil {
		return SubgroupLines{}, at("subgroups", fmt.Errorf("limits: %w", err))
	}
	return l, nil
}

// checkSubgroups asks for subgroups of 2 to [MaxSubgroup] finite values.
func checkSubgroups(values [][]float64) error {
	if len(values) == 0 {
		return at("subgroups", fmt.Errorf("none: %w", stats.ErrTooFew))
	}
	for i, group := range values {
		if n := len(group); n < 2 || n > MaxSubgroup {
			return wrong(element("subgroups", i), ErrSubgroupSize, "%d values", n)
		}
		if err := stats.Check(group, 2); err != nil {
			return at(element("subgroups", i), err)
		}
	}
	return nil
}

// equalSizes refuses the first subgroup that is not of the size.
func equalSizes(values [][]float64, size int) error {
	for i, group := range values {
		if len(group) != size {
			return wrong(element("subgroups", i), ErrSizesDiffer, "%d values where %d are expected", len(group), size)
		}
	}
	return nil
}

// check refuses subgroups that are none.
func (d Subgroups) check() error {
	if d.OneItem {
		return at("subgroups", ErrOneItem)
	}
	if err := checkSubgroups(d.Values); err != nil {
		return err
	}
	return checkResolution(d.Resolution)
}

// figures returns the figures of the subgroups that the limits rest on.
func (d Subgroups) figures() (SubgroupFigures, error) {
	if err := d.check(); err != nil {
		return SubgroupFigures{}, err
	}
	kept, count, err := d.Baseline.choose(len(d.Values))
	if err != nil {
		return SubgroupFigures{}, err
	}
	if count == 0 {
		return SubgroupFigures{}, wrong("baseline", ErrBaseline, "no subgroup is left")
	}
	return FromSubgroups(chosen(d.Values, kept))
}

// subgroupLimits makes limits of figures and of the sigma among them.
func (d Subgroups) subgroupLimits(f SubgroupFigures, sigma float64, estimator string) (Limits, error) {
	l := Limits{Centre: f.GrandMean, Sigma: sigma, SigmaEstimator: estimator, Size: f.Size}
	var err error
	if l.Facts, err = factsOf(f.Means); err != nil {
		return Limits{}, at("subgroups", err)
	}
	l.Facts.admit(d.Resolution, sigma, false)
	return l, nil
}

// equal returns figures of equal subgroups.
func (d Subgroups) equal() (SubgroupFigures, error) {
	if err := d.check(); err != nil {
		return SubgroupFigures{}, err
	}
	if err := equalSizes(d.Values, len(d.Values[0])); err != nil {
		return SubgroupFigures{}, err
	}
	return d.figures()
}

// ofSize checks subgroups that are judged against limits for one size.
func (d Subgroups) ofSize(size int) (Constants, error) {
	if err := d.check(); err != nil {
		return Constants{}, err
	}
	if err := equalSizes(d.Values, size); err != nil {
		return Constants{}, err
	}
	return For(size)
}

// rangeOf is the greatest value less the least.
func rangeOf(x []float64) float64 {
	low, high := x[0], x[0]
	for _, v := range x[1:] {
		low, high = min(low, v), max(high, v)
	}
	return high - low
}

// each applies a figure to every subgroup.
func each(values [][]float64, figure func([]float64) (float64, error)) ([]float64, error) {
	out := make([]float64, len(values))
	for i, group := range values {
		var err error
		if out[i], err = figure(group); err != nil {
			return nil, at(element("subgroups", i), err)
		}
	}
	return out, nil
}

func ranges(values [][]float64) []float64 {
	out := make([]float64, len(values))
	for i, group := range values {
		out[i] = rangeOf(group)
	}
	return out
}
