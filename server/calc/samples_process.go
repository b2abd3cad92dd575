package calc

import "tracewright/models/numbers/stats"

// processKinds are intervals for a normal process.
var processKinds = []Kind{
	{
		Name:    "mean_sd_interval",
		Does:    "confidence intervals of mean and standard deviation of a normal process",
		Source:  "NIST/SEMATECH e-Handbook, 1.3.5.2 and 7.2.3.1",
		Example: `{"x":[12.86,12.87,12.85,12.88,12.86],"confidence":0.95}`,
		Run:     of(meanSDInterval),
	},
	{
		Name:    "tolerance_factors",
		Does:    "factors of normal tolerance intervals, one and two-sided, exact and by the usual approximations",
		Source:  "non-central t; Odeh and Owen 1980; Natrella 1963; Howe 1969; NIST/SEMATECH e-Handbook, 7.2.6.3",
		Example: `{"n":43,"coverage":0.9,"confidence":0.99,"mean":97.07,"sd":0.0268}`,
		Run:     of(toleranceFactors),
	},
	{
		Name:    "pooled_sd",
		Does:    "standard deviation pooled from sums of squares and their degrees of freedom",
		Source:  "NIST/SEMATECH e-Handbook, 2.4.4.4",
		Example: `{"ss":[0.48115,0.69209],"df":[60,60]}`,
		Run:     of(pooledSD),
	},
	{
		Name:    "mean_covariance",
		Does:    "mean vector and covariance matrix (n-1) of rows of readings",
		Source:  "NIST/SEMATECH e-Handbook, 6.5.4.1",
		Example: `{"x":[[4.0,2.0,0.60],[4.2,2.1,0.59],[3.9,2.0,0.58],[4.3,2.1,0.62],[4.1,2.2,0.63]]}`,
		Run:     of(meanCovariance),
	},
}

type meanSDInput struct {
	X          []float64 `json:"x"`
	Confidence float64   `json:"confidence"`
}

type meanSDAnswer struct {
	Mean         float64    `json:"mean"`
	SD           float64    `json:"sd"`
	MeanInterval [2]float64 `json:"mean_ci"`
	SDInterval   [2]float64 `json:"sd_ci"`
}

func meanSDInterval(in meanSDInput) (meanSDAnswer, error) {
	s, err := stats.Summarise(in.X)
	if err != nil {
		return meanSDAnswer{}, argument("", "x", err)
	}
	if s.SD == 0 {
		return meanSDAnswer{}, refuse("x", stats.ErrNoSpread)
	}
	mean, err := stats.MeanInterval(in.X, in.Confidence)
	if err != nil {
		return meanSDAnswer{}, argument("", "x", err)
	}
	sd, err := stats.SDInterval(s.SD, float64(s.N-1), in.Confidence)
	if err != nil {
		return meanSDAnswer{}, argument("", "x", err)
	}
	return meanSDAnswer{Mean: s.Mean, SD: s.SD, MeanInterval: pair(mean), SDInterval: pair(sd)}, nil
}

type toleranceInput struct {
	N          int      `json:"n"`
	Coverage   float64  `json:"coverage"`
	Confidence float64  `json:"confidence"`
	Mean       *float64 `json:"mean,omitempty"`
	SD         *float64 `json:"sd,omitempty"`
}

type toleranceAnswer struct {
	OneSided         float64     `json:"k1_exact_noncentral_t"`
	OneSidedNatrella *float64    `json:"k1_natrella_approx"` // Null where the sample is too small for it.
	TwoSided         float64     `json:"k2_exact"`
	TwoSidedHowe     float64     `json:"k2_howe"`
	IntervalExact    *[2]float64 `json:"two_sided_exact"` // Null without mean and sd.
	IntervalHowe     *[2]float64 `json:"two_sided_howe"`
	UpperExact       *float64    `json:"upper_one_sided_exact"`
	UpperNatrella    *float64    `json:"upper_one_sided_natrella"`
}

func toleranceFactors(in toleranceInput) (toleranceAnswer, error) {
	f, err := stats.ToleranceFactorsOf(in.N, in.Coverage, in.Confidence)
	if err != nil {
		return toleranceAnswer{}, argument("", "n", err)
	}
	answer := toleranceAnswer{OneSided: f.OneSided, TwoSided: f.TwoSided, TwoSidedHowe: f.TwoSidedHowe}
	if f.OneSidedNatrellaKnown {
		answer.OneSidedNatrella = &f.OneSidedNatrella
	}
	if in.Mean == nil && in.SD == nil {
		return answer, nil
	}
	for field, given := range map[string]*float64{"mean": in.Mean, "sd": in.SD} {
		if given == nil {
			return toleranceAnswer{}, &Failure{Field: field, Problem: "mean and sd are given together or not at all"}
		}
	}
	limits, err := f.Around(*in.Mean, *in.SD)
	if err != nil {
		return toleranceAnswer{}, argument("", "sd", err)
	}
	exact, howe := pair(limits.TwoSided), pair(limits.TwoSidedHowe)
	answer.IntervalExact, answer.IntervalHowe, answer.UpperExact = &exact, &howe, &limits.Upper
	if f.OneSidedNatrellaKnown {
		answer.UpperNatrella = &limits.UpperNatrella
	}
	return answer, nil
}

type pooledInput struct {
	SS []float64 `json:"ss"`
	DF []float64 `json:"df"`
}

type pooledAnswer struct {
	SS float64 `json:"ss_total"`
	DF float64 `json:"df_total"`
	SD float64 `json:"s1"`
}

func pooledSD(in pooledInput) (pooledAnswer, error) {
	p, err := stats.Pool(in.SS, in.DF)
	if err != nil {
		return pooledAnswer{}, argument("", "ss", err)
	}
	return pooledAnswer{SS: p.Squares, DF: p.DF, SD: p.SD}, nil
}

type rowsInput struct {
	X [][]float64 `json:"x"`
}

type meanCovarianceAnswer struct {
	Mean       []float64   `json:"mean"`
	Covariance [][]float64 `json:"cov"`
}

func meanCovariance(in rowsInput) (meanCovarianceAnswer, error) {
	mean, covariance, err := stats.MeanCovariance(in.X)
	if err != nil {
		return meanCovarianceAnswer{}, argument("", "x", err)
	}
	return meanCovarianceAnswer{Mean: mean, Covariance: covariance}, nil
}
