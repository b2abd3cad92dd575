package calc

import (
	"errors"

	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// numberKinds are the calculations that belong to no trade.
var numberKinds = []Kind{
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
	{
		Name:    "summary",
		Does:    "mean, standard deviation (n-1) and autocorrelation at lag 1",
		Source:  "NIST/SEMATECH e-Handbook, 1.3.5; certified data of the NIST Statistical Reference Datasets",
		Example: `{"x":[0.21,0.19,0.24,0.22]}`,
		Run:     of(summary),
	},
	{
		Name:    "units",
		Does:    "kilogram-force and pound-force in newtons, and a spoke nipple's turns in millimetres of thread",
		Source:  "1 kgf = 9.80665 N, 1 lbf = 4.4482216152605 N, 1 in = 25.4 mm, all exact by definition",
		Example: `{"kgf":105,"lbf":240,"turns":0.375,"tpi":56}`,
		Run:     of(unitConversions),
	},
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

type seriesInput struct {
	X []float64 `json:"x"`
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
		return individualsAnswer{}, refuse("x", err)
	}
	sd, err := stats.SD(in.X)
	if err != nil {
		return individualsAnswer{}, refuse("x", err)
	}
	chart, err := spc.Individuals(spc.Data{Values: in.X})
	if err != nil {
		return individualsAnswer{}, refuse("x", err)
	}
	return individualsAnswer{
		N: len(in.X), Xbar: m.Mean, MovingRanges: m.Ranges, MRbar: m.MeanMR, MedianMR: m.MedianMR,
		SigmaFromMRbar: m.Sigma, SigmaFromMedianMR: m.SigmaByMedian, SDOverall: sd,
		XLow: m.Low, XHigh: m.High, MRLow: 0, MRHigh: m.RangeHigh,
		Provisional: chart.Facts.Provisional, NoLimitsReason: chart.Facts.NoLimitsReason,
	}, nil
}

type summaryAnswer struct {
	N        int      `json:"n"`
	Mean     float64  `json:"mean"`
	SD       float64  `json:"sd"`
	Lag1     *float64 `json:"lag1_autocorrelation"` // null when all values are equal.
	Distinct int      `json:"distinct"`
}

func summary(in seriesInput) (summaryAnswer, error) {
	s, err := stats.Summarise(in.X)
	if err != nil {
		return summaryAnswer{}, refuse("x", err)
	}
	answer := summaryAnswer{N: s.N, Mean: s.Mean, SD: s.SD, Distinct: s.Distinct}
	if s.Lag1Known {
		answer.Lag1 = &s.Lag1
	}
	return answer, nil
}

type unitsInput struct {
	KGF   measure.Decimal `json:"kgf"`
	LBF   measure.Decimal `json:"lbf"`
	Turns measure.Decimal `json:"turns"`
	TPI   measure.Decimal `json:"tpi"`
}

type unitsAnswer struct {
	KGFInNewton exact `json:"kgf_in_N"`
	LBFInNewton exact `json:"lbf_in_N"`
	KGFInLBF    exact `json:"kgf_in_lbf"`
	TurnMM      exact `json:"turn_mm"`
}

func unitConversions(in unitsInput) (unitsAnswer, error) {
	var answer unitsAnswer
	for _, c := range []struct {
		field    string
		value    measure.Decimal
		from, to measure.Unit
		into     *exact
	}{
		{"kgf", in.KGF, measure.KilogramForce, measure.Newton, &answer.KGFInNewton},
		{"lbf", in.LBF, measure.PoundForce, measure.Newton, &answer.LBFInNewton},
		{"kgf", in.KGF, measure.KilogramForce, measure.PoundForce, &answer.KGFInLBF},
	} {
		converted, err := measure.Convert(c.value, c.from, c.to)
		if err != nil {
			return unitsAnswer{}, refuse(c.field, err)
		}
		*c.into = exact{converted}
	}
	if in.TPI.Sign() <= 0 {
		return unitsAnswer{}, refuse("tpi", errors.New("must be above 0"))
	}
	// One thread is 25.4/tpi mm of travel a turn.
	inches, err := in.Turns.Quo(in.TPI)
	if err != nil {
		return unitsAnswer{}, refuse("turns", err)
	}
	travel, err := measure.Convert(inches, measure.Inch, measure.MM)
	if err != nil {
		return unitsAnswer{}, refuse("turns", err)
	}
	answer.TurnMM = exact{travel.RoundSignificant(12)}
	return answer, nil
}
