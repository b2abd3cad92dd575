package returns

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/life"
	"tracewright/models/numbers/stats"
)

// assumedShapes are asked for while too few came back to know the shape: early
// failures, chance and wear. The one in the middle gives the expected number.
var assumedShapes = []float64{0.5, 1, 2}

// fewestAges is at how many ages units came back before a law is fitted. A Weibull law
// has two parameters and meets any two ages; a third is the first that can disagree.
// Claims that are booked together on one day are one age, however many they are.
// Common practice.
const fewestAges = 3

// Law is the law of lives behind a forecast: a Weibull law by maximum likelihood, from
// [life.ShapeFailures] returns at [fewestAges] ages on; else some shapes that are assumed.
type Law struct {
	Failures, Ages int // that came back, and at how many ages, in whole days
	Fit            *life.Fit
	Shape          life.Interval // of Fit, 95 %
	Assumed        []life.Assumed
}

// lawOf fits the law; that of no lives is nil. Without a return there is no fit, and the
// assumed shapes bound from one side alone.
func lawOf(lives []life.Observation) (*Law, error) {
	if len(lives) == 0 {
		return nil, nil
	}
	law, ages := &Law{}, map[float64]bool{}
	for _, l := range lives {
		if l.Failed && l.Count > 0 {
			law.Failures += l.Count
			ages[l.Time] = true
		}
	}
	if law.Ages = len(ages); law.Failures >= life.ShapeFailures && law.Ages >= fewestAges {
		fit, err := life.FitWeibull(lives)
		if err == nil {
			law.Fit = &fit
			law.Shape, err = fit.ShapeInterval(confidence)
			return law, err
		}
		if !errors.Is(err, life.ErrNoFit) && !errors.Is(err, stats.ErrNoSpread) {
			return nil, err
		}
	}
	for _, shape := range assumedShapes {
		a, err := life.AssumedShape(lives, shape, confidence)
		if err != nil {
			return nil, fmt.Errorf("shape %v: %w", shape, err)
		}
		law.Assumed = append(law.Assumed, a)
	}
	return law, nil
}

// Ahead is what is expected of the units still out within some months from now.
type Ahead struct {
	Months int
	// Expected number of returns; Mean bounds it by what the law leaves open, Low and
	// High bound the number that will be counted. Under assumed shapes Expected is that
	// of constant hazard and the bounds are the widest of all shapes; without a return
	// it is not Known.
	Expected  float64
	Known     bool
	Mean      life.Interval
	Low, High int
	StillOut  int
	Costs     []Cost
}

// Cost is what those returns will cost, in one currency; currencies are never added.
type Cost struct {
	Currency string
	Claims   int     // that have a cost in it
	Mean, SD float64 // of one claim; SD from two on
	// Expected is the number of returns times the part of them that had a cost in this
	// currency times the mean. Low and High exist when Bounded, from [fewestCosts]
	// claims on.
	Expected  float64
	Low, High float64
	Bounded   bool
}

// fewestCosts is how many costs make their spread worth an interval. Common practice.
const fewestCosts = 5

func aheadOf(law *Law, lives []life.Observation, waiting []life.Waiting, returned []models.ReturnedItem) ([]Ahead, error) {
	var out []Ahead
	if law == nil {
		return nil, nil
	}
	for _, months := range Horizons {
		a, err := law.within(lives, waiting, months)
		if err != nil {
			return nil, fmt.Errorf("in %d months: %w", months, err)
		}
		if a.Known {
			a.costs(returned)
		}
		out = append(out, a)
	}
	return out, nil
}

func (l *Law) within(lives []life.Observation, waiting []life.Waiting, months int) (Ahead, error) {
	a := Ahead{Months: months}
	if l.Fit != nil {
		f, err := l.Fit.Forecast(lives, float64(months), confidence, waiting...)
		a.Expected, a.Known, a.Mean, a.Low, a.High, a.StillOut = f.Expected, true, f.Mean, f.Low, f.High, f.StillOut
		return a, err
	}
	for i, assumed := range l.Assumed {
		f, err := assumed.Forecast(lives, float64(months), confidence, waiting...)
		if err != nil {
			return a, err
		}
		if assumed.Shape == 1 {
			a.Expected, a.Known = f.Expected, assumed.ScaleKnown
		}
		if i == 0 {
			a.Low, a.Mean.Low = f.Low, f.Mean.Low
		}
		a.StillOut, a.Low, a.High = f.StillOut, min(a.Low, f.Low), max(a.High, f.High)
		a.Mean = life.Interval{Low: min(a.Mean.Low, f.Mean.Low), High: max(a.Mean.High, f.Mean.High)}
	}
	return a, nil
}

// costs works out what the expected returns cost. With m returns expected, known to a
// variance V, q of r returns with a cost in the currency, and mean c and spread s of k
// costs, the variance of the sum is that of a compound Poisson number, and what is not
// known of m, q and c on top of it,
//
//	m q (s^2 + c^2) + (q c)^2 V + (m c)^2 q (1-q)/r + (m q)^2 s^2/k,
//
// the first term after Ross (Introduction to Probability Models, 5.4), the others by
// the delta method; V is read off the interval of m, which is normal on its logarithm.
// The interval is that of a lognormal with this mean and variance.
func (a *Ahead) costs(returned []models.ReturnedItem) {
	by := map[string][]float64{}
	for _, r := range returned {
		amount, err := strconv.ParseFloat(r.Amount, 64)
		if currency := strings.TrimSpace(r.Currency); err == nil && !math.IsInf(amount, 0) && !math.IsNaN(amount) && amount >= 0 {
			by[currency] = append(by[currency], amount)
		}
	}
	m := a.Expected
	spread := 0.0
	if a.Mean.Low > 0 && a.Mean.High > a.Mean.Low {
		spread = math.Log(a.Mean.High/a.Mean.Low) / (2 * 1.959963984540054)
	}
	for _, currency := range slices.Sorted(maps.Keys(by)) {
		amounts := by[currency]
		k, r := float64(len(amounts)), float64(len(returned))
		c := Cost{Currency: currency, Claims: len(amounts)}
		c.Mean, _ = stats.Mean(amounts)
		if len(amounts) > 1 {
			c.SD, _ = stats.SD(amounts)
		}
		q := k / r
		c.Expected = m * q * c.Mean
		if len(amounts) >= fewestCosts && c.Expected > 0 {
			variance := m*q*(c.SD*c.SD+c.Mean*c.Mean) + math.Pow(q*c.Mean*m*spread, 2) + math.Pow(m*c.Mean, 2)*q*(1-q)/r + math.Pow(m*q*c.SD, 2)/k
			log := math.Log1p(variance / (c.Expected * c.Expected))
			middle, reach := math.Log(c.Expected)-log/2, 1.959963984540054*math.Sqrt(log)
			c.Low, c.High, c.Bounded = math.Exp(middle-reach), math.Exp(middle+reach), true
		}
		a.Costs = append(a.Costs, c)
	}
}
