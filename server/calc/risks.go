package calc

import (
	"errors"
	"math"

	"tracewright/models/numbers/conformity"
)

// riskKinds are the chances that a verdict is wrong.
var riskKinds = []Kind{
	{
		Name:    "conformance_probability",
		Does:    "probability that the true value keeps its limits, given what was measured",
		Source:  "JCGM 106:2012, 7.3 and 7.4; normal distribution of the true value",
		Example: `{"y":-5.47,"u":0.05,"tl":null,"tu":-5.40}`,
		Run:     of(conformanceProbability),
	},
	{
		Name:    "specific_risk_at_limit",
		Does:    "risk of false acceptance of a value right on its acceptance limit, guard band w = r x k x u",
		Source:  "JCGM 106:2012, 8.3.2; ILAC-G8:09/2019, table 1",
		Example: `{"r":1,"k":2,"sides":1}`,
		Run:     of(specificRiskAtLimit),
	},
	{
		Name:    "guard_for_risk",
		Does:    "guard band that keeps the risk of false acceptance below a wanted one, for one limit or two",
		Source:  "JCGM 106:2012, 8.3.2; with two limits both tails, by search",
		Example: `{"max_specific_risk":0.05,"u":0.02,"k":2}`,
		Run:     of(guardForRisk),
	},
	{
		Name:    "global_risks",
		Does:    "shares of a process falsely accepted and falsely rejected, acceptance limits inside by w",
		Source:  "JCGM 106:2012, 9.5.2 and 9.5.3; normal process and measurement, quadrature",
		Example: `{"process_mean":1500,"process_sd":0.12,"u":0.04,"tl":1499.8,"tu":1500.2,"w":0.08}`,
		Run:     of(globalRisks),
	},
}

// risk turns an error of conformity into a failure; others says which field is
// meant where it is neither a limit nor the uncertainty.
func risk(others string, err error) error {
	switch {
	case errors.Is(err, conformity.ErrNoAcceptanceZone):
		return &Failure{Code: string(conformity.Refused), Field: others, Problem: err.Error()}
	case errors.Is(err, conformity.ErrLimits):
		return refuse("tl, tu", err)
	case errors.Is(err, conformity.ErrUncertainty):
		return refuse("u", err)
	}
	return refuse(others, err)
}

type conformanceInput struct {
	Y  float64  `json:"y"`
	U  float64  `json:"u"`
	TL *float64 `json:"tl,omitempty"`
	TU *float64 `json:"tu,omitempty"`
}

type conformanceAnswer struct {
	P     float64 `json:"p"`
	Below float64 `json:"p_below"`
	Above float64 `json:"p_above"`
	// What each verdict would risk for this reading.
	IfAccepted float64  `json:"risk_if_accepted"`
	IfRejected float64  `json:"risk_if_rejected"`
	Cm         *float64 `json:"cm"` // null with one limit.
}

func conformanceProbability(in conformanceInput) (conformanceAnswer, error) {
	limits := conformity.Range{Low: in.TL, High: in.TU}
	c, err := conformity.ChanceOf(in.Y, in.U, limits)
	if err != nil {
		return conformanceAnswer{}, risk("y", err)
	}
	cm, err := measurementCapability(in.U, limits)
	if err != nil {
		return conformanceAnswer{}, err
	}
	return conformanceAnswer{
		P: c.Inside, Below: c.Below, Above: c.Above, IfAccepted: c.Outside(), IfRejected: c.Inside, Cm: cm,
	}, nil
}

// measurementCapability is null where there is one limit only.
func measurementCapability(u float64, limits conformity.Range) (*float64, error) {
	if limits.Low == nil || limits.High == nil {
		return nil, nil
	}
	cm, err := conformity.MeasurementCapability(u, limits)
	if err != nil {
		return nil, risk("u", err)
	}
	return &cm, nil
}

type atLimitInput struct {
	R     float64 `json:"r"`
	K     float64 `json:"k"`
	Sides int     `json:"sides"`
	// With two sides the distance of the limits in standard uncertainties counts; left
	// out they lie far apart, and the risk is that of the nearer one alone.
	Width *float64 `json:"width_over_u,omitempty"`
}

type atLimitAnswer struct {
	Risk float64 `json:"risk"`
}

func specificRiskAtLimit(in atLimitInput) (atLimitAnswer, error) {
	width := math.Inf(1)
	switch {
	case in.Sides != 1 && in.Sides != 2:
		return atLimitAnswer{}, &Failure{Field: "sides", Problem: "must be 1 or 2"}
	case in.Sides == 1 && in.Width != nil:
		return atLimitAnswer{}, &Failure{Field: "width_over_u", Problem: "belongs to two sides"}
	case in.Width != nil:
		width = *in.Width
	}
	at, err := conformity.RiskAtLimit(in.R, in.K, width)
	switch {
	case errors.Is(err, conformity.ErrLimits):
		return atLimitAnswer{}, refuse("width_over_u", err)
	case errors.Is(err, conformity.ErrRule):
		return atLimitAnswer{}, refuse("k", err)
	case err != nil:
		return atLimitAnswer{}, risk("r", err)
	}
	return atLimitAnswer{at}, nil
}

type guardInput struct {
	MaxRisk float64  `json:"max_specific_risk"`
	U       float64  `json:"u"`
	K       float64  `json:"k"`
	TL      *float64 `json:"tl,omitempty"`
	TU      *float64 `json:"tu,omitempty"`
}

type guardAnswer struct {
	W float64 `json:"w"`
	R float64 `json:"r"`
	// null where no limit was given; without any the band is that of one limit.
	AL *float64 `json:"al"`
	AU *float64 `json:"au"`
	Cm *float64 `json:"cm"`
}

func guardForRisk(in guardInput) (guardAnswer, error) {
	limits := conformity.Range{Low: in.TL, High: in.TU}
	if in.TL == nil && in.TU == nil {
		limits.High = new(float64) // One limit, wherever it lies.
	}
	w, err := conformity.GuardBand(in.U, in.MaxRisk, limits)
	if err != nil {
		return guardAnswer{}, risk("max_specific_risk", err)
	}
	answer := guardAnswer{W: w}
	if answer.R, err = conformity.GuardFactor(w, in.U, in.K); err != nil {
		return guardAnswer{}, risk("k", err)
	}
	if answer.Cm, err = measurementCapability(in.U, limits); err != nil {
		return guardAnswer{}, err
	}
	if in.TL == nil && in.TU == nil {
		return answer, nil
	}
	accepted, err := limits.Inward(w)
	if err != nil {
		return guardAnswer{}, risk("tl, tu", err)
	}
	answer.AL, answer.AU = accepted.Low, accepted.High
	return answer, nil
}

type globalInput struct {
	Mean float64  `json:"process_mean"`
	SD   float64  `json:"process_sd"`
	U    float64  `json:"u"`
	TL   *float64 `json:"tl,omitempty"`
	TU   *float64 `json:"tu,omitempty"`
	W    float64  `json:"w"`
}

type globalAnswer struct {
	Consumer   float64  `json:"rc"`
	Producer   float64  `json:"rp"`
	Conforming float64  `json:"p_conforming"`
	Accepted   float64  `json:"p_accepted"`
	Cm         *float64 `json:"cm"` // null with one limit.
}

func globalRisks(in globalInput) (globalAnswer, error) {
	limits := conformity.Range{Low: in.TL, High: in.TU}
	r, err := conformity.GlobalRisks(conformity.Process{Mean: in.Mean, SD: in.SD}, in.U, in.W, limits)
	switch {
	case errors.Is(err, conformity.ErrProcess):
		return globalAnswer{}, refuse("process_sd", err)
	case err != nil:
		return globalAnswer{}, risk("w", err)
	}
	cm, err := measurementCapability(in.U, limits)
	if err != nil {
		return globalAnswer{}, err
	}
	return globalAnswer{Consumer: r.Consumer, Producer: r.Producer, Conforming: r.Conforming, Accepted: r.Accepted, Cm: cm}, nil
}
