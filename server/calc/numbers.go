package calc

import (
	"errors"

	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/stats"
)

// numberKinds are the calculations that belong to no trade.
var numberKinds = []Kind{
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

type seriesInput struct {
	X []float64 `json:"x"`
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
	answer := summaryAnswer{N: s.N, Mean: s.Mean, SD: s.SD, Distinct: stats.Distinct(in.X)}
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
