package calc

import "tracewright/models/numbers/stats"

// outlierKinds are tests for values that do not belong.
var outlierKinds = []Kind{
	{
		Name:    "grubbs_outlier",
		Does:    "test for one outlier among normal values, both sides and each alone, with quartiles",
		Source:  "Grubbs 1950; NIST/SEMATECH e-Handbook, 1.3.5.17.1; quartiles by Hyndman and Fan 1996, definitions 6 and 7",
		Example: `{"x":[14.1,13.8,14.4,14.0,13.9,14.2,16.9,14.1],"alpha":0.05}`,
		Run:     of(grubbsOutlier),
	},
	{
		Name:    "grubbs_two_sided",
		Does:    "the same test as a verdict on the most extreme block of a string",
		Source:  "Grubbs 1950; ISO 5725-2, 7.3.4",
		Example: `{"values":[14.1,13.8,14.4,14.0,13.9,14.2,16.9,14.1],"alpha":0.05}`,
		Run:     of(grubbsTwoSided),
	},
	{
		Name:    "esd_outliers",
		Does:    "generalised extreme studentised deviate test for up to k outliers",
		Source:  "Rosner 1983; NIST/SEMATECH e-Handbook, 1.3.5.17.3",
		Example: `{"x":[2.1,2.0,2.2,1.9,2.1,2.0,2.2,2.1,1.9,2.0,2.1,2.0,2.2,2.1,3.9,3.4],"k":3,"alpha":0.05}`,
		Run:     of(esdOutliers),
	},
}

type alphaSeriesInput struct {
	X     []float64 `json:"x"`
	Alpha float64   `json:"alpha"`
}

type grubbsOutlierAnswer struct {
	G           float64    `json:"G_two_sided"`
	GMax        float64    `json:"G_max"`
	GMin        float64    `json:"G_min"`
	Index       int        `json:"index_0based"`
	Value       float64    `json:"value"`
	TwoSided    float64    `json:"crit_two_sided"`
	OneSided    float64    `json:"crit_one_sided"`
	Outlier     bool       `json:"outlier"`
	UpTo2       *esdAnswer `json:"esd_k2"` // Null with fewer than 4 values.
	UpTo5       *esdAnswer `json:"esd_k5"` // Null with fewer than 7.
	Median      float64    `json:"median"`
	LowerByMean float64    `json:"q1_type6"`
	UpperByMean float64    `json:"q3_type6"`
	LowerByMode float64    `json:"q1_type7"`
	UpperByMode float64    `json:"q3_type7"`
}

func grubbsOutlier(in alphaSeriesInput) (grubbsOutlierAnswer, error) {
	g, err := stats.GrubbsOf(in.X, in.Alpha)
	if err != nil {
		return grubbsOutlierAnswer{}, argument("", "x", err)
	}
	answer := grubbsOutlierAnswer{
		G: g.G, GMax: g.High, GMin: g.Low, Index: g.Index, Value: g.Value,
		TwoSided: g.TwoSided, OneSided: g.OneSided, Outlier: g.Outlier,
	}
	for _, upTo := range []struct {
		k    int
		into **esdAnswer
	}{{2, &answer.UpTo2}, {5, &answer.UpTo5}} {
		if upTo.k > len(in.X)-2 {
			continue
		}
		many, err := stats.ManyOutliersOf(in.X, upTo.k, in.Alpha)
		if err != nil {
			return grubbsOutlierAnswer{}, argument("", "x", err)
		}
		*upTo.into = esdAnswerOf(many)
	}
	if answer.Median, err = stats.Median(in.X); err != nil {
		return grubbsOutlierAnswer{}, argument("", "x", err)
	}
	for _, quartile := range []struct {
		p    float64
		rule stats.QuantileRule
		into *float64
	}{
		{0.25, stats.QuantileMean, &answer.LowerByMean}, {0.75, stats.QuantileMean, &answer.UpperByMean},
		{0.25, stats.QuantileMode, &answer.LowerByMode}, {0.75, stats.QuantileMode, &answer.UpperByMode},
	} {
		if *quartile.into, err = stats.Quantile(in.X, quartile.p, quartile.rule); err != nil {
			return grubbsOutlierAnswer{}, argument("", "x", err)
		}
	}
	return answer, nil
}

type grubbsTwoSidedInput struct {
	Values []float64 `json:"values"`
	Alpha  float64   `json:"alpha"`
}

type grubbsTwoSidedAnswer struct {
	Position int     `json:"position"` // From 1.
	G        float64 `json:"G"`
	Critical float64 `json:"G_crit"`
	Outlier  bool    `json:"outlier"`
}

func grubbsTwoSided(in grubbsTwoSidedInput) (grubbsTwoSidedAnswer, error) {
	g, err := stats.GrubbsOf(in.Values, in.Alpha)
	if err != nil {
		return grubbsTwoSidedAnswer{}, argument("", "values", err, "x", "values")
	}
	return grubbsTwoSidedAnswer{Position: g.Index + 1, G: g.G, Critical: g.TwoSided, Outlier: g.Outlier}, nil
}

type esdInput struct {
	alphaSeriesInput
	K int `json:"k"`
}

type esdAnswer struct {
	R        []float64 `json:"R"`
	Lambda   []float64 `json:"lambda"`
	Removed  []float64 `json:"removed"`
	Indexes  []int     `json:"removed_index_0based"`
	Outliers int       `json:"n_outliers"`
}

func esdOutliers(in esdInput) (*esdAnswer, error) {
	many, err := stats.ManyOutliersOf(in.X, in.K, in.Alpha)
	if err != nil {
		return nil, argument("", "x", err)
	}
	return esdAnswerOf(many), nil
}

func esdAnswerOf(m stats.ManyOutliers) *esdAnswer {
	return &esdAnswer{R: m.Statistics, Lambda: m.Critical, Removed: m.Values, Indexes: m.Indexes, Outliers: m.Count}
}
