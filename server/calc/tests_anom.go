package calc

import (
	"encoding/json"
	"slices"

	"tracewright/models/numbers/stats"
)

type anomMeansInput struct {
	groupsInput
	Alpha float64 `json:"alpha"`
}

type anomMeansAnswer struct {
	GrandMean  float64   `json:"grand_mean"`
	SD         float64   `json:"s_pooled"`
	DF         float64   `json:"df"`
	Factor     float64   `json:"h"`
	Exact      bool      `json:"h_exact"` // False: on the safe side.
	GroupMeans []float64 `json:"group_means"`
	Low        perGroup  `json:"ldl"`
	High       perGroup  `json:"udl"`
	Outside    []int     `json:"outside_0based"`
}

// perGroup is a limit of each group, written as one number where it is the same
// for all: groups of one size.
type perGroup []float64

// MarshalJSON writes a number or an array.
func (g perGroup) MarshalJSON() ([]byte, error) {
	if len(slices.Compact(slices.Clone(g))) == 1 {
		return json.Marshal(g[0])
	}
	return json.Marshal([]float64(g))
}

func anomMeans(in anomMeansInput) (anomMeansAnswer, error) {
	l, err := stats.MeansAgainstAll(in.Groups, in.Alpha)
	if err != nil {
		return anomMeansAnswer{}, argument("", "groups", err)
	}
	answer := anomMeansAnswer{GrandMean: l.Mean, SD: l.Sigma, DF: l.DF, Factor: l.Factor, Exact: l.Exact}
	for _, g := range l.Groups {
		answer.GroupMeans = append(answer.GroupMeans, g.Mean)
	}
	answer.Low, answer.High, answer.Outside = anomLimits(l)
	return answer, nil
}

type anomProportionsInput struct {
	X     []int   `json:"x"`
	N     []int   `json:"n"`
	Alpha float64 `json:"alpha"`
}

type anomProportionsAnswer struct {
	Mean    float64   `json:"pbar"`
	Factor  float64   `json:"h"`
	Exact   bool      `json:"h_exact"`      // For the normal distribution.
	Small   bool      `json:"small_counts"` // Fewer than 5 expected somewhere: the limits are rough.
	Low     []float64 `json:"ldl"`
	High    []float64 `json:"udl"`
	Outside []int     `json:"outside_0based"`
}

func anomProportions(in anomProportionsInput) (anomProportionsAnswer, error) {
	l, err := stats.ProportionsAgainstAll(in.X, in.N, in.Alpha)
	if err != nil {
		return anomProportionsAnswer{}, argument("", "x", err)
	}
	answer := anomProportionsAnswer{Mean: l.Mean, Factor: l.Factor, Exact: l.Exact, Small: l.SmallCounts}
	answer.Low, answer.High, answer.Outside = anomLimits(l)
	return answer, nil
}

// anomLimits gathers the limits of the groups and which of them lie outside.
func anomLimits(l stats.CommonLimits) (low, high []float64, outside []int) {
	outside = []int{}
	for i, g := range l.Groups {
		low, high = append(low, g.Low), append(high, g.High)
		if g.Outside {
			outside = append(outside, i)
		}
	}
	return low, high, outside
}
