package goodness

import (
	"errors"
	"math"
	"slices"

	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// Law is the distribution that the first values were taken for.
type Law struct {
	Fitted   stats.Distribution
	Goodness stats.Goodness
	Tried    int // laws that suit the result
	// Predicted is the share that it puts beyond the limits, from
	// [spc.FewestForFittedTails] values on.
	Predicted *Predicted
}

// Predicted is a share with its interval; no interval could be found where it is nil.
type Predicted struct {
	Share    float64
	Interval *stats.Interval
}

// heaped are the laws of what cannot be negative and is limited above alone: run-outs,
// distances, spreads. spread are those of everything else.
var (
	heaped = []stats.Shape{stats.ShapeLognormal, stats.ShapeWeibull, stats.ShapeGamma, stats.ShapeFoldedNormal, stats.ShapeRayleigh, stats.ShapeLargestExtreme}
	spread = []stats.Shape{stats.ShapeNormal, stats.ShapeLognormal, stats.ShapeLargestExtreme}
)

// judge finds the law and the index, or says why there is none.
func (v *View) judge(values []float64, counted bool) error {
	tolerance, refused := v.tolerance()
	switch {
	case refused != "":
	case counted:
		refused = "good_counted"
	case len(values) < spc.FewestForCapability:
		refused = "good_few_values"
	}
	v.LawRefused, v.IndexRefused = refused, refused
	if refused != "" {
		return nil
	}
	law, err := fitted(values, tolerance)
	switch {
	case err != nil:
		return err
	case law == nil:
		v.LawRefused, v.IndexRefused = "good_no_law", "good_no_law"
		return nil
	}
	v.Law = law
	if err := law.predict(values, tolerance); err != nil {
		return err
	}
	switch v.Charted.Control {
	case spc.NotInControl:
		v.IndexRefused = "good_not_in_control"
		return nil
	case spc.ControlNotShown:
		v.IndexRefused = "good_control_unknown"
		return nil
	}
	report, err := spc.Capability(spc.CapabilityQuestion{Values: values, Tolerance: tolerance, Control: v.Charted.Control, Shape: law.Fitted.Shape(), Confidence: confidence})
	if cannot(err) {
		v.IndexRefused = "good_no_law"
		return nil
	}
	if err != nil {
		return err
	}
	v.Index = &report.Ppk
	return nil
}

// fitted gives the law that suits the result best by Akaike's criterion, 2 k - 2 ln L
// (IEEE Transactions on Automatic Control 19, 1974), among those whose distance from
// the values is no warning (see [stats.Goodness], at 5 %), nil where none is. Chosen
// and held against the same values it looks a little better than it is; that is why a
// law is asked for where the counts end, and never instead of them.
func fitted(values []float64, tolerance spc.Tolerance) (*Law, error) {
	shapes := spread
	if tolerance.Low == nil && slices.Min(values) >= 0 {
		shapes = heaped
	}
	var best *Law
	least := math.Inf(1)
	for _, shape := range shapes {
		d, err := stats.Fit(shape, values)
		if cannot(err) {
			continue
		}
		if err != nil {
			return nil, err
		}
		good, err := d.Goodness(values)
		if cannot(err) || err == nil && good.Doubtful {
			continue
		}
		if err != nil {
			return nil, err
		}
		likelihood, err := d.LogLikelihood(values)
		if cannot(err) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if aic := 2*float64(len(d.Parameters())) - 2*likelihood; aic < least {
			best, least = &Law{Fitted: d, Goodness: good, Tried: len(shapes)}, aic
		}
	}
	return best, nil
}

// cannot says of an error that the values are not such as a law allows: an answer, and
// no failure.
func cannot(err error) bool {
	return errors.Is(err, stats.ErrImpossible) || errors.Is(err, stats.ErrNoSpread) || errors.Is(err, stats.ErrNotFinite) || errors.Is(err, stats.ErrUnsettled) || errors.Is(err, stats.ErrShape)
}

// predict finds the share beyond the limits. Its interval is laid around the normal
// quantile of the share, where it is nearly symmetrical, by the standard error of the
// fit (delta method, see [stats.Distribution.StandardError]).
func (l *Law) predict(values []float64, tolerance spc.Tolerance) error {
	if len(values) < spc.FewestForFittedTails {
		return nil
	}
	beyond := func(d stats.Distribution) (float64, error) {
		var total float64
		if tolerance.Low != nil {
			below, _, err := d.Tails(*tolerance.Low)
			if err != nil {
				return 0, err
			}
			total += below
		}
		if tolerance.High != nil {
			_, above, err := d.Tails(*tolerance.High)
			if err != nil {
				return 0, err
			}
			total += above
		}
		return total, nil
	}
	share, err := beyond(l.Fitted)
	if err != nil {
		return err
	}
	l.Predicted = &Predicted{Share: share}
	if !(share > 0 && share < 1) {
		return nil
	}
	z := func(d stats.Distribution) (float64, error) {
		p, err := beyond(d)
		if err != nil {
			return 0, err
		}
		return stats.NormalQuantile(p)
	}
	middle, err := stats.NormalQuantile(share)
	if err != nil {
		return err
	}
	deviation, err := l.Fitted.StandardError(values, z)
	if err != nil {
		return nil // The values do not settle it: there is a share and no interval.
	}
	reach, err := stats.NormalQuantile((1 + confidence) / 2)
	if err != nil {
		return err
	}
	l.Predicted.Interval = &stats.Interval{Low: stats.NormalBelow(middle - reach*deviation), High: stats.NormalBelow(middle + reach*deviation)}
	return nil
}
