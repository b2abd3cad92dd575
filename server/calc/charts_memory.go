package calc

import "tracewright/models/numbers/spc"

// memoryChartKinds are charts whose points carry on what went before.
var memoryChartKinds = []Kind{
	{
		Name:    "ewma",
		Does:    "exponentially weighted moving average with exact and steady limits",
		Source:  "NIST/SEMATECH e-Handbook, 6.3.2.4; Roberts 1959",
		Example: `{"x":[52.0,47.0,53.0,49.3],"target":50,"sigma":2,"lambda":0.3,"L":3}`,
		Run:     of(ewma),
	},
	{
		Name:    "cusum",
		Does:    "two-sided cumulative sum with decision interval, and head start where one is given",
		Source:  "NIST/SEMATECH e-Handbook, 6.3.2.3; head start: Lucas and Crosier 1982",
		Example: `{"x":[102,97,104,93],"target":100,"k":3,"h":12,"headstart":6}`,
		Run:     of(cusum),
	},
}

type ewmaInput struct {
	X      []float64 `json:"x"`
	Target float64   `json:"target"`
	Sigma  float64   `json:"sigma"`
	Lambda float64   `json:"lambda"`
	L      float64   `json:"L"`
}

type ewmaAnswer struct {
	Z           []float64 `json:"z"`
	Low         []float64 `json:"lcl_exact"`
	High        []float64 `json:"ucl_exact"`
	SteadyLow   float64   `json:"lcl_steady"`
	SteadyHigh  float64   `json:"ucl_steady"`
	FirstExact  *int      `json:"first_signal_exact_0based"` // null: no signal.
	FirstSteady *int      `json:"first_signal_steady_0based"`
}

func ewma(in ewmaInput) (ewmaAnswer, error) {
	l, err := spc.EWMA(in.X, in.Target, in.Sigma, in.Lambda, in.L)
	if err != nil {
		return ewmaAnswer{}, argument("", "x", err, "values", "x", "weight", "lambda", "width", "L")
	}
	return ewmaAnswer{Z: l.Z, Low: l.Low, High: l.High, SteadyLow: l.SteadyLow, SteadyHigh: l.SteadyHigh,
		FirstExact: placeOf(l.FirstExact), FirstSteady: placeOf(l.FirstSteady)}, nil
}

// placeOf returns nil for -1, no place.
func placeOf(i int) *int {
	if i < 0 {
		return nil
	}
	return &i
}

type cusumInput struct {
	X         []float64 `json:"x"`
	Target    float64   `json:"target"`
	K         float64   `json:"k"`
	H         float64   `json:"h"`
	HeadStart float64   `json:"headstart,omitempty"`
}

type cusumAnswer struct {
	Above      []float64 `json:"c_plus"`
	Below      []float64 `json:"c_minus"`
	SinceAbove []int     `json:"n_plus"`
	SinceBelow []int     `json:"n_minus"`
	First      *int      `json:"first_signal_0based"` // null: no signal.
	Side       *spc.Side `json:"side"`
}

func cusum(in cusumInput) (cusumAnswer, error) {
	l, err := spc.CUSUM(in.X, in.Target, in.K, in.H, in.HeadStart)
	if err != nil {
		return cusumAnswer{}, charted("x", err)
	}
	answer := cusumAnswer{Above: l.Above, Below: l.Below, SinceAbove: l.SinceAbove, SinceBelow: l.SinceBelow, First: placeOf(l.First)}
	if answer.First != nil {
		answer.Side = &l.Side
	}
	return answer, nil
}
