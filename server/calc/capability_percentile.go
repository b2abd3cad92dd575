package calc

import (
	"errors"
	"slices"

	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// shapeParameters are the parameters of all shapes together; each has some.
type shapeParameters struct {
	Mean     *float64 `json:"mean,omitempty"`
	Mu       *float64 `json:"mu,omitempty"`
	Sigma    *float64 `json:"sigma,omitempty"`
	Shape    *float64 `json:"shape,omitempty"`
	Scale    *float64 `json:"scale,omitempty"`
	Location *float64 `json:"location,omitempty"`
	Lambda   *float64 `json:"lambda,omitempty"`
}

// namedParameter is one field of shapeParameters.
type namedParameter struct {
	name  string
	value **float64
}

func (p *shapeParameters) fields() []namedParameter {
	return []namedParameter{
		{"mean", &p.Mean}, {"mu", &p.Mu}, {"sigma", &p.Sigma}, {"shape", &p.Shape}, {"scale", &p.Scale},
		{"location", &p.Location}, {"lambda", &p.Lambda},
	}
}

type percentileInput struct {
	Dist stats.Shape `json:"dist"`
	// Either the values, or the parameters of the shape.
	X []float64 `json:"x,omitempty"`
	shapeParameters
	LSL        *float64 `json:"lsl,omitempty"`
	USL        *float64 `json:"usl,omitempty"`
	Confidence *float64 `json:"confidence,omitempty"`
	InControl  *bool    `json:"in_control,omitempty"`
}

type percentileAnswer struct {
	Control spc.Control `json:"control"`
	Low     float64     `json:"x_0.135"`
	Median  float64     `json:"x_50"`
	High    float64     `json:"x_99.865"`
	Pp      *float64    `json:"pp"`
	PpkL    *float64    `json:"ppk_l"`
	PpkU    *float64    `json:"ppk_u"`
	Ppk     float64     `json:"ppk"`
	shapeParameters
	*fittedAnswer // Only where values were given, enough for an interval.
}

// fittedAnswer is what values say beyond the parameters found from them.
type fittedAnswer struct {
	N           int         `json:"n"`
	Provisional bool        `json:"provisional"`
	PpInterval  *[2]float64 `json:"pp_ci"`
	PpkInterval *[2]float64 `json:"ppk_ci"`
	FitDistance float64     `json:"fit_distance"`
	FitLimit    float64     `json:"fit_limit"`
	FitDoubtful bool        `json:"fit_doubtful"`
	// Values outside, the exact interval of their share, and from
	// spc.FewestForFittedTails values on the share of the fitted distribution.
	OutsideBelow int        `json:"outside_below"`
	OutsideAbove int        `json:"outside_above"`
	OutsideShare [2]float64 `json:"outside_share_ci"`
	FittedBelow  *float64   `json:"fitted_share_below"`
	FittedAbove  *float64   `json:"fitted_share_above"`
}

func capabilityPercentile(in percentileInput) (percentileAnswer, error) {
	names, err := in.Dist.Parameters()
	if err != nil {
		return percentileAnswer{}, argument("", "dist", err, "shape", "dist")
	}
	tolerance := spc.Tolerance{Low: in.LSL, High: in.USL}
	renamed := append([]string{"distribution", "dist", "values", "x"}, toleranceFields...)
	var distribution stats.Distribution
	var fitted *fittedAnswer
	if in.X != nil {
		distribution, fitted, err = in.fromValues(tolerance)
	} else {
		distribution, err = in.fromParameters(names)
	}
	var failure *Failure
	switch {
	case errors.As(err, &failure):
		return percentileAnswer{}, failure
	case err != nil:
		return percentileAnswer{}, argument("", "x", err, renamed...)
	}
	p, err := spc.PercentileCapability(distribution, tolerance)
	if err != nil {
		return percentileAnswer{}, argument("", "dist", err, renamed...)
	}
	answer := percentileAnswer{
		Control: controlOf(in.InControl), Low: p.Low, Median: p.Median, High: p.High,
		Pp: p.Pp, PpkL: p.PpkLow, PpkU: p.PpkHigh, Ppk: p.Ppk, fittedAnswer: fitted,
	}
	for _, parameter := range distribution.Parameters() {
		for _, field := range answer.fields() {
			if field.name == parameter.Name {
				*field.value = &parameter.Value
			}
		}
	}
	return answer, nil
}

// fromParameters wants every parameter of the shape, and none of another.
func (in *percentileInput) fromParameters(names []string) (stats.Distribution, error) {
	values := make([]float64, len(names))
	for _, field := range in.fields() {
		switch i := slices.Index(names, field.name); {
		case i < 0 && *field.value != nil:
			return stats.Distribution{}, &Failure{Field: field.name, Problem: "is no parameter of " + string(in.Dist)}
		case i >= 0 && *field.value == nil:
			return stats.Distribution{}, &Failure{Field: field.name, Problem: "is missing, and so are values in x"}
		case i >= 0:
			values[i] = **field.value
		}
	}
	if in.Confidence != nil {
		return stats.Distribution{}, &Failure{Field: "confidence", Problem: "belongs to values in x"}
	}
	return stats.NewDistribution(in.Dist, values...)
}

func (in *percentileInput) fromValues(tolerance spc.Tolerance) (stats.Distribution, *fittedAnswer, error) {
	for _, field := range in.fields() {
		if *field.value != nil {
			return stats.Distribution{}, nil, &Failure{Field: field.name, Problem: "is found from the values in x"}
		}
	}
	q := spc.CapabilityQuestion{
		Values: in.X, Tolerance: tolerance, Control: controlOf(in.InControl), Shape: in.Dist, Confidence: spc.UsualConfidence,
	}
	if in.Confidence != nil {
		if q.Confidence = *in.Confidence; q.Confidence == 0 {
			return stats.Distribution{}, nil, &Failure{Field: "confidence", Problem: "must lie between 0 and 1"}
		}
	}
	if n := len(in.X); n > 1 && n < spc.FewestForCapability {
		// Too few for an index with an interval; of the percentiles the fit is what there is.
		d, err := stats.Fit(in.Dist, in.X)
		return d, nil, err
	}
	r, err := spc.Capability(q)
	if err != nil {
		return stats.Distribution{}, nil, err
	}
	return r.Fitted, &fittedAnswer{
		N: r.N, Provisional: r.Provisional, PpInterval: ends(r.Pp), PpkInterval: ends(&r.Ppk),
		FitDistance: r.Goodness.Distance, FitLimit: r.Goodness.Limit, FitDoubtful: r.Goodness.Doubtful,
		OutsideBelow: r.Outside.Below, OutsideAbove: r.Outside.Above,
		OutsideShare: [2]float64{r.Outside.Counted.Low, r.Outside.Counted.High},
		FittedBelow:  r.Outside.FittedBelow, FittedAbove: r.Outside.FittedAbove,
	}, nil
}
