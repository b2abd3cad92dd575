package api

import (
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/life"
	"tracewright/models/work/returns"
)

// returnsShape is what came back and what will. Nothing of a customer stands in it.
type returnsShape struct {
	Family         familyLine      `json:"family"`
	Lot            string          `json:"lot,omitempty"`
	From           string          `json:"from"`
	Today          string          `json:"today"`
	Back           countedShare    `json:"back"`
	Clock          remark          `json:"clock"`
	AsOf           string          `json:"as_of"`
	Months         []returnsMonth  `json:"months"`
	MonthsCompared int             `json:"months_compared"`
	Ages           []returnsAge    `json:"ages"`
	Curve          []curvePoint    `json:"curve"`
	Rest           []curvePoint    `json:"rest"`
	Until          float64         `json:"until"`
	Weibull        *weibullShape   `json:"weibull"` // null: too few came back
	Assumed        []assumedShape  `json:"assumed"`
	Ahead          []aheadShape    `json:"ahead"`
	Lots           []returnsLot    `json:"lots"`
	LotsCompared   int             `json:"lots_compared"`
	Claims         []returnedClaim `json:"claims"`
	Sentences      []sentence      `json:"sentences"`
}

// excessShape is what came back of some units beside what was to be expected of them.
type excessShape struct {
	Back     countedShare `json:"back"`
	Expected *float64     `json:"expected"` // null: too few to compare
	Chance   *float64     `json:"chance"`   // of as many or more, with room for how many were compared
	More     bool         `json:"more"`
	Because  []string     `json:"because"` // lots that explain it
}

type returnsMonth struct {
	Month string         `json:"month"`
	ByAge map[string]int `json:"by_age"`
	excessShape
}

type returnsAge struct {
	Age        int          `json:"age"`
	AtRisk     int          `json:"at_risk"`
	Returns    int          `json:"returns"`
	Hazard     float64      `json:"hazard"`
	Interval   shareBounds  `json:"interval"`
	Cumulative float64      `json:"cumulative"`
	Bounds     *shareBounds `json:"bounds"`
}

type curvePoint struct {
	Age      float64      `json:"age"` // months in service
	AtRisk   int          `json:"at_risk"`
	Failures int          `json:"failures"`
	Survival float64      `json:"survival"`
	Interval *shareBounds `json:"interval"`
}

type weibullShape struct {
	Shape    float64     `json:"shape"`
	Interval shareBounds `json:"interval"`
	Scale    float64     `json:"scale"` // months
}

type assumedShape struct {
	Shape float64  `json:"shape"`
	Scale *float64 `json:"scale"`
	Low   float64  `json:"low"`
	High  *float64 `json:"high"`
}

type aheadShape struct {
	Months   int          `json:"months"`
	StillOut int          `json:"still_out"`
	Expected *float64     `json:"expected"`
	Mean     *shareBounds `json:"mean"`
	Low      int          `json:"low"`
	High     int          `json:"high"`
	Costs    []aheadCost  `json:"costs"`
}

type aheadCost struct {
	Currency string       `json:"currency"`
	Claims   int          `json:"claims"`
	Mean     float64      `json:"mean"`
	SD       float64      `json:"sd"`
	Expected float64      `json:"expected"`
	Interval *shareBounds `json:"interval"`
}

type returnsLot struct {
	Lot      string `json:"lot"`
	Material string `json:"material"`
	excessShape
}

type returnedClaim struct {
	Number    string  `json:"number"`
	Item      string  `json:"item"` // serial
	ShippedAt instant `json:"shipped_at"`
	OpenedAt  instant `json:"opened_at"`
	Code      string  `json:"code,omitempty"`
	Decision  string  `json:"decision,omitempty"`
}

func (a *api) returns(c *gin.Context) error {
	given := query(c)
	q := returns.Query{FamilyID: given["family"], Lot: given["lot"]}
	invalid := &models.InvalidError{}
	for name, into := range map[string]*int{"months": &q.Months, "lag": &q.LagDays} {
		if text := given[name]; text != "" {
			n, err := strconv.Atoi(text)
			if err != nil {
				invalid.Add(name, "not_a_number", "typed", models.Shortened(text))
			}
			*into = n
		}
	}
	if err := invalid.OrNil(); err != nil {
		return err
	}
	v, err := a.services.Returns.View(c.Request.Context(), q)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, returnsOf(v))
}

func returnsOf(v returns.View) returnsShape {
	shape := returnsShape{Family: familyLineOf(v.Family), From: v.From, Today: v.Today, Back: backOf(v.Share), Clock: remarks([]models.Remark{v.Clock})[0], AsOf: v.AsOf, MonthsCompared: v.MonthsCompared, LotsCompared: v.LotsCompared,
		Months: []returnsMonth{}, Ages: []returnsAge{}, Curve: curveOf(v.Curve), Rest: curveOf(v.Rest), Until: v.Until, Assumed: []assumedShape{}, Ahead: []aheadShape{}, Lots: []returnsLot{}, Claims: []returnedClaim{}, Sentences: sentencesOf(v.Says())}
	if v.Lot != nil {
		shape.Lot = v.Lot.Code
	}
	for _, m := range v.Months {
		row := returnsMonth{Month: m.Month, ByAge: map[string]int{}, excessShape: excessOf(m.Excess, m.Because)}
		for age, n := range m.Returns {
			row.ByAge[strconv.Itoa(age)] = n
		}
		shape.Months = append(shape.Months, row)
	}
	for _, r := range v.Ages {
		row := returnsAge{Age: r.Age, AtRisk: r.AtRisk, Returns: r.Returns, Hazard: r.Hazard, Interval: shareBounds(r.HazardBounds), Cumulative: r.Cumulative}
		if r.Bounded {
			row.Bounds = &shareBounds{r.Bounds.Low, r.Bounds.High}
		}
		shape.Ages = append(shape.Ages, row)
	}
	if v.Law != nil {
		if f := v.Law.Fit; f != nil {
			shape.Weibull = &weibullShape{f.Shape(), shareBounds(v.Law.Shape), f.Scale()}
		}
		for _, x := range v.Law.Assumed {
			row := assumedShape{Shape: x.Shape, Low: x.Low}
			if x.ScaleKnown {
				row.Scale, row.High = &x.Scale, &x.High
			}
			shape.Assumed = append(shape.Assumed, row)
		}
	}
	for _, x := range v.Ahead {
		row := aheadShape{Months: x.Months, StillOut: x.StillOut, Low: x.Low, High: x.High, Costs: []aheadCost{}}
		if x.Known {
			row.Expected, row.Mean = &x.Expected, &shareBounds{x.Mean.Low, x.Mean.High}
		}
		for _, k := range x.Costs {
			cost := aheadCost{Currency: k.Currency, Claims: k.Claims, Mean: k.Mean, SD: k.SD, Expected: k.Expected}
			if k.Bounded {
				cost.Interval = &shareBounds{k.Low, k.High}
			}
			row.Costs = append(row.Costs, cost)
		}
		shape.Ahead = append(shape.Ahead, row)
	}
	for _, l := range v.Lots {
		var because []string
		if l.Because != "" {
			because = []string{l.Because}
		}
		shape.Lots = append(shape.Lots, returnsLot{l.Lot.Code, l.Lot.Material, excessOf(l.Excess, because)})
	}
	for _, x := range v.Claims {
		shape.Claims = append(shape.Claims, returnedClaim{x.Number, x.Serial, instant(x.ShippedAt), instant(x.OpenedAt), x.Code, x.Decision})
	}
	return shape
}

func backOf(s returns.Share) countedShare { return countedShareOf(s.K, s.N, s.Few, s.Interval) }

func excessOf(e returns.Excess, because []string) excessShape {
	if because == nil {
		because = []string{}
	}
	shape := excessShape{Back: backOf(e.Share), More: e.More, Because: because}
	if e.Known {
		shape.Expected, shape.Chance = &e.Expected, &e.Adjusted
	}
	return shape
}

func curveOf(curve *life.Curve) []curvePoint {
	out := []curvePoint{}
	if curve == nil {
		return out
	}
	for _, p := range curve.Firm() {
		row := curvePoint{Age: p.Time, AtRisk: p.AtRisk, Failures: p.Failures, Survival: p.Survival}
		if p.Bounded {
			row.Interval = &shareBounds{p.LogLog.Low, p.LogLog.High}
		}
		out = append(out, row)
	}
	return out
}
