package calc

import (
	"errors"
	"slices"
	"strings"

	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// chartKinds are control charts.
var chartKinds = slices.Concat(singleChartKinds, subgroupChartKinds, countChartKinds, memoryChartKinds, vectorChartKinds)

// singleChartKinds are the factors of charts, and charts of single values.
var singleChartKinds = []Kind{
	{
		Name:    "chart_constants",
		Does:    "factors of control charts for a subgroup size, from 2 to 100",
		Source:  "range distribution by quadrature (Tippett 1925), c4 by the gamma function; letters as in ASTM MNL 7",
		Example: `{"n":5}`,
		Run:     of(chartConstants),
	},
	{
		Name:    "individuals_chart",
		Does:    "centre and limits of single values from their moving ranges",
		Source:  "NIST/SEMATECH e-Handbook, 6.3.2.2; d2 = 2/sqrt(pi)",
		Example: `{"x":[0.21,0.19,0.24,0.22,0.18,0.23]}`,
		Run:     of(individualsChart),
	},
}

// charted turns an error of a chart into a failure that names the field; values
// is the name that the input has for what the charts call values.
func charted(values string, err error) error {
	var named *stats.ArgumentError
	if !errors.As(err, &named) {
		return refuse(values, err)
	}
	field := named.Argument
	if field == "covariance" {
		field = values // It is computed from them.
	}
	if rest, ok := strings.CutPrefix(field, "values"); ok {
		field = values + rest
	}
	return &Failure{Field: field, Problem: named.Err.Error()}
}

type chartConstantsInput struct {
	N int `json:"n"`
}

type chartConstantsAnswer struct {
	N           int     `json:"n"`
	D2          float64 `json:"d2"`
	D3          float64 `json:"d3"`
	C4          float64 `json:"c4"`
	MedianRange float64 `json:"median_range"`
	A           float64 `json:"A"`
	A1          float64 `json:"A1"`
	A2          float64 `json:"A2"`
	A3          float64 `json:"A3"`
	B3          float64 `json:"B3"`
	B4          float64 `json:"B4"`
	B5          float64 `json:"B5"`
	B6          float64 `json:"B6"`
	RangeD1     float64 `json:"D1"`
	RangeD2     float64 `json:"D2"`
	RangeD3     float64 `json:"D3"`
	RangeD4     float64 `json:"D4"`
	E2          float64 `json:"E2"`
	E3          float64 `json:"E3"`
}

func chartConstants(in chartConstantsInput) (chartConstantsAnswer, error) {
	c, err := spc.For(in.N)
	if err != nil {
		return chartConstantsAnswer{}, refuse("n", err)
	}
	return chartConstantsAnswer{
		N: c.N, D2: c.D2, D3: c.D3, C4: c.C4, MedianRange: c.MedianRange,
		A: c.A(), A1: c.A1(), A2: c.A2(), A3: c.A3(), B3: c.B3(), B4: c.B4(), B5: c.B5(), B6: c.B6(),
		RangeD1: c.RangeLow(), RangeD2: c.RangeHigh(), RangeD3: c.RangeLowFromMean(), RangeD4: c.RangeHighFromMean(),
		E2: c.E2(), E3: c.E3(),
	}, nil
}

type individualsAnswer struct {
	N                 int       `json:"n"`
	Xbar              float64   `json:"xbar"`
	MovingRanges      []float64 `json:"moving_ranges"`
	MRbar             float64   `json:"mrbar"`
	MedianMR          float64   `json:"median_mr"`
	SigmaFromMRbar    float64   `json:"sigma_hat_mrbar_over_d2"`
	SigmaFromMedianMR float64   `json:"sigma_hat_median_mr"`
	SDOverall         float64   `json:"sd_overall"`
	XLow              float64   `json:"x_lcl"`
	XHigh             float64   `json:"x_ucl"`
	MRLow             float64   `json:"mr_lcl"`
	MRHigh            float64   `json:"mr_ucl"`
	// What a chart of these values would admit.
	Provisional    bool   `json:"provisional"`
	NoLimitsReason string `json:"no_limits_reason,omitempty"`
}

func individualsChart(in seriesInput) (individualsAnswer, error) {
	m, err := spc.FromMovingRanges(in.X)
	if err != nil {
		return individualsAnswer{}, charted("x", err)
	}
	sd, err := stats.SD(in.X)
	if err != nil {
		return individualsAnswer{}, charted("x", err)
	}
	if sd == 0 {
		return individualsAnswer{}, refuse("x", stats.ErrNoSpread)
	}
	chart, err := spc.Individuals(spc.Data{Values: in.X})
	if err != nil {
		return individualsAnswer{}, charted("x", err)
	}
	return individualsAnswer{
		N: len(in.X), Xbar: m.Mean, MovingRanges: m.Ranges, MRbar: m.MeanMR, MedianMR: m.MedianMR,
		SigmaFromMRbar: m.Sigma, SigmaFromMedianMR: m.SigmaByMedian, SDOverall: sd,
		XLow: m.Low, XHigh: m.High, MRLow: 0, MRHigh: m.RangeHigh,
		Provisional: chart.Facts.Provisional, NoLimitsReason: chart.Facts.NoLimitsReason,
	}, nil
}
