package stats

import (
	"cmp"
	"slices"
)

// Cell is what was measured on one day under one condition, as one witness: its
// values resemble each other for reasons of that day, so together they weigh less
// than as many values of different days.
type Cell struct {
	Day     int // counts up with time
	Level   int // the condition, from 0
	Stratum int // cells are exchanged within a stratum alone, from 0
	N       int
	Mean    float64
	Weight  float64
}

// CellsOf gathers values into cells by day and level, in the order of strata,
// days and levels. level and stratum may be nil: all 0. A day's stratum is that of
// its values.
//
// The weight of a cell of n values is n/(1 + (n-1) r), the reciprocal of the
// variance of its mean in units of that of one value, with r the correlation of
// values of a cell,
//
//	r = s_b^2/(s_b^2 + s_w^2),
//
// from the components of the analysis of variance of [OneWay]; 0 where it cannot
// be found or comes out negative.
func CellsOf(values []float64, day, level, stratum []int) ([]Cell, error) {
	if err := Check(values, 1); err != nil {
		return nil, about("values", err)
	}
	at := func(list []int, i int) int {
		if list == nil {
			return 0
		}
		return list[i]
	}
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	compare := func(i, j int) int {
		return cmp.Or(cmp.Compare(at(stratum, i), at(stratum, j)), cmp.Compare(day[i], day[j]), cmp.Compare(at(level, i), at(level, j)))
	}
	slices.SortStableFunc(order, compare)
	var cells []Cell
	var groups [][]float64
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && compare(order[from], order[to]) == 0 {
			to++
		}
		group := make([]float64, 0, to-from)
		for _, i := range order[from:to] {
			group = append(group, values[i])
		}
		mean, err := Mean(group)
		if err != nil {
			return nil, about("values", err)
		}
		i := order[from]
		cells = append(cells, Cell{Day: day[i], Level: at(level, i), Stratum: at(stratum, i), N: len(group), Mean: mean})
		groups = append(groups, group)
		from = to
	}
	alike := 0.
	if len(values) > len(groups) && len(groups) > 1 {
		if a, err := OneWay(groups); err == nil && a.BetweenVariance+a.MSWithin > 0 {
			alike = a.BetweenVariance / (a.BetweenVariance + a.MSWithin)
		}
	}
	for i := range cells {
		n := float64(cells[i].N)
		cells[i].Weight = n / (1 + (n-1)*alike)
	}
	return cells, nil
}

// Shuffling says how many arrangements are drawn: Most at the most, and no more
// once Enough of them were as large as what was seen, so that what is nothing
// costs little.
type Shuffling struct {
	Most, Enough int
	Seed         uint64
}

// Chance is how often the cells, shuffled, gave as large a difference.
type Chance struct {
	// P is Larger/Drawn where the drawing stopped early (Besag and Clifford,
	// Biometrika 78, 1991), else (1 + Larger)/(1 + Drawn), never 0 (Phipson and
	// Smyth, as in [CompareBlocks]).
	P             float64
	Larger, Drawn int
}

func (s Shuffling) check(cells int) error {
	if s.Most < LeastArrangements || s.Most > MostArrangements || s.Enough < 1 {
		return outside("most", s.Most, "must be from 100 to 1000000")
	}
	if cells*s.Most > 50*mostMoves {
		return outside("cells", cells, "cells are too many for so many arrangements")
	}
	return nil
}

func (s Shuffling) chance(larger, drawn int) Chance {
	if larger >= s.Enough {
		return Chance{P: float64(larger) / float64(drawn), Larger: larger, Drawn: drawn}
	}
	return Chance{P: float64(1+larger) / float64(1+drawn), Larger: larger, Drawn: drawn}
}

// centredCells takes the weighted mean of its stratum from each cell's mean and gives
// the weighted variance of what is left, of a cell of weight 1. cells are in the
// order of strata.
func centredCells(cells []Cell) (values []float64, variance float64) {
	values = make([]float64, len(cells))
	strata := 0
	for from := 0; from < len(cells); {
		to, sum, weight := from, 0., 0.
		for ; to < len(cells) && cells[to].Stratum == cells[from].Stratum; to++ {
			sum += cells[to].Weight * cells[to].Mean
			weight += cells[to].Weight
		}
		for i := from; i < to; i++ {
			values[i] = cells[i].Mean - sum/weight
			variance += cells[i].Weight * values[i] * values[i]
		}
		strata++
		from = to
	}
	return values, variance / float64(max(1, len(cells)-strata))
}
