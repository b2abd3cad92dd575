package calc

import (
	"errors"
	"strconv"

	"tracewright/models/numbers/stats"
)

// shapeKinds say how a sample is distributed.
var shapeKinds = []Kind{
	{
		Name:    "normality",
		Does:    "tests of normal shape (Anderson-Darling, Shapiro-Wilk), skewness and excess kurtosis",
		Source:  "Stephens in D'Agostino and Stephens 1986, table 4.9; Royston 1995, algorithm AS R94; Joanes and Gill 1998",
		Example: `{"x":[12.81,12.84,12.85,12.85,12.86,12.86,12.86,12.87,12.87,12.88]}`,
		Run:     of(normality),
	},
	{
		Name:    "box_cox",
		Does:    "power of greatest likelihood that makes values normal, with its interval",
		Source:  "Box and Cox 1964; interval by the likelihood ratio",
		Example: `{"x":[0.08,0.11,0.05,0.21,0.14,0.09,0.32,0.12],"grid":[0,0.5,1]}`,
		Run:     of(boxCox),
	},
}

type normalityAnswer struct {
	N                int     `json:"n"`
	Mean             float64 `json:"mean"`
	SD               float64 `json:"sd"`
	Skewness         float64 `json:"skewness_g1"`
	AdjustedSkewness float64 `json:"skewness_G1_adjusted"`
	Kurtosis         float64 `json:"excess_kurtosis_g2"`
	// null below 4 values.
	AdjustedKurtosis *float64 `json:"excess_kurtosis_G2_adjusted"`
	// null below 5 values.
	A2            *float64 `json:"anderson_darling_A2"`
	A2Adjusted    *float64 `json:"anderson_darling_A2_star"`
	A2OtherFactor *float64 `json:"anderson_darling_A2_x_1plus4n"`
	A2P           *float64 `json:"ad_p_value_stephens"`
	// As the published single-precision code gives them, then in double
	// precision; null beyond 5000 values.
	ShapiroW       *float64 `json:"shapiro_W"`
	ShapiroP       *float64 `json:"shapiro_p"`
	ShapiroWDouble *float64 `json:"shapiro_W_double"`
	ShapiroPDouble *float64 `json:"shapiro_p_double"`
}

func normality(in seriesInput) (normalityAnswer, error) {
	moments, err := stats.MomentsOf(in.X)
	if err != nil {
		return normalityAnswer{}, argument("", "x", err)
	}
	s, err := stats.Summarise(in.X)
	if err != nil {
		return normalityAnswer{}, argument("", "x", err)
	}
	answer := normalityAnswer{
		N: s.N, Mean: s.Mean, SD: s.SD,
		Skewness: moments.Skewness, AdjustedSkewness: moments.AdjustedSkewness,
		Kurtosis: moments.Kurtosis,
	}
	if moments.AdjustedKurtosisKnown {
		answer.AdjustedKurtosis = &moments.AdjustedKurtosis
	}
	if len(in.X) >= stats.FewestForAndersonDarling {
		test, err := stats.AndersonDarlingOf(in.X)
		if err != nil {
			return normalityAnswer{}, argument("", "x", err)
		}
		answer.A2, answer.A2Adjusted, answer.A2OtherFactor, answer.A2P = &test.A2, &test.Adjusted, &test.AdjustedOtherwise, &test.P
	}
	if len(in.X) > stats.MostForShapiroWilk {
		return answer, nil
	}
	w, p, err := stats.ShapiroWilk(in.X)
	if err != nil {
		return normalityAnswer{}, argument("", "x", err)
	}
	answer.ShapiroWDouble, answer.ShapiroPDouble = &w, &p
	single, singleP, err := stats.ShapiroWilkSingle(in.X)
	switch {
	case errors.Is(err, stats.ErrOutOfRange): // A spread that single precision does not hold.
	case err != nil:
		return normalityAnswer{}, argument("", "x", err)
	default:
		answer.ShapiroW, answer.ShapiroP = &single, &singleP
	}
	return answer, nil
}

type boxCoxInput struct {
	X          []float64 `json:"x"`
	Grid       []float64 `json:"grid,omitempty"`
	Confidence *float64  `json:"confidence,omitempty"`
}

type boxCoxAnswer struct {
	Lambda   float64            `json:"lambda_mle"`
	LLF      float64            `json:"llf_at_mle"`
	Grid     map[string]float64 `json:"llf_grid"`
	Interval [2]float64         `json:"lambda_ci95"` // At the confidence asked for, 95 % when left out.
}

// powersShown are the powers whose likelihood is listed when none are asked
// for: those in common use, and 0.1 and 0.28 of the example in the e-Handbook,
// 6.5.2.
var powersShown = []float64{-2, -1, -0.5, -0.25, 0, 0.1, 0.25, 0.28, 0.5, 1, 2}

// mostPowersShown bounds how many are asked for.
const mostPowersShown = 100

func boxCox(in boxCoxInput) (boxCoxAnswer, error) {
	confidence := 0.95
	if in.Confidence != nil {
		confidence = *in.Confidence
	}
	if in.Grid == nil {
		in.Grid = powersShown
	}
	if len(in.Grid) > mostPowersShown {
		return boxCoxAnswer{}, &Failure{Field: "grid", Problem: "lists more than 100 powers"}
	}
	profile, err := stats.PowerProfileOf(in.X)
	if err != nil {
		return boxCoxAnswer{}, argument("", "x", err)
	}
	answer := boxCoxAnswer{Lambda: profile.Lambda, LLF: profile.LogLikelihood, Grid: map[string]float64{}}
	for _, lambda := range in.Grid {
		llf, err := profile.At(lambda)
		if err != nil {
			return boxCoxAnswer{}, argument("", "grid", err)
		}
		answer.Grid[strconv.FormatFloat(lambda, 'g', -1, 64)] = llf
	}
	low, high, err := profile.Interval(confidence)
	if err != nil {
		return boxCoxAnswer{}, argument("", "x", err)
	}
	answer.Interval = [2]float64{low, high}
	return answer, nil
}
