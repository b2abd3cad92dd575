package calc

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// countChartKinds are charts of counted things. Limits three sigma away stand
// beside the exact ones; small_counts says that the exact ones are to be used.
var countChartKinds = []Kind{
	{
		Name:    "c_chart",
		Does:    "chart of nonconformities on one and the same unit, with exact Poisson limits",
		Source:  "NIST/SEMATECH e-Handbook, 6.3.3.1; exact limits: Poisson tails of 0.00135",
		Example: `{"counts":[3,5,2,4,6,3]}`,
		Run:     of(cChart),
	},
	{
		Name:    "u_chart",
		Does:    "chart of nonconformities per unit, with exact Poisson limits",
		Source:  "ISO 7870-2; ASTM MNL 7; exact limits: Poisson tails of 0.00135",
		Example: `{"counts":[14,12,20],"units":[10,8,13]}`,
		Run:     of(uChart),
	},
	{
		Name:    "np_chart",
		Does:    "chart of the number nonconforming of n items, with exact binomial limits",
		Source:  "NIST/SEMATECH e-Handbook, 6.3.3.2; exact limits: binomial tails of 0.00135",
		Example: `{"counts":[3,5,2,4],"n":50}`,
		Run:     of(npChart),
	},
	{
		Name:    "p_chart",
		Does:    "chart of the proportion nonconforming, n one number or one a point, with exact binomial limits",
		Source:  "NIST/SEMATECH e-Handbook, 6.3.3.2; exact limits: binomial tails of 0.00135",
		Example: `{"counts":[12,8,6],"n":[100,80,80]}`,
		Run:     of(pChart),
	},
	{
		Name:    "overdispersed_chart",
		Does:    "chart of proportions or rates that scatter more than their distribution; rates when of is units, a count exceeds its n or an n is no whole number",
		Source:  "Laney, Quality Engineering 14, 2002: moving range of the standardised points",
		Example: `{"counts":[105,115,83,28],"n":[1506,2286,1385,448]}`,
		Run:     of(overdispersed),
	},
}

// mostCounts bounds a chart of counts: exact limits take some microseconds a
// size.
const mostCounts = 20_000

func fewCounts(counts []int) error {
	switch {
	case len(counts) > mostCounts:
		return refuse("counts", fmt.Errorf("%d counts, at most %d can be charted at once", len(counts), mostCounts))
	case len(counts) < 2:
		return refuse("counts", fmt.Errorf("%d where 2 are needed: %w", len(counts), stats.ErrTooFew))
	}
	return nil
}

// spread refuses counts whose distribution has none: nothing found at all, or
// everything.
func spread(l spc.CountLimits) error {
	if l.Z == nil {
		return refuse("counts", fmt.Errorf("nothing found, or everything: %w", stats.ErrNoSpread))
	}
	return nil
}

// oneOrMany is a size: one number for all points, or an array of one a point.
type oneOrMany struct {
	one  bool
	many []float64
}

// UnmarshalJSON reads either.
func (o *oneOrMany) UnmarshalJSON(raw []byte) error {
	var one float64
	if json.Unmarshal(raw, &one) == nil {
		*o = oneOrMany{one: true, many: []float64{one}}
		return nil
	}
	var many []*float64
	if err := json.Unmarshal(raw, &many); err != nil || slices.Contains(many, nil) {
		return errors.New("must be a number or an array of numbers")
	}
	o.many = make([]float64, len(many))
	for i, value := range many {
		o.many[i] = *value
	}
	return nil
}

// of returns one size a count.
func (o oneOrMany) of(points int) []float64 {
	if !o.one {
		return o.many
	}
	sizes := make([]float64, points)
	for i := range sizes {
		sizes[i] = o.many[0]
	}
	return sizes
}

// line is a limit: a number where the size is one number, an array elsewhere.
func (o oneOrMany) line(heights []float64) any {
	if o.one {
		return heights[0]
	}
	return heights
}

// countLines is what every chart of counts answers beside its centre.
type countLines struct {
	Low       any       `json:"lcl"`
	High      any       `json:"ucl"`
	ExactLow  any       `json:"lcl_exact"`
	ExactHigh any       `json:"ucl_exact"`
	Small     bool      `json:"small_counts"`
	Z         []float64 `json:"z"`
	Outside   []int     `json:"out_of_control_0based"`
}

// lines are limits of one number where the size is one number.
func (o oneOrMany) lines(l spc.CountLimits) countLines {
	return countLines{Low: o.line(l.Low), High: o.line(l.High), ExactLow: o.line(l.ExactLow), ExactHigh: o.line(l.ExactHigh),
		Small: l.Small, Z: l.Z, Outside: spc.Beyond(l.Points, l.Low, l.High)}
}

type cInput struct {
	Counts []int `json:"counts"`
}

type cAnswer struct {
	Mean float64 `json:"cbar"`
	countLines
}

func cChart(in cInput) (cAnswer, error) {
	if err := fewCounts(in.Counts); err != nil {
		return cAnswer{}, err
	}
	l, err := spc.CountsOnUnit(in.Counts)
	if err != nil {
		return cAnswer{}, charted("counts", err)
	}
	if err := spread(l); err != nil {
		return cAnswer{}, err
	}
	return cAnswer{l.Total, oneOrMany{one: true}.lines(l)}, nil
}

type uInput struct {
	Counts []int     `json:"counts"`
	Units  oneOrMany `json:"units"`
}

type uAnswer struct {
	Mean float64   `json:"ubar"`
	U    []float64 `json:"u"`
	countLines
}

func uChart(in uInput) (uAnswer, error) {
	if err := fewCounts(in.Counts); err != nil {
		return uAnswer{}, err
	}
	l, err := spc.Rates(in.Counts, in.Units.of(len(in.Counts)))
	if err != nil {
		return uAnswer{}, charted("counts", err)
	}
	if err := spread(l); err != nil {
		return uAnswer{}, err
	}
	return uAnswer{l.Total, l.Points, in.Units.lines(l)}, nil
}

type npInput struct {
	Counts []int   `json:"counts"`
	N      float64 `json:"n"`
}

type npAnswer struct {
	Mean float64 `json:"npbar"`
	countLines
}

func npChart(in npInput) (npAnswer, error) {
	if err := fewCounts(in.Counts); err != nil {
		return npAnswer{}, err
	}
	l, err := spc.Nonconforming(in.Counts, in.N)
	if err != nil {
		err = charted("counts", err)
		var failure *Failure
		if errors.As(err, &failure) && strings.HasPrefix(failure.Field, "n[") {
			failure.Field = "n" // One number here.
		}
		return npAnswer{}, err
	}
	if err := spread(l); err != nil {
		return npAnswer{}, err
	}
	return npAnswer{l.Total, oneOrMany{one: true}.lines(l)}, nil
}

type pInput struct {
	Counts      []int     `json:"counts"`
	N           oneOrMany `json:"n"`
	Proportions []float64 `json:"proportions,omitempty"` // Of the same points, to be checked.
}

type pAnswer struct {
	Mean float64   `json:"pbar"`
	P    []float64 `json:"p"`
	countLines
}

func pChart(in pInput) (pAnswer, error) {
	if err := fewCounts(in.Counts); err != nil {
		return pAnswer{}, err
	}
	l, err := spc.Proportions(in.Counts, in.N.of(len(in.Counts)))
	if err != nil {
		return pAnswer{}, charted("counts", err)
	}
	if err := spread(l); err != nil {
		return pAnswer{}, err
	}
	if in.Proportions != nil && len(in.Proportions) != len(l.Points) {
		return pAnswer{}, refuse("proportions", fmt.Errorf("%d of %d counts", len(in.Proportions), len(l.Points)))
	}
	for i, p := range in.Proportions {
		if math.Abs(p-l.Points[i]) > 1e-6 { // As far as proportions are printed.
			return pAnswer{}, refuse(fmt.Sprintf("proportions[%d]", i), fmt.Errorf("%v is not the %v of the counts", p, l.Points[i]))
		}
	}
	return pAnswer{l.Total, l.Points, in.N.lines(l)}, nil
}

type overdispersedInput struct {
	Counts []int     `json:"counts"`
	N      oneOrMany `json:"n"`
	Of     string    `json:"of,omitempty"` // items or units.
}

type overdispersedAnswer struct {
	Of             string    `json:"of"`
	Centre         float64   `json:"center"`
	Points         []float64 `json:"points"`
	Z              []float64 `json:"z"`
	MeanMR         float64   `json:"mrbar_z"`
	SigmaZ         float64   `json:"sigma_z"`
	Low            []float64 `json:"lcl"`
	High           []float64 `json:"ucl"`
	UnadjustedHigh []float64 `json:"ucl_unadjusted"`
	Outside        []int     `json:"out_of_control_0based"`
}

func overdispersed(in overdispersedInput) (overdispersedAnswer, error) {
	if err := fewCounts(in.Counts); err != nil {
		return overdispersedAnswer{}, err
	}
	sizes, of := in.N.of(len(in.Counts)), in.Of
	if of == "" {
		of = "items"
		for i, k := range in.Counts {
			if i < len(sizes) && (float64(k) > sizes[i] || sizes[i] != math.Trunc(sizes[i])) {
				of = "units"
			}
		}
	}
	lines := spc.OverdispersedProportions
	switch of {
	case "items":
	case "units":
		lines = spc.OverdispersedRates
	default:
		return overdispersedAnswer{}, refuse("of", fmt.Errorf("must be items or units, not %.40q", of))
	}
	l, err := lines(in.Counts, sizes)
	if err != nil {
		return overdispersedAnswer{}, unitsAreN(charted("counts", err))
	}
	if l.SigmaZ == 0 {
		return overdispersedAnswer{}, refuse("counts", stats.ErrNoSpread)
	}
	return overdispersedAnswer{Of: of, Centre: l.Centre, Points: l.Points, Z: l.Z, MeanMR: l.MeanMR, SigmaZ: l.SigmaZ,
		Low: l.Low, High: l.High, UnadjustedHigh: l.UnadjustedHigh, Outside: spc.Beyond(l.Points, l.Low, l.High)}, nil
}

// unitsAreN renames the field of rates to the one that this input has.
func unitsAreN(err error) error {
	var failure *Failure
	if errors.As(err, &failure) && len(failure.Field) >= 5 && failure.Field[:5] == "units" {
		failure.Field = "n" + failure.Field[5:]
	}
	return err
}
