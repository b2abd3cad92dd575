package calc

import "tracewright/models/numbers/gauge"

// crossedKinds are studies of a gauge with the people who use it.
var crossedKinds = []Kind{
	{
		Name:    "gauge_crossed",
		Does:    "crossed gauge study: analysis of variance, components with and without interaction, and the method of ranges",
		Source:  "two-way random model (Montgomery); NIST/SEMATECH e-Handbook, 2.4; d2* of Duncan for the ranges",
		Example: `{"y_part_operator_trial":[[[19.9,20.0],[20.8,21.0]],[[18.9,18.5],[18.9,19.2]],[[23.1,23.0],[23.2,23.5]]]}`,
		Run:     of(gaugeCrossed),
	},
	{
		Name:    "gauge_crossed_summary",
		Does:    "crossed gauge study in standard deviations: shares of total and tolerance, categories, band",
		Source:  "two-way random model; bands at 10 and 30 % and five categories common practice, no source",
		Example: `{"data_part_operator_trial":[[[19.9,20.0],[20.8,21.0]],[[18.9,18.5],[18.9,19.2]],[[23.1,23.0],[23.2,23.5]]],"pool_interaction":false,"tolerance_width":10}`,
		Run:     of(gaugeCrossedSummary),
	},
}

type crossedInput struct {
	Y gauge.Readings `json:"y_part_operator_trial"`
}

type crossedAnswer struct {
	SS           crossedRows[float64] `json:"ss"`
	DF           crossedDF            `json:"df"`
	MS           crossedMS            `json:"ms"`
	F            crossedF             `json:"F"`
	PInteraction *float64             `json:"p_interaction"`
	With         componentsAnswer     `json:"with_interaction"`
	Pooled       componentsAnswer     `json:"pooled_no_interaction"`
	Range        rangeAnswer          `json:"range_method"`
}

type crossedMS struct {
	Part          float64 `json:"part"`
	Operator      float64 `json:"operator"`
	Interaction   float64 `json:"interaction"`
	Repeatability float64 `json:"repeatability"`
}

type crossedDF struct {
	Part          int `json:"part"`
	Operator      int `json:"operator"`
	Interaction   int `json:"interaction"`
	Repeatability int `json:"repeatability"`
	Total         int `json:"total"`
}

type crossedRows[T any] struct {
	Part          T `json:"part"`
	Operator      T `json:"operator"`
	Interaction   T `json:"interaction"`
	Repeatability T `json:"repeatability"`
	Total         T `json:"total"`
}

type crossedF struct {
	Part        *float64 `json:"part_vs_interaction"`
	Operator    *float64 `json:"operator_vs_interaction"`
	Interaction *float64 `json:"interaction"`
}

type componentsAnswer struct {
	Raw          crossedMS      `json:"raw_anova_estimates"`
	Variance     varianceAnswer `json:"variance"`
	Study        varianceAnswer `json:"pct_study_variation"`
	Contribution varianceAnswer `json:"pct_contribution"`
	Categories   *float64       `json:"ndc_unrounded"`
}

type varianceAnswer struct {
	Repeatability   float64 `json:"repeatability"`
	Operator        float64 `json:"operator"`
	Interaction     float64 `json:"interaction"`
	Part            float64 `json:"part"`
	Reproducibility float64 `json:"reproducibility"`
	Gauge           float64 `json:"gauge"`
	Total           float64 `json:"total"`
}

type rangeAnswer struct {
	MeanRange     float64   `json:"mean_range"`
	OperatorMeans []float64 `json:"operator_means"`
	OperatorRange float64   `json:"xbar_diff"`
	PartRange     float64   `json:"part_range"`
	Repeatability *float64  `json:"repeatability_sd"`
	Operator      *float64  `json:"operator_sd"`
	Gauge         *float64  `json:"gauge_sd"`
	Part          *float64  `json:"part_sd"`
	Total         *float64  `json:"total_sd"`
}

func gaugeCrossed(in crossedInput) (crossedAnswer, error) {
	const field = "y_part_operator_trial"
	s, err := gauge.Crossed(in.Y)
	if err != nil {
		return crossedAnswer{}, gaugeFailure(field, err, "readings", field)
	}
	r, err := gauge.Ranges(in.Y)
	if err != nil {
		return crossedAnswer{}, gaugeFailure(field, err, "readings", field)
	}
	return crossedAnswer{
		SS: crossedRows[float64]{s.Part.SS, s.Operator.SS, s.Interaction.SS, s.Repeatability.SS, s.Total.SS},
		DF: crossedDF{s.Part.DF, s.Operator.DF, s.Interaction.DF, s.Repeatability.DF, s.Total.DF},
		MS: crossedMS{s.Part.MS, s.Operator.MS, s.Interaction.MS, s.Repeatability.MS},
		F: crossedF{
			Part: known(s.FPart, s.FMainKnown), Operator: known(s.FOperator, s.FMainKnown), Interaction: known(s.FInteraction, s.FInteractionKnown),
		},
		PInteraction: known(s.PInteraction, s.FInteractionKnown),
		With:         componentsOf(s.WithInteraction), Pooled: componentsOf(s.PooledNoInteraction),
		Range: rangeAnswer{
			MeanRange: r.MeanRange, OperatorMeans: r.OperatorMeans, OperatorRange: r.OperatorRange, PartRange: r.PartRange,
			Repeatability: known(r.Repeatability, r.Estimated), Operator: known(r.Operator, r.Estimated), Gauge: known(r.Gauge, r.Estimated),
			Part: known(r.Part, r.Estimated), Total: known(r.Total, r.Estimated),
		},
	}, nil
}

func componentsOf(c gauge.Components) componentsAnswer {
	u := c.Used
	categories, categoriesKnown := c.Categories()
	return componentsAnswer{
		Raw:          crossedMS{c.Raw.Part, c.Raw.Operator, c.Raw.Interaction, c.Raw.Repeatability},
		Variance:     varianceAnswer{u.Repeatability, u.Operator, u.Interaction, u.Part, u.Reproducibility(), u.Gauge(), u.Total()},
		Study:        varianceAnswer(c.StudyVariation()),
		Contribution: varianceAnswer(c.Contribution()),
		Categories:   known(categories, categoriesKnown),
	}
}

type crossedSummaryInput struct {
	Data           gauge.Readings `json:"data_part_operator_trial"`
	Pool           bool           `json:"pool_interaction"`
	ToleranceWidth *float64       `json:"tolerance_width,omitempty"`
}

type crossedSummaryAnswer struct {
	SS               crossedSummarySS `json:"ss"`
	Repeatability    float64          `json:"EV"`
	Operator         float64          `json:"AV"`
	Interaction      float64          `json:"INT"`
	Gauge            float64          `json:"GRR"`
	Part             float64          `json:"PV"`
	Total            float64          `json:"TV"`
	PercentGauge     float64          `json:"pct_grr"`
	PercentTolerance *float64         `json:"pct_tol"`
	Categories       *float64         `json:"ndc"`
	Band             gauge.Band       `json:"band"`
	PInteraction     *float64         `json:"p_interaction"`
}

type crossedSummarySS struct {
	Part        float64 `json:"part"`
	Operator    float64 `json:"operator"`
	Interaction float64 `json:"interaction"`
	Error       float64 `json:"error"`
}

func gaugeCrossedSummary(in crossedSummaryInput) (crossedSummaryAnswer, error) {
	const field = "data_part_operator_trial"
	study, err := gauge.Crossed(in.Data)
	if err != nil {
		return crossedSummaryAnswer{}, gaugeFailure(field, err, "readings", field)
	}
	components := study.WithInteraction
	if in.Pool {
		components = study.PooledNoInteraction
	}
	width := 0.0
	if in.ToleranceWidth != nil {
		if width = *in.ToleranceWidth; width == 0 {
			return crossedSummaryAnswer{}, &Failure{Field: "tolerance_width", Problem: "must be above 0"}
		}
	}
	s, err := gauge.Summarise(components, width)
	if err != nil {
		return crossedSummaryAnswer{}, gaugeFailure(field, err, "tolerance width", "tolerance_width", "variances", field)
	}
	return crossedSummaryAnswer{
		SS:            crossedSummarySS{study.Part.SS, study.Operator.SS, study.Interaction.SS, study.Repeatability.SS},
		Repeatability: s.Repeatability, Operator: s.Operator, Interaction: s.Interaction, Gauge: s.Gauge, Part: s.Part, Total: s.Total,
		PercentGauge: threeDecimals(s.PercentGauge), PercentTolerance: known(threeDecimals(s.PercentTolerance), in.ToleranceWidth != nil),
		Categories: known(s.Categories, s.CategoriesKnown), Band: s.Band, PInteraction: known(study.PInteraction, study.FInteractionKnown),
	}, nil
}
