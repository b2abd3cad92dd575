package spc

import "tracewright/models/numbers/stats"

// Outside is the share of a process outside its limits: what was counted, with
// its interval, and from [FewestForFittedTails] values on what the fitted
// distribution has there. A value on its limit is inside.
type Outside struct {
	Below, Above int
	// Counted is the exact interval of the share (Below + Above)/n.
	Counted stats.Interval
	// Fitted shares, nil while there are too few values.
	FittedBelow, FittedAbove *float64
}

func outsideOf(x []float64, fitted stats.Distribution, t Tolerance, confidence float64) (Outside, error) {
	var o Outside
	for _, v := range x {
		switch {
		case t.Low != nil && v < *t.Low:
			o.Below++
		case t.High != nil && v > *t.High:
			o.Above++
		}
	}
	shares, err := stats.ProportionIntervalsOf(o.Below+o.Above, len(x), confidence)
	if err != nil {
		return Outside{}, err
	}
	o.Counted = shares.Exact
	if len(x) < FewestForFittedTails {
		return o, nil
	}
	var below, above float64
	if t.Low != nil {
		if below, _, err = fitted.Tails(*t.Low); err != nil {
			return Outside{}, at("low", err)
		}
	}
	if t.High != nil {
		if _, above, err = fitted.Tails(*t.High); err != nil {
			return Outside{}, at("high", err)
		}
	}
	o.FittedBelow, o.FittedAbove = &below, &above
	return o, nil
}
