package calc

import (
	"errors"
	"fmt"
	"slices"

	"tracewright/models/numbers/life"
)

// lifeKinds are times until failure, many of them censored.
var lifeKinds = slices.Concat(curveKinds, lawKinds)

// curveKinds show what was seen, without a law behind it.
var curveKinds = []Kind{
	{
		Name:    "survival_curve",
		Does:    "Kaplan-Meier survival with Greenwood errors, 95 % intervals, cumulative hazard and median life",
		Source:  "Kaplan and Meier 1958; Kalbfleisch and Prentice 1980; Nelson 1969, Aalen 1978",
		Example: `{"time":[6,7,9,10,10,13],"event":[1,1,0,1,0,1],"frequency":[3,1,1,1,1,1]}`,
		Run:     of(survivalCurve),
	},
	{
		Name:    "survival_summary",
		Does:    "Kaplan-Meier survival and its standard error, from pairs of time and failure",
		Source:  "Kaplan and Meier 1958; NIST/SEMATECH e-Handbook, 8.2.1.5",
		Example: `{"obs_t_event":[[3,1],[5,1],[5,0],[8,0]]}`,
		Run:     of(survivalSummary),
	},
	{
		Name:    "returns_triangle",
		Does:    "hazard and cumulative fraction returned by age, from shipments and returns by month",
		Source:  "Meeker and Escobar, Statistical Methods for Reliability Data, 1998, chapter 3; Clopper and Pearson 1934",
		Example: `{"shipped_by_month":{"1":20,"2":25},"returns_by_ship_month_and_age":{"1":{"0":1}},"as_of_month":2}`,
		Run:     of(returnsTriangle),
	},
}

// usualAtRisk is the number at risk below which a survival curve is not read,
// by common practice.
const usualAtRisk = 10

// confidence95 is the confidence of every interval whose name says 95.
const confidence95 = 0.95

type livesInput struct {
	Time      []float64 `json:"time"`
	Event     []int     `json:"event"` // 1 failed, 0 still running.
	Frequency []int     `json:"frequency,omitempty"`
}

func (in livesInput) lives() ([]life.Observation, error) {
	if len(in.Event) != len(in.Time) {
		return nil, &Failure{Field: "event", Problem: fmt.Sprintf("must have %d values as time has, not %d", len(in.Time), len(in.Event))}
	}
	if in.Frequency != nil && len(in.Frequency) != len(in.Time) {
		return nil, &Failure{Field: "frequency", Problem: fmt.Sprintf("must have %d values as time has, not %d", len(in.Time), len(in.Frequency))}
	}
	lives := make([]life.Observation, len(in.Time))
	for i := range lives {
		if in.Event[i] != 0 && in.Event[i] != 1 {
			return nil, &Failure{Field: fmt.Sprintf("event[%d]", i), Problem: fmt.Sprintf("must be 1 for failed or 0, not %d", in.Event[i])}
		}
		lives[i] = life.Observation{Time: in.Time[i], Failed: in.Event[i] == 1, Count: 1}
		if in.Frequency != nil {
			lives[i].Count = in.Frequency[i]
		}
	}
	return lives, nil
}

// pairs are lives as pairs of time and failure.
type pairs [][2]float64

func (in pairs) lives() ([]life.Observation, error) {
	lives := make([]life.Observation, len(in))
	for i, pair := range in {
		if pair[1] != 0 && pair[1] != 1 {
			return nil, &Failure{Field: fmt.Sprintf("obs_t_event[%d][1]", i), Problem: fmt.Sprintf("must be 1 for failed or 0, not %v", pair[1])}
		}
		lives[i] = life.Observation{Time: pair[0], Failed: pair[1] == 1, Count: 1}
	}
	return lives, nil
}

// lifeFailure names the field of an error about lives.
func lifeFailure(field string, err error) error {
	failure := argument("", field, err)
	if errors.Is(err, life.ErrNoFailures) {
		var f *Failure
		if errors.As(failure, &f) {
			return &Failure{Code: "NO_FAILURES", Field: f.Field, Problem: f.Problem}
		}
	}
	return failure
}

type survivalCurveInput struct {
	livesInput
	// LeastAtRisk ends the curve before the first point with fewer at risk; where
	// it is not given the curve goes on, and few_at_risk marks those under 10.
	LeastAtRisk *int `json:"least_at_risk,omitempty"`
}

type survivalCurveAnswer struct {
	Time      []float64  `json:"time"`
	AtRisk    []int      `json:"n_risk"`
	Failures  []int      `json:"n_event"`
	Survival  []float64  `json:"surv"`
	SE        []*float64 `json:"std_err_greenwood"` // null, as the intervals, once everything has failed.
	LogLow    []*float64 `json:"ci95_log_lower"`
	LogHigh   []*float64 `json:"ci95_log_upper"` // 1 there, which says nothing.
	LogLog    []*float64 `json:"ci95_loglog_lower"`
	LogLogTop []*float64 `json:"ci95_loglog_upper"`
	Hazard    []float64  `json:"nelson_aalen_cumhaz"`
	Few       []bool     `json:"few_at_risk"`
	Median    *float64   `json:"median"` // null where the curve stays above one half.
	// Bounds of the median by the log-log interval, null where the curve ends first.
	MedianLow  *float64 `json:"median_ci95_lower"`
	MedianHigh *float64 `json:"median_ci95_upper"`
}

func survivalCurve(in survivalCurveInput) (survivalCurveAnswer, error) {
	lives, err := in.lives()
	if err != nil {
		return survivalCurveAnswer{}, err
	}
	options := life.CurveOptions{Confidence: confidence95, LeastAtRisk: usualAtRisk}
	if in.LeastAtRisk != nil {
		options.LeastAtRisk = *in.LeastAtRisk
	}
	curve, err := life.KaplanMeier(lives, options)
	if err != nil {
		return survivalCurveAnswer{}, lifeFailure("time", err)
	}
	if in.LeastAtRisk != nil {
		curve.Points = curve.Firm()
	}
	answer := survivalCurveAnswer{
		Time: []float64{}, AtRisk: []int{}, Failures: []int{}, Survival: []float64{}, SE: []*float64{}, LogLow: []*float64{},
		LogHigh: []*float64{}, LogLog: []*float64{}, LogLogTop: []*float64{}, Hazard: []float64{}, Few: []bool{},
	}
	for _, p := range curve.Points {
		answer.add(p)
	}
	median, reached := curve.Median()
	answer.Median = known(median.Time, reached)
	answer.MedianLow, answer.MedianHigh = known(median.Low, median.LowKnown), known(median.High, median.HighKnown)
	return answer, nil
}

func (a *survivalCurveAnswer) add(p life.Point) {
	logHigh := 1.
	if p.Bounded {
		logHigh = p.Log.High
	}
	a.Time = append(a.Time, p.Time)
	a.AtRisk = append(a.AtRisk, p.AtRisk)
	a.Failures = append(a.Failures, p.Failures)
	a.Survival = append(a.Survival, p.Survival)
	a.SE = append(a.SE, known(p.SE, p.Bounded))
	a.LogLow = append(a.LogLow, known(p.Log.Low, p.Bounded))
	a.LogHigh = append(a.LogHigh, &logHigh)
	a.LogLog = append(a.LogLog, known(p.LogLog.Low, p.Bounded))
	a.LogLogTop = append(a.LogLogTop, known(p.LogLog.High, p.Bounded))
	a.Hazard = append(a.Hazard, p.Hazard)
	a.Few = append(a.Few, p.Few)
}

// known returns a figure, or null where it does not exist.
func known(x float64, exists bool) *float64 {
	if !exists {
		return nil
	}
	return &x
}

type survivalSummaryInput struct {
	Lives pairs `json:"obs_t_event"`
}

type survivalSummaryAnswer struct {
	Curve []survivalPoint `json:"curve"`
}

type survivalPoint struct {
	T      float64  `json:"t"`
	AtRisk int      `json:"at_risk"`
	Events int      `json:"events"`
	S      float64  `json:"S"`
	SE     *float64 `json:"se"` // null once everything has failed.
	Few    bool     `json:"few_at_risk"`
}

func survivalSummary(in survivalSummaryInput) (survivalSummaryAnswer, error) {
	lives, err := in.Lives.lives()
	if err != nil {
		return survivalSummaryAnswer{}, err
	}
	curve, err := life.KaplanMeier(lives, life.CurveOptions{Confidence: confidence95, LeastAtRisk: usualAtRisk})
	if err != nil {
		return survivalSummaryAnswer{}, pairFailure(err)
	}
	answer := survivalSummaryAnswer{Curve: []survivalPoint{}}
	for _, p := range curve.Points {
		answer.Curve = append(answer.Curve, survivalPoint{
			T: p.Time, AtRisk: p.AtRisk, Events: p.Failures, S: p.Survival, SE: known(p.SE, p.Bounded), Few: p.Few,
		})
	}
	return answer, nil
}
