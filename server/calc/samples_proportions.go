package calc

import "tracewright/models/numbers/stats"

// proportionKinds are intervals of shares, counts and rates.
var proportionKinds = []Kind{
	{
		Name:    "binomial_interval",
		Does:    "confidence intervals of a proportion: exact, Wilson, Jeffreys, and exact one-sided bounds",
		Source:  "Clopper and Pearson 1934; Wilson 1927; Jeffreys prior; NIST/SEMATECH e-Handbook, 7.2.4.1",
		Example: `{"x":4,"n":20,"confidence":0.9}`,
		Run:     of(binomialInterval),
	},
	{
		Name:    "proportion_ci95",
		Does:    "95 % intervals of a rate of k in n, and of the expected count behind k",
		Source:  "Wilson 1927; Clopper and Pearson 1934; Garwood 1936",
		Example: `{"k":2,"n":40}`,
		Run:     of(proportionInterval95),
	},
	{
		Name:    "poisson_interval",
		Does:    "exact confidence intervals of a count of events and of its rate",
		Source:  "Garwood 1936, by chi-square quantiles",
		Example: `{"count":10,"exposure":2.5,"confidence":0.9}`,
		Run:     of(poissonInterval),
	},
	{
		Name:    "mtbf_interval",
		Does:    "mean time between failures with its interval, for a test that ends at a fixed time",
		Source:  "NIST/SEMATECH e-Handbook, 8.4.5.1",
		Example: `{"total_time":5000,"failures":2,"confidence":0.9}`,
		Run:     of(mtbfInterval),
	},
}

type binomialIntervalInput struct {
	X          int     `json:"x"`
	N          int     `json:"n"`
	Confidence float64 `json:"confidence"`
}

type binomialIntervalAnswer struct {
	P         float64    `json:"p_hat"`
	Exact     [2]float64 `json:"clopper_pearson"`
	Wilson    [2]float64 `json:"wilson"`
	Jeffreys  [2]float64 `json:"jeffreys"`
	ExactHigh float64    `json:"upper_one_sided_exact"`
	ExactLow  float64    `json:"lower_one_sided_exact"`
}

func binomialInterval(in binomialIntervalInput) (binomialIntervalAnswer, error) {
	i, err := stats.ProportionIntervalsOf(in.X, in.N, in.Confidence)
	if err != nil {
		return binomialIntervalAnswer{}, argument("", "x", err)
	}
	return binomialIntervalAnswer{
		P: i.Estimate, Exact: pair(i.Exact), Wilson: pair(i.Wilson), Jeffreys: pair(i.Jeffreys),
		ExactHigh: i.ExactHigh, ExactLow: i.ExactLow,
	}, nil
}

// pair writes an interval that is closed on both sides.
func pair(i stats.Interval) [2]float64 { return [2]float64{i.Low, i.High} }

type proportionInput struct {
	K int `json:"k"`
	N int `json:"n"`
}

type proportionAnswer struct {
	P      float64    `json:"p"`
	Wilson [2]float64 `json:"wilson"`
	Exact  [2]float64 `json:"clopper_pearson"`
	Count  [2]float64 `json:"poisson_count"`
}

func proportionInterval95(in proportionInput) (proportionAnswer, error) {
	i, err := stats.ProportionIntervalsOf(in.K, in.N, 0.95)
	if err != nil {
		return proportionAnswer{}, argument("", "k", err, "x", "k")
	}
	counts, err := stats.CountIntervalsOf(in.K, 0.95)
	if err != nil {
		return proportionAnswer{}, argument("", "k", err, "count", "k")
	}
	return proportionAnswer{P: i.Estimate, Wilson: pair(i.Wilson), Exact: pair(i.Exact), Count: pair(counts.TwoSided)}, nil
}

type poissonIntervalInput struct {
	Count      int     `json:"count"`
	Exposure   float64 `json:"exposure"`
	Confidence float64 `json:"confidence"`
}

type poissonIntervalAnswer struct {
	Rate  float64    `json:"rate"`
	Count [2]float64 `json:"garwood_count"`
	Rates [2]float64 `json:"garwood_rate"`
	High  float64    `json:"upper_one_sided_count"`
	Low   float64    `json:"lower_one_sided_count"`
}

func poissonInterval(in poissonIntervalInput) (poissonIntervalAnswer, error) {
	rate, counts, err := stats.RateIntervalOf(in.Count, in.Exposure, in.Confidence)
	if err != nil {
		return poissonIntervalAnswer{}, argument("", "count", err)
	}
	return poissonIntervalAnswer{
		Rate: rate.Estimate, Rates: pair(rate.TwoSided),
		Count: pair(counts.TwoSided), High: counts.High, Low: counts.Low,
	}, nil
}

type mtbfInput struct {
	TotalTime  float64 `json:"total_time"`
	Failures   int     `json:"failures"`
	Confidence float64 `json:"confidence"`
}

type mtbfAnswer struct {
	MTBF     *float64 `json:"mtbf"` // Null without a failure.
	TwoSided [2]any   `json:"two_sided"`
	Low      float64  `json:"lower_one_sided"`
}

func mtbfInterval(in mtbfInput) (mtbfAnswer, error) {
	m, err := stats.MTBFOf(in.TotalTime, in.Failures, in.Confidence)
	if err != nil {
		return mtbfAnswer{}, argument("", "total_time", err)
	}
	answer := mtbfAnswer{TwoSided: [2]any{m.TwoSided.Low, nil}, Low: m.Low}
	if m.EstimateKnown {
		answer.MTBF = &m.Estimate
	}
	if !m.TwoSided.OpenHigh {
		answer.TwoSided[1] = m.TwoSided.High
	}
	return answer, nil
}
