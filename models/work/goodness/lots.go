package goodness

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/stats"
)

// Lots holds blocks by the lot that they came with, within and between. Unit is that
// of the means and deviations.
type Lots struct {
	Rows    []LotRow
	Unit    string
	Between float64 // standard deviation between lots, 0 where the estimate of its square is not above 0
	Within  float64 // standard deviation within a lot
	// Part is the variance between lots over that between and within, P the chance of
	// lots as far apart if they do not differ (one-way analysis of variance). Known is
	// false where there are too few to compare.
	// PartLow and PartHigh are the interval of Part, each end at 95 % by itself: the low
	// one is above 0 just where P is below 5 %.
	Part, P           float64
	PartLow, PartHigh float64
	Known             bool
}

// LotRow is one lot.
type LotRow struct {
	LotID, Lot string
	N          int
	Mean       float64
	// Apart says that its mean lies outside the limits of the analysis of means, at 5 %
	// for all lots together, on the side Side: "high" or "low".
	Apart bool
	Side  string
}

// fewestLot is how many blocks a lot needs to be compared.
const fewestLot = 5

// byLot fills in the lots of blocks.
func (s *Service) byLot(ctx context.Context, v *View, points []models.MeasuredPoint) error {
	values := map[string][]float64{}
	ids := map[string]string{}
	for _, p := range points {
		if p.LotID != "" {
			values[p.Lot], ids[p.Lot] = append(values[p.Lot], p.ValueF), p.LotID
		}
	}
	var err error
	if v.Lots, err = lotsOf(values, ids, v.Unit); err != nil {
		return fmt.Errorf("lots of %s: %w", v.Query.Result, err)
	}
	if v.Query.Result != "block_ocv25" {
		return nil
	}
	falls, err := s.store.BlockFalls(ctx, v.Query.measured(v.Family.Kind))
	if err != nil {
		return fmt.Errorf("what blocks fell by: %w", err)
	}
	values = map[string][]float64{}
	for _, f := range falls {
		if days := f.SecondAt.Sub(f.FirstAt).Hours() / 24; days >= 1 { // Of less the gauge sees nothing.
			values[f.Lot], ids[f.Lot] = append(values[f.Lot], 1000*(f.First-f.Second)/days), f.LotID
		}
	}
	if len(values) == 0 {
		return nil
	}
	if v.Falls, err = lotsOf(values, ids, "mV"); err != nil {
		return fmt.Errorf("falls by lot: %w", err)
	}
	return nil
}

// lotsOf compares the lots that have blocks enough; the others are listed alone.
func lotsOf(values map[string][]float64, ids map[string]string, unit string) (*Lots, error) {
	if len(values) == 0 {
		return nil, nil
	}
	out := &Lots{Unit: unit}
	var groups [][]float64
	var at []int
	for lot, x := range values {
		mean, err := stats.Mean(x)
		if err != nil {
			return nil, err
		}
		out.Rows = append(out.Rows, LotRow{LotID: ids[lot], Lot: lot, N: len(x), Mean: mean})
	}
	slices.SortFunc(out.Rows, func(a, b LotRow) int { return compareText(a.Lot, b.Lot) })
	for i, row := range out.Rows {
		if row.N >= fewestLot {
			groups, at = append(groups, values[row.Lot]), append(at, i)
		}
	}
	if len(groups) < 2 || len(groups) > 200 {
		return out, nil
	}
	variance, err := stats.OneWay(groups)
	if errors.Is(err, stats.ErrNoSpread) {
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	out.Within, out.Between, out.P, out.Known = variance.ResidualSD, root(variance.BetweenVariance), variance.P, true
	out.Part = variance.BetweenVariance / (variance.BetweenVariance + variance.MSWithin)
	part, err := variance.ShareBetween(2*confidence - 1)
	if err != nil {
		return nil, err
	}
	out.PartLow, out.PartHigh = part.Low, part.High
	means, err := stats.MeansAgainstAll(groups, 1-confidence)
	if err != nil {
		return nil, err
	}
	for i, g := range means.Groups {
		row := &out.Rows[at[i]]
		if row.Apart = g.Outside; g.Outside {
			row.Side = "low"
			if g.Mean > means.Mean {
				row.Side = "high"
			}
		}
	}
	return out, nil
}
