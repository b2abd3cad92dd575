package life

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"tracewright/models/numbers/stats"
)

// MaxMonths bounds the months from the first shipment to the last month seen.
const MaxMonths = 1200

// Shipped is what went out in one month and what came back of it.
type Shipped struct {
	Month   int         // Any count of months, the same throughout.
	Units   int         // Shipped in it.
	Returns map[int]int // Of these, by age in months; age 0 is the month of shipment.
}

// AgeRow is one age in the triangle.
type AgeRow struct {
	Age             int
	AtRisk, Returns int
	Hazard          float64  // Returns over units at risk.
	HazardBounds    Interval // Clopper-Pearson.
	Cumulative      float64  // Fraction returned up to this age, 1 - prod (1 - hazard).
	// Bounds of Cumulative by Greenwood's variance, log-log; they exist when
	// Bounded, once something has come back and not everything has.
	Bounds  Interval
	Bounded bool
}

// ErrTriangle: returns that do not fit the shipments.
var ErrTriangle = errors.New("returns do not fit the shipments")

// Triangle returns the hazard of a return by age in months, from shipments by
// month and returns by month of shipment and age. asOf is the last complete
// month: at age a at risk are the units shipped in months with asOf - month >= a,
// less those that have come back at an earlier age. Rows end with the age that
// the first shipment has reached, or where nothing is left at risk. It is the
// life table without withdrawals inside a month (Meeker and Escobar,
// Statistical Methods for Reliability Data, 1998, chapter 3).
func Triangle(shipments []Shipped, asOf int, confidence float64) ([]AgeRow, error) {
	z, err := bothSides(confidence)
	if err != nil {
		return nil, err
	}
	first, err := checkShipments(shipments, asOf)
	if err != nil {
		return nil, err
	}
	ages := asOf - first + 1
	// By age: what was shipped in the month that is just that old, and what came
	// back at that age of it and of the younger months.
	shipped, back, earlier := make([]int, ages), make([]int, ages), make([]int, ages)
	for _, s := range shipments {
		shipped[asOf-s.Month] += s.Units
		for age, n := range s.Returns {
			back[age] += n
			earlier[asOf-s.Month] += n
		}
	}
	atRisk := 0
	for _, n := range shipped {
		atRisk += n
	}
	var rows []AgeRow
	survival, greenwood := 1., 0.
	for age := range ages {
		if atRisk == 0 {
			break
		}
		n, d := float64(atRisk), float64(back[age])
		survival *= (n - d) / n
		row := AgeRow{Age: age, AtRisk: atRisk, Returns: back[age], Hazard: d / n, Cumulative: 1 - survival}
		if row.HazardBounds, err = proportion(back[age], atRisk, confidence); err != nil {
			return nil, err
		}
		if d < n {
			greenwood += d / (n * (n - d))
		}
		if survival > 0 && survival < 1 {
			var p Point
			p.Survival = survival
			p.bound(greenwood, z)
			row.Bounds, row.Bounded = Interval{1 - p.LogLog.High, 1 - p.LogLog.Low}, true
		}
		rows = append(rows, row)
		// Those that came back now, and those that are no older, leave.
		atRisk -= back[age] + shipped[age] - earlier[age]
	}
	return rows, nil
}

// checkShipments returns the first month.
func checkShipments(shipments []Shipped, asOf int) (first int, err error) {
	if len(shipments) == 0 {
		return 0, &stats.ArgumentError{Argument: "shipped", Err: stats.ErrTooFew}
	}
	// Bounded first, so that differences of months do not run over.
	if asOf < -1_000_000 || asOf > 1_000_000 {
		return 0, refuse("as of", asOf, "must be a month within a million")
	}
	first = asOf
	units := 0
	seen := map[int]bool{}
	for _, s := range shipments {
		switch {
		case s.Month > asOf || s.Month <= asOf-MaxMonths:
			return 0, refuse("shipped", fmt.Sprintf("month %d", s.Month), fmt.Sprintf("must not lie after month %d, nor %d months before", asOf, MaxMonths))
		case seen[s.Month]:
			return 0, refuse("shipped", fmt.Sprintf("month %d", s.Month), "must stand once")
		case s.Units < 0 || s.Units > MaxUnits-units:
			return 0, refuse("shipped", fmt.Sprintf("%d units in month %d", s.Units, s.Month), fmt.Sprintf("must not be negative, and no more than %d in all", MaxUnits))
		}
		seen[s.Month] = true
		units += s.Units
		first = min(first, s.Month)
		if err := s.checkReturns(asOf); err != nil {
			return 0, err
		}
	}
	if units == 0 {
		return 0, &stats.ArgumentError{Argument: "shipped", Err: stats.ErrTooFew}
	}
	return first, nil
}

func (s Shipped) checkReturns(asOf int) error {
	total := 0
	for _, age := range slices.Sorted(maps.Keys(s.Returns)) {
		n := s.Returns[age]
		at := fmt.Sprintf("month %d, age %d", s.Month, age)
		switch {
		case age < 0 || age > asOf-s.Month:
			return triangle("%s: that month has not come yet", at)
		case n < 0:
			return triangle("%s: %d returns", at, n)
		case n > s.Units-total:
			return triangle("%s: more returns than the %d units shipped", at, s.Units)
		}
		total += n
	}
	return nil
}

func triangle(format string, values ...any) error {
	return &stats.ArgumentError{Argument: "returns", Err: fmt.Errorf(format+": %w", append(values, ErrTriangle)...)}
}

// proportion returns the exact interval of k of n (Clopper and Pearson,
// Biometrika 26, 1934).
func proportion(k, n int, confidence float64) (Interval, error) {
	tail := (1 - confidence) / 2
	interval := Interval{0, 1}
	var err error
	if k > 0 {
		if interval.Low, err = stats.BetaQuantile(tail, float64(k), float64(n-k+1)); err != nil {
			return Interval{}, err
		}
	}
	if k < n {
		interval.High, err = stats.BetaQuantile(1-tail, float64(k+1), float64(n-k))
	}
	return interval, err
}
