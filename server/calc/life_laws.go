package calc

import (
	"errors"
	"fmt"
	"strings"

	"tracewright/models/numbers/life"
	"tracewright/models/numbers/stats"
)

// lawKinds fit a law to lives.
var lawKinds = []Kind{
	{
		Name:    "life_fit",
		Does:    "Weibull, lognormal and exponential law by maximum likelihood with right censoring, B10, B50, mean life, AIC",
		Source:  "Cohen 1965; Burridge 1981; Meeker and Escobar, Statistical Methods for Reliability Data, 1998, chapter 8",
		Example: `{"time":[54,187,216,240,244,335,361,500],"event":[1,1,1,1,1,1,1,0],"frequency":[1,1,1,1,1,1,1,10]}`,
		Run:     of(lifeFit),
	},
	{
		Name:    "weibull_fit",
		Does:    "Weibull law of lives and the failures to expect among the units still running, with intervals",
		Source:  "Cohen, Technometrics 7, 1965; Nelson, Journal of Quality Technology 17, 1985, where the shape is given",
		Example: `{"obs_t_event":[[2.1,1],[4.4,1],[5,1],[7.7,1],[8.3,1],[12,0],[12,0]],"horizon":6}`,
		Run:     of(weibullFit),
	},
}

// Fewer failures make no statement about the shape: the figures are given, and
// the code beside them.
const (
	fewFailures     = "FEW_FAILURES"
	fewFailuresText = "fewer than 5 failures: the shape is not a finding, assume one and look at the range"
)

// Where all failures are at the longest life, the likelihood of a law with a shape
// grows without end the narrower it is: only the exponential law is given.
const (
	noSpread     = "NO_SPREAD"
	noSpreadText = "all failures at the longest life: no shape can be fitted, the exponential law alone is given"
)

// lifeFitAnswer holds each law by itself; one that cannot be fitted is left out.
type lifeFitAnswer struct {
	*weibullFigures
	*lognormalFigures
	ExponentialMean float64 `json:"exponential_mean"`
	ExponentialLog  float64 `json:"exponential_loglik"`
	ExponentialAIC  float64 `json:"exponential_aic"`

	Failures int    `json:"failures"`
	Units    int    `json:"units"`
	Code     string `json:"code,omitempty"`
	Warning  string `json:"warning,omitempty"`
}

type lognormalFigures struct {
	LognormalMu    float64 `json:"lognormal_mu"`
	LognormalSigma float64 `json:"lognormal_sigma"`
	LognormalLog   float64 `json:"lognormal_loglik"`
	LognormalAIC   float64 `json:"lognormal_aic"`
}

type weibullFigures struct {
	Shape         float64  `json:"shape"`
	Scale         float64  `json:"scale"`
	Location      float64  `json:"mu_log_scale"`
	Spread        float64  `json:"sigma_1_over_shape"`
	LogLikelihood float64  `json:"loglik"`
	AIC           float64  `json:"aic"`
	VarLocation   float64  `json:"var_mu"`
	Covariance    float64  `json:"cov_mu_logsigma"`
	VarLogSpread  float64  `json:"var_logsigma"`
	MeanLife      *float64 `json:"mean_life"` // null where it is beyond all numbers.
	SDLife        *float64 `json:"sd_life"`
	B10           float64  `json:"B10"`
	B50           float64  `json:"B50"`
	// Intervals, normal on the logarithm; null where they are beyond all numbers.
	ShapeBounds *[2]float64 `json:"shape_ci95_wald_log"`
	ScaleBounds *[2]float64 `json:"scale_ci95_wald_log"`
	B10Bounds   *[2]float64 `json:"B10_ci95_wald_log"`
	B50Bounds   *[2]float64 `json:"B50_ci95_wald_log"`
}

func lifeFit(in livesInput) (lifeFitAnswer, error) {
	lives, err := in.lives()
	if err != nil {
		return lifeFitAnswer{}, err
	}
	exponential, err := life.FitExponential(lives)
	if err != nil {
		return lifeFitAnswer{}, lifeFailure("time", err)
	}
	answer := lifeFitAnswer{
		ExponentialMean: exponential.Scale(), ExponentialLog: exponential.LogLikelihood, ExponentialAIC: exponential.AIC(),
		Failures: exponential.Failures, Units: exponential.Units,
	}
	weibull, err := life.FitWeibull(lives)
	if errors.Is(err, stats.ErrNoSpread) {
		answer.Code, answer.Warning = noSpread, noSpreadText
		return answer, nil
	}
	if err != nil {
		return lifeFitAnswer{}, lifeFailure("time", err)
	}
	lognormal, err := life.FitLognormal(lives)
	if err != nil {
		return lifeFitAnswer{}, lifeFailure("time", err)
	}
	answer.lognormalFigures = &lognormalFigures{
		LognormalMu: lognormal.Location, LognormalSigma: lognormal.Spread,
		LognormalLog: lognormal.LogLikelihood, LognormalAIC: lognormal.AIC(),
	}
	if weibull.FewFailures() {
		answer.Code, answer.Warning = fewFailures, fewFailuresText
	}
	answer.weibullFigures = &weibullFigures{}
	if err := answer.fill(weibull); err != nil {
		return lifeFitAnswer{}, lifeFailure("time", err)
	}
	return answer, nil
}

func (a *weibullFigures) fill(f life.Fit) error {
	a.Shape, a.Scale, a.Location, a.Spread = f.Shape(), f.Scale(), f.Location, f.Spread
	a.LogLikelihood, a.AIC = f.LogLikelihood, f.AIC()
	a.VarLocation, a.Covariance, a.VarLogSpread = f.Covariance.Location, f.Covariance.Cross, f.Covariance.LogSpread
	if mean, sd, err := f.Mean(); err == nil {
		a.MeanLife, a.SDLife = &mean, &sd
	}
	var err error
	if a.B10, err = f.Quantile(0.1); err != nil {
		return err
	}
	if a.B50, err = f.Quantile(0.5); err != nil {
		return err
	}
	a.ShapeBounds, a.ScaleBounds = bounds(f.ShapeInterval(confidence95)), bounds(f.ScaleInterval(confidence95))
	a.B10Bounds, a.B50Bounds = bounds(f.QuantileInterval(0.1, confidence95)), bounds(f.QuantileInterval(0.5, confidence95))
	return nil
}

// bounds returns an interval, or null where it has none.
func bounds(i life.Interval, err error) *[2]float64 {
	if err != nil {
		return nil
	}
	return &[2]float64{i.Low, i.High}
}

// pairFailure names the field of an error about lives given as pairs.
func pairFailure(err error) error {
	failure := lifeFailure("obs_t_event", err)
	var f *Failure
	if !errors.As(failure, &f) {
		return failure
	}
	switch {
	case strings.HasPrefix(f.Field, "time["):
		return &Failure{Code: f.Code, Field: "obs_t_event" + strings.TrimPrefix(f.Field, "time") + "[0]", Problem: f.Problem}
	case f.Field == "time" || f.Field == "event" || f.Field == "frequency":
		return &Failure{Code: f.Code, Field: "obs_t_event", Problem: f.Problem}
	}
	return f
}

type weibullFitInput struct {
	Lives   pairs    `json:"obs_t_event"`
	Horizon float64  `json:"horizon"`
	Shape   *float64 `json:"shape,omitempty"` // Assumed; found from the lives where it is not given.
}

type weibullFitAnswer struct {
	Shape       *float64    `json:"shape"` // null, as what follows, where nothing has failed.
	ShapeGiven  bool        `json:"shape_given"`
	Scale       *float64    `json:"scale"`
	ShapeBounds *[2]float64 `json:"shape_ci95"`
	ScaleBounds *[2]float64 `json:"scale_ci95"`
	StillOut    int         `json:"still_out"`
	Expected    *float64    `json:"expected_returns_in_horizon"`
	// Bounds of the expected number, and of the number that will be counted.
	ExpectedBounds *[2]float64 `json:"expected_returns_ci95"`
	Counted        *[2]int     `json:"returns_counted_95"`
	Failures       int         `json:"failures"`
	Code           string      `json:"code,omitempty"`
	Warning        string      `json:"warning,omitempty"`
	// What few failures say for a shape below, at and above chance.
	Assumed []assumedShape `json:"by_assumed_shape,omitempty"`
}

type assumedShape struct {
	Shape          float64    `json:"shape"`
	Scale          *float64   `json:"scale"` // null where nothing has failed.
	ScaleLow       float64    `json:"scale_ci95_lower"`
	ScaleHigh      *float64   `json:"scale_ci95_upper"`
	Expected       *float64   `json:"expected_returns_in_horizon"`
	ExpectedBounds [2]float64 `json:"expected_returns_ci95"`
	Counted        [2]int     `json:"returns_counted_95"`
}

func weibullFit(in weibullFitInput) (weibullFitAnswer, error) {
	lives, err := in.Lives.lives()
	if err != nil {
		return weibullFitAnswer{}, err
	}
	if in.Shape != nil {
		return givenShape(lives, *in.Shape, in.Horizon)
	}
	fit, err := life.FitWeibull(lives)
	if err != nil {
		return weibullFitAnswer{}, pairFailure(err)
	}
	forecast, err := fit.Forecast(lives, in.Horizon, confidence95)
	if err != nil {
		return weibullFitAnswer{}, pairFailure(err)
	}
	shape, scale := fit.Shape(), fit.Scale()
	answer := weibullFitAnswer{
		Shape: &shape, Scale: &scale, Failures: fit.Failures, StillOut: forecast.StillOut, Expected: &forecast.Expected,
		ShapeBounds: bounds(fit.ShapeInterval(confidence95)), ScaleBounds: bounds(fit.ScaleInterval(confidence95)),
		ExpectedBounds: &[2]float64{forecast.Mean.Low, forecast.Mean.High}, Counted: &[2]int{forecast.Low, forecast.High},
	}
	if !fit.FewFailures() {
		return answer, nil
	}
	answer.Code, answer.Warning = fewFailures, fewFailuresText
	for _, shape := range []float64{0.5, 1, 2} {
		row, err := assume(lives, shape, in.Horizon)
		if err != nil {
			return weibullFitAnswer{}, pairFailure(fmt.Errorf("shape %v: %w", shape, err))
		}
		answer.Assumed = append(answer.Assumed, row)
	}
	return answer, nil
}

// givenShape answers for a shape that is assumed, also where nothing has failed.
func givenShape(lives []life.Observation, shape, horizon float64) (weibullFitAnswer, error) {
	row, err := assume(lives, shape, horizon)
	if err != nil {
		return weibullFitAnswer{}, pairFailure(err)
	}
	answer := weibullFitAnswer{
		Shape: &shape, ShapeGiven: true, Scale: row.Scale, Expected: row.Expected, ExpectedBounds: &row.ExpectedBounds,
		Counted: &row.Counted, Assumed: []assumedShape{row},
	}
	for _, l := range lives {
		if l.Failed {
			answer.Failures += l.Count
		} else {
			answer.StillOut += l.Count
		}
	}
	if row.ScaleHigh != nil {
		answer.ScaleBounds = &[2]float64{row.ScaleLow, *row.ScaleHigh}
	}
	return answer, nil
}

func assume(lives []life.Observation, shape, horizon float64) (assumedShape, error) {
	a, err := life.AssumedShape(lives, shape, confidence95)
	if err != nil {
		return assumedShape{}, err
	}
	forecast, err := a.Forecast(lives, horizon, confidence95)
	if err != nil {
		return assumedShape{}, err
	}
	return assumedShape{
		Shape: shape, Scale: known(a.Scale, a.ScaleKnown), ScaleLow: a.Low, ScaleHigh: known(a.High, a.ScaleKnown),
		Expected: known(forecast.Expected, a.ScaleKnown), ExpectedBounds: [2]float64{forecast.Mean.Low, forecast.Mean.High},
		Counted: [2]int{forecast.Low, forecast.High},
	}, nil
}
