package calc

import (
	"fmt"
	"strconv"

	"tracewright/models/numbers/sampling"
)

// variablesPlanKinds are plans by measured values.
var variablesPlanKinds = []Kind{
	{
		Name:    "variables_accept_k",
		Does:    "acceptance of a lot by measured values and one limit: quality index against k, sigma unknown",
		Source:  "MIL-STD-414 (1957), section B, form 1",
		Example: `{"x":[197,188,184,205,201],"usl":209,"k":1.53}`,
		Run:     of(variablesByK),
	},
	{
		Name:    "variables_accept_m",
		Does:    "acceptance of a lot by measured values and one or two limits: estimated percent nonconforming against M",
		Source:  "MIL-STD-414 (1957), section B, form 2; Lieberman and Resnikoff 1955",
		Example: `{"x":[197,188,184,205,201],"lsl":180,"usl":209,"M_percent":3.32}`,
		Run:     of(variablesByM),
	},
	{
		Name:    "variables_plan_oc",
		Does:    "operating characteristic of a plan by measured values with one limit, sigma unknown",
		Source:  "Lieberman and Resnikoff, Journal of the American Statistical Association 50, 1955; non-central t",
		Example: `{"n":10,"k":1.72,"p":[0.01,0.05,0.1]}`,
		Run:     of(variablesCharacteristic),
	},
}

type byKInput struct {
	X   []float64 `json:"x"`
	LSL *float64  `json:"lsl,omitempty"`
	USL *float64  `json:"usl,omitempty"`
	K   float64   `json:"k"`
}

type byKAnswer struct {
	Mean   float64 `json:"mean"`
	SD     float64 `json:"sd"`
	Index  float64 `json:"quality_index"`
	Accept bool    `json:"accept"`
}

func variablesByK(in byKInput) (byKAnswer, error) {
	d, err := sampling.AcceptByK(in.X, sampling.Limits{Low: in.LSL, High: in.USL}, in.K)
	if err != nil {
		return byKAnswer{}, argument("", "x", err)
	}
	return byKAnswer{Mean: d.Mean, SD: d.SD, Index: d.Index, Accept: d.Accept}, nil
}

type byMInput struct {
	X        []float64 `json:"x"`
	LSL      *float64  `json:"lsl,omitempty"`
	USL      *float64  `json:"usl,omitempty"`
	MPercent float64   `json:"M_percent"`
}

type byMAnswer struct {
	Mean   float64  `json:"mean"`
	SD     float64  `json:"sd"`
	Low    *float64 `json:"q_l"` // null where there is no limit.
	High   *float64 `json:"q_u"`
	Below  float64  `json:"p_l_percent"`
	Above  float64  `json:"p_u_percent"`
	Total  float64  `json:"p_total_percent"`
	Accept bool     `json:"accept"`
}

func variablesByM(in byMInput) (byMAnswer, error) {
	d, err := sampling.AcceptByM(in.X, sampling.Limits{Low: in.LSL, High: in.USL}, in.MPercent/100)
	if err != nil {
		return byMAnswer{}, argument("", "x", err, "M", "M_percent")
	}
	return byMAnswer{
		Mean: d.Mean, SD: d.SD, Low: d.Low, High: d.High,
		Below: 100 * d.Below, Above: 100 * d.Above, Total: 100 * d.Total, Accept: d.Accept,
	}, nil
}

type variablesPlanInput struct {
	N int       `json:"n"`
	K float64   `json:"k"`
	P []float64 `json:"p"`
	Q []float64 `json:"q,omitempty"` // Quality indices to estimate a fraction from; 0.5, 1, 1.5 and 2 where none are given.
}

type variablesPlanAnswer struct {
	Pa []float64 `json:"pa"`
	// Estimated fraction beyond the limit by quality index; empty for n = 2, from
	// which nothing can be estimated.
	Estimates map[string]float64 `json:"p_hat_at_Q"`
}

func variablesCharacteristic(in variablesPlanInput) (variablesPlanAnswer, error) {
	if err := checkQueries("p", len(in.P)); err != nil {
		return variablesPlanAnswer{}, err
	}
	if len(in.Q) > maxQueries {
		return variablesPlanAnswer{}, checkQueries("q", len(in.Q))
	}
	plan := sampling.Variables{Size: in.N, Factor: in.K}
	answer := variablesPlanAnswer{Estimates: map[string]float64{}}
	for i, p := range in.P {
		pa, err := plan.Characteristic(p)
		if err != nil {
			return variablesPlanAnswer{}, argumentAt(i, err)
		}
		answer.Pa = append(answer.Pa, pa)
	}
	indices := in.Q
	if len(indices) == 0 && in.N > 2 {
		indices = []float64{0.5, 1, 1.5, 2}
	}
	for i, q := range indices {
		estimate, err := sampling.Nonconforming(q, in.N)
		if err != nil {
			return variablesPlanAnswer{}, argument("", fmt.Sprintf("q[%d]", i), err, "Q", fmt.Sprintf("q[%d]", i))
		}
		answer.Estimates[strconv.FormatFloat(q, 'g', -1, 64)] = estimate
	}
	return answer, nil
}
