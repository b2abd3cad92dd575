package calc

import (
	"fmt"

	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// subgroupChartKinds are charts of subgroups of items.
var subgroupChartKinds = []Kind{
	{
		Name:    "mean_range_sd_chart",
		Does:    "charts of means with ranges and of means with standard deviations, equal subgroups of 2 to 100",
		Source:  "NIST/SEMATECH e-Handbook, 6.3.2.1; ISO 7870-2; ASTM MNL 7",
		Example: `{"subgroups":[[10.1,9.8,10.0],[10.2,10.1,9.9],[9.7,10.0,10.1]]}`,
		Run:     of(meanRangeSD),
	},
	{
		Name:    "mean_sd_chart_unequal",
		Does:    "chart of means with standard deviations, subgroups of different sizes, pooled standard deviation",
		Source:  "ASTM MNL 7, subgroups of unequal size",
		Example: `{"subgroups":[[10.1,9.8,10.0],[10.2,10.1],[9.7,10.0,10.1,9.9]]}`,
		Run:     of(meanSDUnequal),
	},
}

type subgroupsInput struct {
	Subgroups [][]float64 `json:"subgroups"`
}

type meanRangeSDAnswer struct {
	K              int       `json:"k"`
	N              int       `json:"n"`
	Means          []float64 `json:"subgroup_means"`
	Ranges         []float64 `json:"subgroup_ranges"`
	SDs            []float64 `json:"subgroup_sds"`
	GrandMean      float64   `json:"grand_mean"`
	MeanRange      float64   `json:"rbar"`
	MeanSD         float64   `json:"sbar"`
	SigmaByRange   float64   `json:"sigma_within_rbar_d2"`
	SigmaBySD      float64   `json:"sigma_within_sbar_c4"`
	PooledSD       float64   `json:"sigma_pooled_sd"`
	OverallSD      float64   `json:"sigma_overall_sd"`
	MeanByRangeLow float64   `json:"xbar_r_lcl"`
	MeanByRangeUp  float64   `json:"xbar_r_ucl"`
	RangeLow       float64   `json:"r_lcl"`
	RangeHigh      float64   `json:"r_ucl"`
	MeanBySDLow    float64   `json:"xbar_s_lcl"`
	MeanBySDHigh   float64   `json:"xbar_s_ucl"`
	SDLow          float64   `json:"s_lcl"`
	SDHigh         float64   `json:"s_ucl"`
}

// severalSubgroups refuses what gives no limits: one subgroup, or none that
// varies inside.
func severalSubgroups(subgroups [][]float64) (spc.SubgroupFigures, error) {
	f, err := spc.FromSubgroups(subgroups)
	switch {
	case err != nil:
		return f, err
	case len(f.Means) < 2:
		return f, fmt.Errorf("%d where 2 are needed: %w", len(f.Means), stats.ErrTooFew)
	case f.PooledSD == 0:
		return f, fmt.Errorf("inside each subgroup %w", stats.ErrNoSpread)
	}
	return f, nil
}

func meanRangeSD(in subgroupsInput) (meanRangeSDAnswer, error) {
	f, err := severalSubgroups(in.Subgroups)
	if err != nil {
		return meanRangeSDAnswer{}, charted("subgroups", err)
	}
	l, err := f.Lines()
	if err != nil {
		return meanRangeSDAnswer{}, charted("subgroups", err)
	}
	return meanRangeSDAnswer{
		K: len(f.Means), N: f.Size, Means: f.Means, Ranges: f.Ranges, SDs: f.SDs,
		GrandMean: f.GrandMean, MeanRange: f.MeanRange, MeanSD: f.MeanSD,
		SigmaByRange: f.SigmaByRange, SigmaBySD: f.SigmaBySD, PooledSD: f.PooledSD, OverallSD: f.OverallSD,
		MeanByRangeLow: l.MeanLowByRange, MeanByRangeUp: l.MeanHighByRange, RangeLow: l.RangeLow, RangeHigh: l.RangeHigh,
		MeanBySDLow: l.MeanLowBySD, MeanBySDHigh: l.MeanHighBySD, SDLow: l.SDLow, SDHigh: l.SDHigh,
	}, nil
}

type meanSDUnequalInput struct {
	Subgroups [][]float64 `json:"subgroups"`
	Method    string      `json:"method,omitempty"` // In words; there is one.
}

type meanSDUnequalAnswer struct {
	N         []int     `json:"n"`
	Means     []float64 `json:"means"`
	SDs       []float64 `json:"sds"`
	GrandMean float64   `json:"grand_mean_weighted"`
	PooledSD  float64   `json:"pooled_sd"`
	MeanLow   []float64 `json:"xbar_lcl"`
	MeanHigh  []float64 `json:"xbar_ucl"`
	SDCentre  []float64 `json:"s_center"`
	SDLow     []float64 `json:"s_lcl"`
	SDHigh    []float64 `json:"s_ucl"`
}

func meanSDUnequal(in meanSDUnequalInput) (meanSDUnequalAnswer, error) {
	f, err := severalSubgroups(in.Subgroups)
	if err != nil {
		return meanSDUnequalAnswer{}, charted("subgroups", err)
	}
	l, err := f.UnequalLines()
	if err != nil {
		return meanSDUnequalAnswer{}, charted("subgroups", err)
	}
	return meanSDUnequalAnswer{
		N: f.Sizes, Means: f.Means, SDs: f.SDs, GrandMean: f.GrandMean, PooledSD: f.PooledSD,
		MeanLow: l.MeanLow, MeanHigh: l.MeanHigh, SDCentre: l.SDCentre, SDLow: l.SDLow, SDHigh: l.SDHigh,
	}, nil
}
