package life

import (
	"errors"
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// ShapeFailures is the number of failures below which a fit makes no statement
// about the shape.
const ShapeFailures = 5

// ErrNoFit: the likelihood has no maximum, or none that can be computed.
var ErrNoFit = errors.New("no fit")

// Law is a distribution of lives. All of them are location-scale families of
// the logarithm of time: z = (ln t - location)/spread has a distribution
// without parameters.
type Law string

// The laws that are fitted.
const (
	Weibull   Law = "weibull"   // z has the smallest extreme value distribution.
	Lognormal Law = "lognormal" // z is standard normal.
)

// Covariance of the estimated location and of the logarithm of the estimated
// spread, the inverse of the observed information.
type Covariance struct {
	Location, Cross, LogSpread float64
}

// Fit is a law fitted by maximum likelihood to lives of which some are
// right-censored.
type Fit struct {
	Law              Law
	Location, Spread float64 // Of ln t; of a lognormal its mu and sigma.
	SpreadGiven      bool    // Spread was assumed, not estimated.
	Covariance       Covariance
	LogLikelihood    float64 // Of the times, not of their logarithms.
	Units, Failures  int
}

// Shape returns the Weibull shape b = 1/spread: below 1 early failures, near 1
// chance, above 1 wear. With fewer than [ShapeFailures] failures it says
// nothing, see [Fit.FewFailures].
func (f Fit) Shape() float64 { return 1 / f.Spread }

// Scale returns the Weibull scale, the time by which 63.2 % have failed; of an
// exponential law its mean, of a lognormal one its median.
func (f Fit) Scale() float64 { return math.Exp(f.Location) }

// FewFailures reports whether there are too few failures for a statement about
// the shape.
func (f Fit) FewFailures() bool { return f.Failures < ShapeFailures }

// AIC returns Akaike's criterion, 2 k - 2 ln L with k parameters estimated.
func (f Fit) AIC() float64 {
	if f.SpreadGiven {
		return 2 - 2*f.LogLikelihood
	}
	return 4 - 2*f.LogLikelihood
}

// ShapeInterval returns an interval for the shape, normal on its logarithm
// (Wald): b exp(+-z sqrt(Var ln sigma)) (Meeker and Escobar, Statistical Methods
// for Reliability Data, 1998, 8.4).
func (f Fit) ShapeInterval(confidence float64) (Interval, error) {
	return around("shape", -math.Log(f.Spread), f.Covariance.LogSpread, confidence)
}

// ScaleInterval returns an interval for the scale, normal on its logarithm.
func (f Fit) ScaleInterval(confidence float64) (Interval, error) {
	return around("scale", f.Location, f.Covariance.Location, confidence)
}

// Quantile returns the time by which the fraction p has failed; B10 is the
// quantile of 0.1.
func (f Fit) Quantile(p float64) (float64, error) {
	w, err := f.Law.quantile(p)
	if err != nil {
		return 0, err
	}
	return finite("quantile", math.Exp(f.Location+f.Spread*w))
}

// QuantileInterval returns an interval for a quantile, normal on its logarithm,
// of variance Var mu + 2 sigma w Cov + (sigma w)^2 Var ln sigma, w the quantile
// of z (the delta method; Meeker and Escobar, 1998, 8.4.3).
func (f Fit) QuantileInterval(p, confidence float64) (Interval, error) {
	w, err := f.Law.quantile(p)
	if err != nil {
		return Interval{}, err
	}
	s := f.Spread * w
	variance := f.Covariance.Location + 2*s*f.Covariance.Cross + s*s*f.Covariance.LogSpread
	return around("quantile", f.Location+s, variance, confidence)
}

// around returns exp(log +- z sqrt(variance)).
func around(what string, log, variance, confidence float64) (Interval, error) {
	z, err := bothSides(confidence)
	if err != nil {
		return Interval{}, err
	}
	width := z * math.Sqrt(max(variance, 0))
	low, err := finite(what, math.Exp(log-width))
	if err != nil {
		return Interval{}, err
	}
	high, err := finite(what, math.Exp(log+width))
	return Interval{low, high}, err
}

// Survival returns the fraction that outlives a time of 0 or more.
func (f Fit) Survival(time float64) float64 { return math.Exp(f.logSurvival(time)) }

func (f Fit) logSurvival(time float64) float64 {
	if time <= 0 {
		return 0
	}
	return f.Law.logSurvival(f.z(time))
}

func (f Fit) z(time float64) float64 { return (math.Log(time) - f.Location) / f.Spread }

// Mean returns the mean life and the standard deviation of lives: of a Weibull
// law scale Gamma(1 + sigma) and the root of scale^2 (Gamma(1 + 2 sigma) -
// Gamma(1 + sigma)^2), of a lognormal one exp(mu + sigma^2/2) and the mean times
// the root of exp(sigma^2) - 1.
func (f Fit) Mean() (mean, sd float64, err error) {
	logMean, logRatio := f.Location+f.Spread*f.Spread/2, f.Spread*f.Spread
	if f.Law == Weibull {
		whole, _ := math.Lgamma(1 + f.Spread)
		logMean, logRatio = f.Location+whole, logGammaRatio(f.Spread)
	}
	if mean, err = finite("mean life", math.Exp(logMean)); err != nil {
		return 0, 0, err
	}
	sd, err = finite("standard deviation of lives", mean*math.Sqrt(math.Expm1(logRatio)))
	return mean, sd, err
}

// solve turns observed information into a covariance.
func (f *Fit) solve(location, cross, logSpread float64) error {
	if f.SpreadGiven {
		f.Covariance = Covariance{Location: 1 / location}
		return f.check()
	}
	// Scaled to a correlation first, so that nothing overflows.
	correlation := cross / math.Sqrt(location) / math.Sqrt(logSpread)
	rest := 1 - correlation*correlation
	if !(location > 0) || !(logSpread > 0) || !(rest > 1e-14) {
		return &stats.ArgumentError{Argument: "time", Err: fmt.Errorf("the lives do not determine location and spread: %w", ErrNoFit)}
	}
	f.Covariance = Covariance{
		Location: 1 / location / rest, LogSpread: 1 / logSpread / rest,
		Cross: -correlation / rest / math.Sqrt(location) / math.Sqrt(logSpread),
	}
	return f.check()
}

// check refuses a fit that ran out of the numbers.
func (f *Fit) check() error {
	c := f.Covariance
	for _, v := range []float64{f.Location, f.Spread, f.Scale(), f.Shape(), f.LogLikelihood, c.Location, c.Cross, c.LogSpread} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return &stats.ArgumentError{Argument: "time", Err: fmt.Errorf("%s law: %w", f.Law, stats.ErrNotFinite)}
		}
	}
	if f.Scale() == 0 || f.Spread == 0 {
		return &stats.ArgumentError{Argument: "time", Err: fmt.Errorf("%s law: %w", f.Law, ErrNoFit)}
	}
	return nil
}
