package stats

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// TimesSearched is the stretch of days that differs most from the days around it,
// or a steady drift where a straight line says it better.
type TimesSearched struct {
	Chance
	// From is the first day that differs and To the first after it that does not
	// again; Open: there is none, the last days differ too. They are values of
	// [Cell.Day].
	From, To int
	Open     bool
	// Drift: no stretch but a straight line over all days.
	Drift bool
	// Difference of the stretch, or slope of the line, in its standard errors, see
	// [LevelsSearched].
	Difference float64
}

const (
	// stretchEnds is how many days a stretch may begin or end at while it is
	// searched for; its ends are then looked for among all days nearby.
	stretchEnds = 48
	// fewestDays is the shortest stretch, and the least that is left outside.
	fewestDays = 6
)

// SearchTimes looks for one stretch of days whose level differs, from some day on
// or from one day to another, and for a steady drift, by exchanging whole days. It
// takes one cell a day, from [CellsOf] without levels and strata, of at least
// [LeastForChange] days. The chance is that of the largest of all stretches and of
// the drift together: what was looked through is allowed for (a scan statistic,
// Glaz, Naus and Wallenstein, 2001).
func SearchTimes(cells []Cell, q Shuffling) (TimesSearched, error) {
	if err := q.check(len(cells)); err != nil {
		return TimesSearched{}, err
	}
	if len(cells) < max(LeastForChange, 2*fewestDays) {
		return TimesSearched{}, about("cells", fmt.Errorf("%d days: %w", len(cells), ErrTooFew))
	}
	if !slices.IsSortedFunc(cells, func(a, b Cell) int { return cmp.Compare(a.Day, b.Day) }) {
		return TimesSearched{}, outside("cells", len(cells), "days are not in order")
	}
	values, variance := centredCells(cells)
	if !(variance > 0) {
		return TimesSearched{}, about("cells", ErrNoSpread)
	}
	s := timeSearch{days: make([]dayWeight, len(cells)), at: make([]float64, len(cells)), sums: make([]dayWeight, len(cells)+1), variance: variance}
	for i, c := range cells {
		s.days[i] = dayWeight{c.Weight * values[i], c.Weight}
		s.at[i] = float64(c.Day - cells[0].Day)
		s.all += c.Weight
	}
	ends := min(stretchEnds, len(cells))
	for i := range ends + 1 {
		s.ends = append(s.ends, i*len(cells)/ends)
	}
	s.add()
	from, to, seen := s.stretch()
	var out TimesSearched
	drift := s.drift()
	if out.Drift = math.Abs(drift) > math.Abs(seen); out.Drift {
		seen = drift
	}
	chance, drawn, larger := NewRandom(q.Seed), 0, 0
	found := slices.Clone(s.days)
	for drawn < q.Most && larger < q.Enough {
		drawn++
		Shuffle(chance, s.days)
		s.add()
		_, _, x := s.stretch()
		if max(math.Abs(x), math.Abs(s.drift()))*(1+1e-12) >= math.Abs(seen) {
			larger++
		}
	}
	out.Chance, out.Difference = q.chance(larger, drawn), seen
	if out.Drift {
		out.From, out.Open = cells[0].Day, true
		return out, nil
	}
	s.days = found
	s.add()
	from, to, out.Difference = s.nearby(from, to)
	out.From, out.Open = cells[from].Day, to == len(cells)
	if !out.Open {
		out.To = cells[to].Day
	}
	return out, nil
}

// dayWeight is a day's weighted centred value and its weight, or sums of both.
type dayWeight struct{ value, weight float64 }

type timeSearch struct {
	days          []dayWeight
	at            []float64   // of each day, days after the first
	sums          []dayWeight // of the days before each
	ends          []int
	all, variance float64
}

func (s *timeSearch) add() {
	var sum dayWeight
	for i, d := range s.days {
		sum.value += d.value
		sum.weight += d.weight
		s.sums[i+1] = sum
	}
}

// difference is that of the days from one to another, in standard errors.
func (s *timeSearch) difference(from, to int) float64 {
	w := s.sums[to].weight - s.sums[from].weight
	spread := w * (1 - w/s.all) * s.variance
	if !(spread > s.variance*1e-9) {
		return 0
	}
	return (s.sums[to].value - s.sums[from].value) / math.Sqrt(spread)
}

// possible says whether a stretch is long enough and leaves enough. One that
// begins on the first day is one that begins where it ends, seen from the other
// side.
func (s *timeSearch) possible(from, to int) bool {
	return from >= fewestDays && to-from >= fewestDays && len(s.days)-(to-from) >= fewestDays && (to == len(s.days) || len(s.days)-to >= fewestDays)
}

func (s *timeSearch) stretch() (from, to int, most float64) {
	// Squares are compared, so that there is one root at the end.
	square := 0.
	for i, a := range s.ends {
		before := s.sums[a]
		for _, b := range s.ends[i+1:] {
			if !s.possible(a, b) {
				continue
			}
			value, w := s.sums[b].value-before.value, s.sums[b].weight-before.weight
			if x := value * value / (w * (1 - w/s.all)); x > square {
				from, to, square = a, b, x
			}
		}
	}
	if square == 0 {
		return 0, 0, 0
	}
	return from, to, s.difference(from, to)
}

// nearby moves the ends of a stretch to the days near them that suit best.
func (s *timeSearch) nearby(from, to int) (int, int, float64) {
	near := len(s.days)/len(s.ends) + 1
	bestFrom, bestTo, most := from, to, s.difference(from, to)
	for a := from - near; a <= from+near; a++ {
		for b := to - near; b <= to+near; b++ {
			if to == len(s.days) && b != to || a < 0 || b > len(s.days) || b <= a || !s.possible(a, b) {
				continue
			}
			if x := s.difference(a, b); math.Abs(x) > math.Abs(most) {
				bestFrom, bestTo, most = a, b, x
			}
		}
	}
	return bestFrom, bestTo, most
}

// drift is the slope of the weighted line through the days, in standard errors.
func (s *timeSearch) drift() float64 {
	var sum, squares, with float64
	for i, d := range s.days {
		sum += d.weight * s.at[i]
		squares += d.weight * s.at[i] * s.at[i]
		with += d.value * s.at[i]
	}
	// The values are centred, so that the middle of the days needs no taking off.
	squares -= sum * sum / s.all
	if !(squares > 0) {
		return 0
	}
	return with / math.Sqrt(squares*s.variance)
}
