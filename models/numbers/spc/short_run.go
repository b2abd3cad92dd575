package spc

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

// A workshop that makes a few of many products has no long series of any. Its
// charts take from each value what belongs to its product, so that all products
// stand on one chart in the order they were made (short-run charts: Bothe,
// ASQC Quality Congress Transactions 1989; Farnum, Journal of Quality Technology
// 24, 1992).
//
// A product whose baseline holds fewer than [FewestOfProduct] points has no
// centre worth the name: its values go under the name of its family, or with a
// median from earlier work in Nominals.

// FewestOfProduct is how many points of the baseline give a product its own
// median. From five, the median is about half a sigma uncertain.
const FewestOfProduct = 5

// ErrNoCentre: a product without a baseline of its own.
var ErrNoCentre = errors.New("product without a centre")

// check refuses values without a group.
func (d ShortRun) check() error {
	if err := stats.Check(d.Values, 1); err != nil {
		return at("values", err)
	}
	if len(d.Groups) != len(d.Values) {
		return wrong("groups", ErrSizesDiffer, "%d for %d values", len(d.Groups), len(d.Values))
	}
	for i, name := range d.Groups {
		if name == "" {
			return wrong(element("groups", i), ErrNoCentre, "no name")
		}
	}
	for name, nominal := range d.Nominals {
		if !finite(nominal) {
			return at(fmt.Sprintf("nominals[%.40q]", name), stats.ErrNotFinite)
		}
	}
	return checkResolution(d.Resolution)
}

// byGroup returns the values of the baseline of each group, in their order.
func (d ShortRun) byGroup() (map[string][]float64, error) {
	kept, _, err := d.Baseline.choose(len(d.Values))
	if err != nil {
		return nil, err
	}
	groups := map[string][]float64{}
	for i, name := range d.Groups {
		if kept == nil || kept[i] {
			groups[name] = append(groups[name], d.Values[i])
		} else if _, known := groups[name]; !known {
			groups[name] = nil // It is judged too, so it needs a centre.
		}
	}
	return groups, nil
}

// centres returns the centre of each group: its nominal, or the median of its
// baseline.
func (d ShortRun) centres() (map[string]Group, error) {
	groups, err := d.byGroup()
	if err != nil {
		return nil, err
	}
	centres := map[string]Group{}
	for i, name := range d.Groups {
		if _, done := centres[name]; done {
			continue
		}
		if nominal, ok := d.Nominals[name]; ok {
			centres[name] = Group{Centre: nominal}
			continue
		}
		if n := len(groups[name]); n < FewestOfProduct {
			return nil, wrong(element("groups", i), ErrNoCentre, "%.40q has %d points in the baseline where %d are needed", name, n, FewestOfProduct)
		}
		median, err := stats.Median(groups[name])
		if err != nil {
			return nil, at("values", err)
		}
		centres[name] = Group{Centre: median, N: len(groups[name])}
	}
	return centres, nil
}

// each takes from every value what belongs to its group.
func (d ShortRun) each(groups map[string]Group, take func(x float64, g Group) (float64, error)) ([]float64, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	out := make([]float64, len(d.Values))
	for i, x := range d.Values {
		g, ok := groups[d.Groups[i]]
		if !ok {
			return nil, wrong(element("groups", i), ErrNoCentre, "%.40q", d.Groups[i])
		}
		var err error
		if out[i], err = take(x, g); err != nil {
			return nil, at(element("values", i), err)
		}
	}
	return out, nil
}

// The chart "short_run_ratio": positive values with a limit on one side, such as
// run-outs, each over the baseline median of its product, on a logarithmic
// scale:
//
//	y[i] = ln(x[i] / median of its group)
//	centre = exp(mean y), limits exp(mean y -+ 3 sigma),
//	sigma = mean |y[i] - y[i-1]| / d2(2)
//
// shown as ratios: 1 is the usual value of its product.
func ratioLimits(data ShortRun) (Limits, error) {
	if err := data.check(); err != nil {
		return Limits{}, err
	}
	groups, err := data.centres()
	if err != nil {
		return Limits{}, err
	}
	logs, err := data.each(groups, logRatio)
	if err != nil {
		return Limits{}, err
	}
	l, err := singleLimits(logs, data.Baseline)
	if err != nil {
		return Limits{}, err
	}
	l.Scale, l.ScaleReason, l.Groups = Logarithmic, ScalePositiveSkewed, groups
	// A step is the coarser the smaller the values of a product are.
	smallest := math.Inf(1)
	for _, g := range groups {
		smallest = min(smallest, g.Centre)
	}
	l.Facts.admit(data.Resolution, smallest*l.Sigma, false)
	return l, nil
}

func logRatio(x float64, g Group) (float64, error) {
	if x <= 0 || g.Centre <= 0 {
		return 0, fmt.Errorf("%v over a centre of %v: %w", x, g.Centre, ErrNotPositive)
	}
	return math.Log(x / g.Centre), nil
}

func ratioPanels(data ShortRun, l Limits) ([]Panel, error) {
	logs, err := data.each(l.Groups, logRatio)
	if err != nil {
		return nil, err
	}
	return logPanels(raised(logs), logs, PanelRatios, l)
}

// The chart "short_run_deviation": values with limits on both sides, each less
// the nominal value of its product, with the limits of single values. Products
// must spread alike; where they do not, the standardised chart is the one.
func deviationLimits(data ShortRun) (Limits, error) {
	if err := data.check(); err != nil {
		return Limits{}, err
	}
	groups := map[string]Group{}
	for i, name := range data.Groups {
		nominal, ok := data.Nominals[name]
		if !ok {
			return Limits{}, wrong(element("groups", i), ErrNoCentre, "%.40q has no nominal value", name)
		}
		groups[name] = Group{Centre: nominal}
	}
	deviations, err := data.each(groups, deviation)
	if err != nil {
		return Limits{}, err
	}
	l, err := singleLimits(deviations, data.Baseline)
	if err != nil {
		return Limits{}, err
	}
	l.Groups = groups
	l.Facts.admit(data.Resolution, l.Sigma, false)
	return l, nil
}

func deviation(x float64, g Group) (float64, error) { return x - g.Centre, nil }

func deviationPanels(data ShortRun, l Limits) ([]Panel, error) {
	deviations, err := data.each(l.Groups, deviation)
	if err != nil {
		return nil, err
	}
	return singlePanels(deviations, PanelDeviations, l)
}

// The chart "short_run_standardised": each value less the centre of its product
// over the sigma of its product, for products that spread differently:
//
//	z[i] = (x[i] - centre)/sigma, sigma of the group = mean |difference of
//	neighbours within the group| / d2(2), limits -3 and 3
//
// The centre is the nominal value, or the mean of the baseline. A sigma of its
// own takes [FewestForLimits] points of every product: with fewer of any the
// chart draws no limits.
func standardisedLimits(data ShortRun) (Limits, error) {
	if err := data.check(); err != nil {
		return Limits{}, err
	}
	byGroup, err := data.byGroup()
	if err != nil {
		return Limits{}, err
	}
	l := Limits{Sigma: 1, SigmaEstimator: OfEachGroup, Groups: map[string]Group{}}
	fewest, least := math.MaxInt, math.Inf(1)
	for i, name := range data.Groups {
		if _, done := l.Groups[name]; done {
			continue
		}
		of, err := singleLimits(byGroup[name], Baseline{})
		if err != nil {
			return Limits{}, at(element("groups", i), fmt.Errorf("%.40q: %w", name, err))
		}
		if of.Sigma == 0 {
			return Limits{}, at(element("groups", i), fmt.Errorf("%.40q: %w", name, stats.ErrNoSpread))
		}
		group := Group{Centre: of.Centre, Sigma: of.Sigma, N: of.Facts.N}
		if nominal, ok := data.Nominals[name]; ok {
			group.Centre = nominal
		}
		l.Groups[name] = group
		fewest, least = min(fewest, of.Facts.N), min(least, of.Sigma)
	}
	z, err := data.each(l.Groups, standardised)
	if err != nil {
		return Limits{}, err
	}
	kept, _, err := data.Baseline.choose(len(z))
	if err != nil {
		return Limits{}, err
	}
	if l.Facts, err = factsOf(chosen(z, kept)); err != nil {
		return Limits{}, at("values", err)
	}
	l.Facts.admit(data.Resolution, least, false)
	if fewest < FewestForLimits {
		l.Facts.NoLimits, l.Facts.NoLimitsReason = true, NoLimitsFewPoints
	}
	l.Facts.Provisional = fewest < FewestForFirmLimits
	return l, nil
}

func standardised(x float64, g Group) (float64, error) {
	if g.Sigma <= 0 {
		return 0, wrong("limits", ErrLimits, "a group with a sigma of %v", g.Sigma)
	}
	return (x - g.Centre) / g.Sigma, nil
}

func standardisedPanels(data ShortRun, l Limits) ([]Panel, error) {
	z, err := data.each(l.Groups, standardised)
	if err != nil {
		return nil, err
	}
	return singlePanels(slices.Clone(z), PanelStandardised, l)
}
