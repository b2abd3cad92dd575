package spc

import (
	"slices"

	"tracewright/models/numbers/stats"
)

// UsualShape is the distribution of the chart by probability limits where the
// settings name none.
const UsualShape = stats.ShapeLognormal

// The chart "probability_limits": single values of a known, lopsided shape,
// with limits that cut off what three sigma cut off of a normal process:
//
//	low, centre, high = the 0.135 %, 50 % and 99.865 % points
//
// of the distribution of that shape fitted to the baseline, or for the shape
// box_cox of the normal distribution found after the power and turned back
// (Montgomery, Introduction to Statistical Quality Control, section on charts
// for individual measurements; ISO 22514-4 for the percentiles). The shape comes
// from what is known of the characteristic, not from the fit (see
// [stats.Shape]).
//
// Sigma is a sixth of the way from the low to the high limit. It comes from all
// values of the baseline at once and not from neighbours: a drift within the
// baseline widens these limits, which it does not those of a chart of individual
// values.
func probabilityLimits(data Data) (Limits, error) {
	if err := stats.Check(data.Values, 2); err != nil {
		return Limits{}, at("values", err)
	}
	if err := checkResolution(data.Resolution); err != nil {
		return Limits{}, err
	}
	kept, _, err := data.Baseline.choose(len(data.Values))
	if err != nil {
		return Limits{}, err
	}
	values := chosen(data.Values, kept)
	shape := stats.Shape(data.Settings.Shape)
	if shape == "" {
		shape = UsualShape
	}
	l := Limits{SigmaEstimator: FittedShape, Settings: Settings{Shape: string(shape)}, Parameters: map[string]float64{}}
	if !shape.Known() {
		return Limits{}, wrong("shape", ErrSetting, "%.40q", string(shape))
	}
	if l.Facts, err = factsOf(values); err != nil {
		return Limits{}, at("values", err)
	}
	l.Centre = values[0]
	if l.Facts.Distinct > 1 { // Equal values have no shape, and the chart no limits.
		d, err := stats.Fit(shape, values)
		if err != nil {
			return Limits{}, at("values", err)
		}
		for _, p := range d.Parameters() {
			l.Parameters[p.Name] = p.Value
		}
		if err := l.cut(d); err != nil {
			return Limits{}, at("values", err)
		}
	}
	l.Facts.admit(data.Resolution, l.Sigma, data.Widen)
	return l, nil
}

// cut sets the lines by the points of a distribution.
func (l *Limits) cut(d stats.Distribution) error {
	var points [3]float64
	for i, z := range []float64{-3, 0, 3} {
		var err error
		if points[i], err = d.QuantileAt(z); err != nil {
			return err
		}
	}
	l.Low, l.Centre, l.High = &points[0], points[1], &points[2]
	l.Sigma = (points[2] - points[0]) / 6
	return nil
}

func probabilityPanels(data Data, l Limits) ([]Panel, error) {
	if err := stats.Check(data.Values, 1); err != nil {
		return nil, at("values", err)
	}
	p := strip(PanelValues, slices.Clone(data.Values), l.Centre)
	if l.Facts.NoLimits {
		return []Panel{p}, nil
	}
	if l.Low == nil || l.High == nil || !(*l.Low <= l.Centre && l.Centre <= *l.High) {
		return nil, wrong("limits", ErrLimits, "low, centre and high are not in order")
	}
	more := l.Facts.widening()
	return []Panel{p.between(*l.Low-more, *l.High+more)}, nil
}
