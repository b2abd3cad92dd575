package calc

import (
	"errors"
	"fmt"

	"tracewright/models/numbers/gauge"
)

// uncertaintyKinds are budgets and the propagation of uncertainties.
var uncertaintyKinds = []Kind{
	{
		Name:    "uncertainty_budget",
		Does:    "combined and expanded uncertainty of a budget: normal, resolution, rect_half, tri_half, u_half or typeA_sd",
		Source:  "JCGM 100:2008, 5.1.2 and G.4; Welch-Satterthwaite, effective degrees of freedom rounded down",
		Example: `{"components":[{"name":"repeats","value":0.012,"dist":"typeA_sd","n":5},{"name":"dial","value":0.008,"dist":"normal","k":2}],"coverage":0.95}`,
		Run:     of(uncertaintyBudget),
	},
	{
		Name:    "student_t_k",
		Does:    "coverage factor for a coverage probability and degrees of freedom",
		Source:  "JCGM 100:2008, table G.2; Student's t",
		Example: `{"coverage":0.95,"dof":5}`,
		Run:     of(coverageFactor),
	},
	{
		Name:    "mean_typeA",
		Does:    "mean of repeated readings with its type A uncertainty",
		Source:  "JCGM 100:2008, 4.2",
		Example: `{"x":[1010,995,1020,1005,990]}`,
		Run:     of(meanTypeA),
	},
	{
		Name:    "ratio",
		Does:    "ratio of two quantities with its standard uncertainty, their errors correlated or not",
		Source:  "JCGM 100:2008, 5.1.6 and 5.2.2",
		Example: `{"a":620,"ua":20,"b":1080,"ub":25,"corr":0}`,
		Run:     of(ratio),
	},
}

// shapes are the words of the input for the shapes of a budget.
var shapes = map[string]gauge.Shape{
	"normal": gauge.Stated, "resolution": gauge.Resolution, "rect_half": gauge.Rectangular,
	"tri_half": gauge.Triangular, "u_half": gauge.UShaped, "typeA_sd": gauge.Repeats,
}

type budgetInput struct {
	Components []componentInput `json:"components"`
	Coverage   float64          `json:"coverage"`
}

type componentInput struct {
	Name  string   `json:"name,omitempty"`
	Value float64  `json:"value"`
	Dist  string   `json:"dist"`
	K     *float64 `json:"k,omitempty"` // 1 when left out.
	N     *int     `json:"n,omitempty"`
	C     *float64 `json:"c,omitempty"`   // 1 when left out.
	DoF   *float64 `json:"dof,omitempty"` // Infinite when left out.
}

type budgetAnswer struct {
	Combined   float64              `json:"uc"`
	DoF        *float64             `json:"nu_eff"`
	DoFUsed    *float64             `json:"nu_used"`
	K          float64              `json:"k"`
	Expanded   float64              `json:"U"`
	Components []contributionAnswer `json:"components"`
}

type contributionAnswer struct {
	Name  string  `json:"name"`
	U     float64 `json:"u"`
	Share float64 `json:"share_of_variance"`
}

func uncertaintyBudget(in budgetInput) (budgetAnswer, error) {
	components := make([]gauge.Component, len(in.Components))
	for i, c := range in.Components {
		component, err := c.component()
		if err != nil {
			var failure *Failure
			errors.As(err, &failure)
			failure.Field = fmt.Sprintf("components[%d].%s", i, failure.Field)
			return budgetAnswer{}, failure
		}
		components[i] = component
	}
	b, err := gauge.Combine(components, in.Coverage)
	if err != nil {
		return budgetAnswer{}, gaugeFailure("components", err)
	}
	answer := budgetAnswer{
		Combined: b.Combined, DoF: known(threeDecimals(b.DoF), !b.Infinite), DoFUsed: known(b.DoFUsed, !b.Infinite), K: b.K, Expanded: b.Expanded,
		Components: make([]contributionAnswer, len(b.Contributions)),
	}
	for i, c := range b.Contributions {
		answer.Components[i] = contributionAnswer{Name: c.Name, U: c.U, Share: c.Share}
	}
	return answer, nil
}

// component fills in what was left out. A zero that was written is not the same: for a
// factor or degrees of freedom it is refused, since zero stands for the usual value in
// the budget; what the result does not change with contributes nothing.
func (c componentInput) component() (gauge.Component, error) {
	shape, ok := shapes[c.Dist]
	if !ok {
		return gauge.Component{}, &Failure{Field: "dist", Problem: fmt.Sprintf("%.40q is not one of normal, resolution, rect_half, tri_half, u_half, typeA_sd", c.Dist)}
	}
	component := gauge.Component{Name: c.Name, Shape: shape, Value: c.Value}
	for _, of := range []struct {
		field string
		given *float64
		into  *float64
	}{{"k", c.K, &component.K}, {"c", c.C, &component.Sensitivity}, {"dof", c.DoF, &component.DoF}} {
		switch {
		case of.given == nil:
		case *of.given == 0 && of.field == "c":
			component.Value = min(component.Value, 0) // One below 0 is still refused.
		case *of.given == 0:
			return gauge.Component{}, &Failure{Field: of.field, Problem: "must not be 0"}
		default:
			*of.into = *of.given
		}
	}
	if c.N != nil {
		component.N = *c.N
	}
	return component, nil
}

type coverageInput struct {
	Coverage float64 `json:"coverage"`
	DoF      float64 `json:"dof"`
}

type coverageAnswer struct {
	K float64 `json:"k"`
}

func coverageFactor(in coverageInput) (coverageAnswer, error) {
	k, err := gauge.Coverage(in.Coverage, in.DoF)
	if err != nil {
		return coverageAnswer{}, gaugeFailure("coverage", err, "degrees of freedom", "dof")
	}
	return coverageAnswer{K: k}, nil
}

type meanAnswer struct {
	Mean float64  `json:"mean"`
	S    *float64 `json:"s"`
	U    *float64 `json:"u_mean"`
	DoF  int      `json:"dof"`
}

func meanTypeA(in seriesInput) (meanAnswer, error) {
	m, err := gauge.MeanOf(in.X)
	if err != nil {
		return meanAnswer{}, gaugeFailure("x", err, "readings", "x")
	}
	return meanAnswer{Mean: m.Value, S: known(m.S, m.SpreadKnown), U: known(m.U, m.SpreadKnown), DoF: m.DoF}, nil
}

type ratioInput struct {
	A    float64 `json:"a"`
	UA   float64 `json:"ua"`
	B    float64 `json:"b"`
	UB   float64 `json:"ub"`
	Corr float64 `json:"corr"`
}

type ratioAnswer struct {
	Q float64 `json:"q"`
	U float64 `json:"u"`
}

func ratio(in ratioInput) (ratioAnswer, error) {
	q, err := gauge.Ratio(gauge.Quantity{Value: in.A, U: in.UA}, gauge.Quantity{Value: in.B, U: in.UB}, in.Corr)
	if err != nil {
		return ratioAnswer{}, gaugeFailure("a, b", err, "uncertainty of a", "ua", "uncertainty of b", "ub", "correlation", "corr")
	}
	return ratioAnswer{Q: q.Value, U: q.U}, nil
}
