package calc

import (
	"errors"
	"fmt"

	"tracewright/models/numbers/spc"
)

// vectorChartKinds are charts of several results at once.
var vectorChartKinds = []Kind{
	{
		Name:    "t2_individuals",
		Does:    "Hotelling's T2 of several results of single items, limits for these and for later items",
		Source:  "NIST/SEMATECH e-Handbook, 6.5.4.3; covariance by successive differences: Holmes and Mergen 1993",
		Example: `{"x":[[9.3,9.9],[9.9,10.8],[9.1,11.9],[9.9,12.2],[9.8,10.9],[10.5,9.2]],"alpha":0.0027}`,
		Run:     of(t2Individuals),
	},
	{
		Name:    "t2_subgroups",
		Does:    "Hotelling's T2 of the means of equal subgroups, limits for these and for later subgroups",
		Source:  "NIST/SEMATECH e-Handbook, 6.5.4.3",
		Example: `{"subgroups":[[[51.4,48.6],[51.6,47.0],[48.4,51.1]],[[52.2,44.8],[48.8,54.0],[48.6,55.3]],[[49.8,51.3],[49.7,48.8],[48.4,51.3]]],"alpha":0.001}`,
		Run:     of(t2Subgroups),
	},
}

// mostVectors bounds the points of a chart of several results.
const mostVectors = 20_000

func fewVectors(field string, n int) error {
	if n > mostVectors {
		return refuse(field, fmt.Errorf("%d points, at most %d can be charted at once", n, mostVectors))
	}
	return nil
}

type t2Input struct {
	X     [][]float64 `json:"x"`
	Alpha float64     `json:"alpha"`
}

type t2Answer struct {
	Mean     []float64   `json:"mean"`
	Cov      [][]float64 `json:"cov"`
	T2       []float64   `json:"t2"`
	OwnHigh  float64     `json:"ucl_phase1_beta"`
	NextHigh float64     `json:"ucl_phase2_F"`
	KnownUCL float64     `json:"ucl_chi2"`
	// null where the results of neighbours differ in step.
	CovSuccessive [][]float64 `json:"cov_successive_difference"`
	T2Successive  []float64   `json:"t2_successive_difference"`
}

func t2Individuals(in t2Input) (t2Answer, error) {
	if err := fewVectors("x", len(in.X)); err != nil {
		return t2Answer{}, err
	}
	if in.Alpha == 0 {
		return t2Answer{}, refuse("alpha", errors.New("must be above 0"))
	}
	t, err := spc.T2Individuals(in.X, in.Alpha)
	if err != nil {
		return t2Answer{}, charted("x", err)
	}
	known, err := spc.T2HighKnown(len(t.Means), in.Alpha)
	if err != nil {
		return t2Answer{}, charted("x", err)
	}
	answer := t2Answer{Mean: t.Means, Cov: t.Covariance, T2: t.Distances, OwnHigh: t.OwnHigh, NextHigh: t.LaterHigh, KnownUCL: known}
	answer.CovSuccessive, answer.T2Successive, err = spc.SuccessiveCovariance(in.X)
	if err != nil && !errors.Is(err, spc.ErrSingular) {
		return t2Answer{}, charted("x", err)
	}
	return answer, nil
}

type t2SubgroupsInput struct {
	Subgroups [][][]float64 `json:"subgroups"`
	Alpha     float64       `json:"alpha"`
}

type t2SubgroupsAnswer struct {
	GrandMean []float64   `json:"grand_mean"`
	Cov       [][]float64 `json:"pooled_cov"`
	T2        []float64   `json:"t2"`
	OwnHigh   float64     `json:"ucl_phase1"`
	NextHigh  float64     `json:"ucl_phase2"`
}

func t2Subgroups(in t2SubgroupsInput) (t2SubgroupsAnswer, error) {
	if err := fewVectors("subgroups", len(in.Subgroups)); err != nil {
		return t2SubgroupsAnswer{}, err
	}
	if in.Alpha == 0 {
		return t2SubgroupsAnswer{}, refuse("alpha", errors.New("must be above 0"))
	}
	t, err := spc.T2Subgroups(in.Subgroups, in.Alpha)
	if err != nil {
		return t2SubgroupsAnswer{}, charted("subgroups", err)
	}
	return t2SubgroupsAnswer{GrandMean: t.Means, Cov: t.Covariance, T2: t.Distances, OwnHigh: t.OwnHigh, NextHigh: t.LaterHigh}, nil
}
