package calc

import (
	"fmt"

	"tracewright/models/numbers/gauge"
)

// gaugeStudyKinds are studies of one gauge in time, against a reference and
// along its range.
var gaugeStudyKinds = []Kind{
	{
		Name:    "gauge_nested",
		Does:    "nested gauge study: repeatability, days and runs from run, average and standard deviation of each day",
		Source:  "NIST/SEMATECH e-Handbook, 2.4.4 and 2.6.1",
		Example: `{"J_repetitions":6,"K_days":2,"L_runs":2,"rows_run_average_sd":[[1,95.18,0.12],[1,95.16,0.02],[2,95.20,0.06],[2,95.13,0.12]]}`,
		Run:     of(gaugeNested),
	},
	{
		Name:    "bias_t",
		Does:    "bias of repeated readings against a reference, with its interval and test",
		Source:  "Student's t; NIST/SEMATECH e-Handbook, 2.4.5",
		Example: `{"x":[7.98,8.03,8.01,7.96,8.02],"ref":8,"alpha":0.05}`,
		Run:     of(bias),
	},
	{
		Name:    "linearity",
		Does:    "line through the biases of a gauge along its range, and whether it slopes",
		Source:  "least squares, test at 95 %; NIST/SEMATECH e-Handbook, 2.4.5.2",
		Example: `{"ref":[400,600,800,1000,1200],"bias":[-4,2,7,15,19]}`,
		Run:     of(linearity),
	},
}

type nestedInput struct {
	Repetitions int          `json:"J_repetitions"`
	Days        int          `json:"K_days"`
	Runs        int          `json:"L_runs"`
	Rows        [][3]float64 `json:"rows_run_average_sd"`
}

type nestedAnswer struct {
	Level1      float64   `json:"s1_repeatability"`
	DF1         int       `json:"df1"`
	Level2      float64   `json:"s2_level2"`
	DF2         int       `json:"df2"`
	Level3      float64   `json:"s3_level3"`
	DF3         int       `json:"df3"`
	RunMeans    []float64 `json:"run_means"`
	DayVariance float64   `json:"var_days_raw"`
	DaySD       float64   `json:"s_days"`
	RunVariance float64   `json:"var_runs_raw"`
	RunSD       float64   `json:"s_runs"`
	Single      float64   `json:"s_single_reading"`
}

func gaugeNested(in nestedInput) (nestedAnswer, error) {
	runs, err := in.runs()
	if err != nil {
		return nestedAnswer{}, err
	}
	s, err := gauge.Nested(in.Repetitions, runs)
	if err != nil {
		return nestedAnswer{}, gaugeFailure("rows_run_average_sd", err, "repetitions", "J_repetitions", "days", "K_days", "runs", "rows_run_average_sd")
	}
	return nestedAnswer{
		Level1: s.Level1, DF1: s.DF1, Level2: s.Level2, DF2: s.DF2, Level3: s.Level3, DF3: s.DF3, RunMeans: s.RunMeans,
		DayVariance: s.DayVariance, DaySD: s.DaySD, RunVariance: s.RunVariance, RunSD: s.RunSD, Single: s.Single,
	}, nil
}

// runs gathers the rows by the number of their run, in the order in which runs
// first appear, and holds them against the numbers announced.
func (in nestedInput) runs() ([][]gauge.Day, error) {
	place := map[float64]int{}
	var runs [][]gauge.Day
	for n, row := range in.Rows {
		if row[2] < 0 {
			return nil, &Failure{Field: fmt.Sprintf("rows_run_average_sd[%d][2]", n), Problem: "a standard deviation must not be negative"}
		}
		i, there := place[row[0]]
		if !there {
			i = len(runs)
			place[row[0]] = i
			runs = append(runs, nil)
		}
		runs[i] = append(runs[i], gauge.Day{Average: row[1], SD: row[2]})
	}
	if len(runs) != in.Runs {
		return nil, &Failure{Field: "L_runs", Problem: fmt.Sprintf("%d announced, but the rows name %d", in.Runs, len(runs))}
	}
	for i, run := range runs {
		if len(run) != in.Days {
			return nil, &Failure{Field: "K_days", Problem: fmt.Sprintf("%d announced, but run %d of the rows has %d", in.Days, i+1, len(run))}
		}
	}
	return runs, nil
}

type biasInput struct {
	X     []float64 `json:"x"`
	Ref   float64   `json:"ref"`
	Alpha float64   `json:"alpha"`
}

type biasAnswer struct {
	Bias        float64    `json:"bias"`
	T           float64    `json:"t"`
	CI          [2]float64 `json:"ci"`
	Significant bool       `json:"significant"`
}

func bias(in biasInput) (biasAnswer, error) {
	b, err := gauge.Bias(in.X, in.Ref, in.Alpha)
	if err != nil {
		return biasAnswer{}, gaugeFailure("x", err, "readings", "x", "reference", "ref")
	}
	return biasAnswer{Bias: b.Bias, T: b.T, CI: [2]float64{b.Low, b.High}, Significant: b.Significant}, nil
}

type linearityInput struct {
	Ref  []float64 `json:"ref"`
	Bias []float64 `json:"bias"`
}

type linearityAnswer struct {
	Slope                float64  `json:"slope"`
	Intercept            float64  `json:"intercept"`
	S                    float64  `json:"s"`
	TSlope               *float64 `json:"t_slope"`
	TIntercept           *float64 `json:"t_intercept"`
	SlopeSignificant     bool     `json:"slope_significant_95"`
	InterceptSignificant bool     `json:"intercept_significant_95"`
	Bias                 float64  `json:"mean_bias"`
	TBias                *float64 `json:"t_mean_bias"`
	BiasSignificant      bool     `json:"mean_bias_significant_95"`
}

func linearity(in linearityInput) (linearityAnswer, error) {
	l, err := gauge.Linearity(in.Ref, in.Bias)
	if err != nil {
		return linearityAnswer{}, gaugeFailure("bias", err, "references", "ref", "biases", "bias")
	}
	return linearityAnswer{
		Slope: l.Slope, Intercept: l.Intercept, S: l.S, TSlope: known(l.TSlope, l.TKnown), TIntercept: known(l.TIntercept, l.TKnown),
		SlopeSignificant: l.SlopeSignificant, InterceptSignificant: l.InterceptSignificant,
		Bias: l.Bias, TBias: known(l.TBias, l.TKnown), BiasSignificant: l.BiasSignificant,
	}, nil
}
