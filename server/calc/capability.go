package calc

import "tracewright/models/numbers/spc"

// capabilityKinds compare a process with its limits.
var capabilityKinds = []Kind{
	{
		Name:    "capability_normal",
		Does:    "Cp, Cpk, Cpm of a normal process against one limit or two, with intervals and shares outside",
		Source:  "ISO 22514-2; NIST/SEMATECH e-Handbook, 6.1.6; intervals: chi-square, Bissell 1990, Boyles 1991",
		Example: `{"mean":16,"sd":2,"lsl":8,"usl":20,"target":14,"n":50,"confidence":0.95,"in_control":true}`,
		Run:     of(capabilityNormal),
	},
	{
		Name:    "capability_percentile",
		Does:    "Pp and Ppk of a skewed process by the percentiles of its distribution, given or fitted to values",
		Source:  "ISO 22514-2 and ISO 22514-4; tails 1 - Phi(3); fits by maximum likelihood, of the normal and the lognormal by the standard deviation with n-1",
		Example: `{"dist":"weibull","shape":1.8,"scale":0.22,"lsl":null,"usl":0.6}`,
		Run:     of(capabilityPercentile),
	},
}

type normalCapabilityInput struct {
	Mean   float64  `json:"mean"`
	SD     float64  `json:"sd"`
	LSL    *float64 `json:"lsl,omitempty"`
	USL    *float64 `json:"usl,omitempty"`
	Target *float64 `json:"target,omitempty"`
	N      int      `json:"n"`
	// Of a spread that a chart found; those of n values where left out.
	Degrees    *float64 `json:"degrees,omitempty"`
	Confidence float64  `json:"confidence"`
	InControl  *bool    `json:"in_control,omitempty"`
}

type normalCapabilityAnswer struct {
	Control     spc.Control `json:"control"`
	Cp          *float64    `json:"cp"`
	CpInterval  *[2]float64 `json:"cp_ci"`
	CpU         *float64    `json:"cpu"`
	CpL         *float64    `json:"cpl"`
	Cpk         float64     `json:"cpk"`
	CpkInterval [2]float64  `json:"cpk_ci_bissell"`
	CpkAtLeast  float64     `json:"cpk_lower_one_sided_bissell"`
	Cpm         *float64    `json:"cpm"`
	CpmDegrees  *float64    `json:"cpm_nu"`
	CpmInterval *[2]float64 `json:"cpm_ci_boyles"`
	Cpmk        *float64    `json:"cpmk"`
	K           *float64    `json:"k_index"`
	PPMAbove    float64     `json:"ppm_above"`
	PPMBelow    float64     `json:"ppm_below"`
	PPMTotal    float64     `json:"ppm_total"`
	Z           *float64    `json:"z_equivalent"`
	// Under spc.FewestForFittedTails values the parts per million are a guess.
	TailsSupported bool `json:"tails_supported"`
}

// controlOf is the code that stands beside every index.
func controlOf(said *bool) spc.Control {
	switch {
	case said == nil:
		return spc.ControlNotShown
	case *said:
		return spc.InControl
	}
	return spc.NotInControl
}

// toleranceFields are the names of limits in an input.
var toleranceFields = []string{"low", "lsl", "high", "usl", "low, high", "lsl, usl"}

func capabilityNormal(in normalCapabilityInput) (normalCapabilityAnswer, error) {
	process := spc.NormalProcess{Mean: in.Mean, SD: in.SD, N: in.N}
	if in.Degrees != nil {
		if process.Degrees = *in.Degrees; process.Degrees == 0 {
			return normalCapabilityAnswer{}, &Failure{Field: "degrees", Problem: "must be above 0"}
		}
	}
	c, err := spc.NormalCapabilityOf(process, spc.Tolerance{Low: in.LSL, High: in.USL, Target: in.Target}, in.Confidence)
	if err != nil {
		return normalCapabilityAnswer{}, argument("", "input", err, append([]string{"degrees of freedom", "degrees"}, toleranceFields...)...)
	}
	const million = 1e6
	answer := normalCapabilityAnswer{
		Control: controlOf(in.InControl), CpU: c.CpkHigh, CpL: c.CpkLow,
		Cpk: c.Cpk.Value, CpkInterval: *ends(&c.Cpk), CpkAtLeast: c.CpkAtLeast,
		CpmDegrees: c.CpmDegrees, Cpmk: c.Cpmk, K: c.OffCentre,
		PPMAbove: million * c.Above, PPMBelow: million * c.Below, PPMTotal: million * (c.Above + c.Below), Z: c.Z,
		TailsSupported: in.N >= spc.FewestForFittedTails,
	}
	if c.Cp != nil {
		answer.Cp, answer.CpInterval = &c.Cp.Value, ends(c.Cp)
	}
	if c.Cpm != nil {
		answer.Cpm, answer.CpmInterval = &c.Cpm.Value, ends(c.Cpm)
	}
	return answer, nil
}

// ends returns the interval of an index as a pair, nil where there is none.
func ends(i *spc.Index) *[2]float64 {
	if i == nil || i.Interval == nil {
		return nil
	}
	return &[2]float64{i.Interval.Low, i.Interval.High}
}
