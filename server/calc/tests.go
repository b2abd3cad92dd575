package calc

import "tracewright/models/numbers/stats"

// testKinds compare groups.
var testKinds = []Kind{
	{
		Name:    "oneway_anova",
		Does:    "one-way analysis of variance, with the component of variance between groups, cut at 0 (as estimated, it stands in between_variance_component_raw)",
		Source:  "NIST/SEMATECH e-Handbook, 7.4.3.3 and 3.2.3.1; certified data of the NIST Statistical Reference Datasets",
		Example: `{"groups":[[6.9,5.4,5.8,4.6,4.0],[8.3,6.8,7.8,9.2,6.5],[8.0,10.5,8.1,6.9,9.3]]}`,
		Run:     of(onewayAnova),
	},
	{
		Name:    "variance_tests",
		Does:    "tests of equal spread (Bartlett, Levene about medians), with the analysis of variance of the same groups",
		Source:  "NIST/SEMATECH e-Handbook, 1.3.5.7 and 1.3.5.10; Brown and Forsythe 1974",
		Example: `{"groups":[[1.006,0.996,0.998,1.000],[0.998,1.006,1.000,0.988],[0.991,0.987,0.997,0.999]]}`,
		Run:     of(varianceTests),
	},
	{
		Name:    "anom_means",
		Does:    "analysis of means: which group means differ from the mean of all, with exact limits",
		Source:  "Ott 1967; Nelson 1982; Nelson, Wludyka and Copeland 2005",
		Example: `{"groups":[[6.9,5.4,5.8,4.6,4.0],[8.3,6.8,7.8,9.2,6.5],[8.0,10.5,8.1,6.9,9.3]],"alpha":0.05}`,
		Run:     of(anomMeans),
	},
	{
		Name:    "anom_proportions",
		Does:    "analysis of means of shares: which groups differ from the pooled share",
		Source:  "Ott 1967; Nelson, Wludyka and Copeland 2005",
		Example: `{"x":[12,9,22,11,8],"n":[120,120,120,120,120],"alpha":0.05}`,
		Run:     of(anomProportions),
	},
	{
		Name:    "funnel_limits",
		Does:    "funnel limits of rates around a target at 95 and 99.8 %: normal, Wilson and exact counts, with overdispersion",
		Source:  "Spiegelhalter 2005; Wilson 1927; binomial quantiles",
		Example: `{"x":[3,8,15,40],"n":[60,140,300,500],"target":0.06}`,
		Run:     of(funnelLimits),
	},
	{
		Name:    "funnel_exact",
		Does:    "each group's rate against the pooled one: exact limits of its count, doubled-tail p, Bonferroni flag",
		Source:  "binomial distribution; Spiegelhalter 2005",
		Example: `{"rows_name_k_n":[["S1",2,40],["S2",12,60]]}`,
		Run:     of(funnelExact),
	},
}

type groupsInput struct {
	Groups [][]float64 `json:"groups"`
}

type anovaAnswer struct {
	N               int       `json:"n"`
	GrandMean       float64   `json:"grand_mean"`
	GroupMeans      []float64 `json:"group_means"`
	DFBetween       float64   `json:"df_between"`
	DFWithin        float64   `json:"df_within"`
	SSBetween       float64   `json:"ss_between"`
	SSWithin        float64   `json:"ss_within"`
	SSTotal         float64   `json:"ss_total"`
	MSBetween       float64   `json:"ms_between"`
	MSWithin        float64   `json:"ms_within"`
	F               float64   `json:"F"`
	P               float64   `json:"p"`
	RSquared        float64   `json:"r_squared"`
	ResidualSD      float64   `json:"residual_sd"`
	BetweenVariance float64   `json:"between_variance_component"` // Cut at 0; the raw one is the estimate, and may be below.
	BetweenRaw      float64   `json:"between_variance_component_raw"`
}

func onewayAnova(in groupsInput) (anovaAnswer, error) {
	a, err := stats.OneWay(in.Groups)
	if err != nil {
		return anovaAnswer{}, argument("", "groups", err)
	}
	return anovaAnswer{
		N: a.N, GrandMean: a.Mean, GroupMeans: a.Means,
		DFBetween: a.DFBetween, DFWithin: a.DFWithin,
		SSBetween: a.SSBetween, SSWithin: a.SSWithin, SSTotal: a.SSTotal,
		MSBetween: a.MSBetween, MSWithin: a.MSWithin,
		F: a.F, P: a.P, RSquared: a.RSquared, ResidualSD: a.ResidualSD,
		BetweenVariance: a.BetweenVariance, BetweenRaw: a.BetweenVarianceAsEstimated,
	}, nil
}

type varianceTestsAnswer struct {
	Bartlett   float64 `json:"bartlett_T"`
	BartlettDF float64 `json:"bartlett_df"`
	BartlettP  float64 `json:"bartlett_p"`
	Levene     float64 `json:"levene_median_W"`
	LeveneP    float64 `json:"levene_p"`
	F          float64 `json:"oneway_F"`
	P          float64 `json:"oneway_p"`
}

func varianceTests(in groupsInput) (varianceTestsAnswer, error) {
	v, err := stats.VarianceTestsOf(in.Groups)
	if err != nil {
		return varianceTestsAnswer{}, argument("", "groups", err)
	}
	a, err := stats.OneWay(in.Groups)
	if err != nil {
		return varianceTestsAnswer{}, argument("", "groups", err)
	}
	return varianceTestsAnswer{
		Bartlett: v.Bartlett, BartlettDF: v.BartlettDF, BartlettP: v.BartlettP,
		Levene: v.Levene, LeveneP: v.LeveneP, F: a.F, P: a.P,
	}, nil
}
