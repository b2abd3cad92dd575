package wheel

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// ErrTooFewSpokes says that a side was read at fewer than two spokes, so that
// it has no spread.
var ErrTooFewSpokes = errors.New("too few spokes for side statistics")

// Side is what the tensions of one side of a wheel say. Tensions are newtons
// (or whatever single unit came in); percentages are of the side's own mean.
type Side struct {
	N           int     // spokes read
	Mean        float64 // sum / n
	SD          float64 // sample standard deviation, divisor n-1
	CVPct       float64 // 100 SD / Mean
	Min, Max    float64
	MinMaxRatio float64 // Min / Max

	MaxDevPct   float64 // 100 max |T - Mean| / Mean
	MaxDevSpoke int     // data index of that spoke
	LowestSpoke int     // data index of the slackest spoke

	HasAdjacent    bool    // every spoke of the side was read, so neighbours exist
	MaxAdjacent    float64 // max |T_j - T_(j+2)|, cyclic
	MaxAdjacentPct float64 // 100 MaxAdjacent / Mean
	AdjacentAt     int     // data index j of that pair
}

// SideStatistics reduces the tensions of one side. spokes holds the data
// indices that were read (all even: side A; all odd: side B) and tension the
// value at each, in the same order; spokesOnWheel is the count of both sides.
//
// Mean and sd are the sample mean and the n-1 standard deviation. Neighbours
// are the next spokes of the same side (j and j+2, cyclic) and are compared
// only when every spoke of the side is there; a sample has none. Of equal
// values the lowest index is named. Formulas: common practice, no source; no
// standard known sets a limit for spoke tension or its spread.
//
// Fewer than two spokes is ErrTooFewSpokes. A negative tension, a spoke named
// twice, of the other side or not on the wheel, and a side without any
// tension are ErrInput.
func SideStatistics(spokes []int, tension []float64, spokesOnWheel int) (Side, error) {
	if err := checkSide(spokes, tension, spokesOnWheel); err != nil {
		return Side{}, err
	}
	order := make([]int, len(spokes)) // places in the input, by spoke
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return spokes[a] - spokes[b] })

	s := Side{N: len(spokes)}
	sum := 0.0
	for _, i := range order {
		sum += tension[i]
	}
	s.Mean = sum / float64(s.N)
	if s.Mean <= 0 {
		return Side{}, fieldf("tensions", "no spoke of the side carries tension")
	}
	first := order[0]
	s.Min, s.Max, s.LowestSpoke, s.MaxDevSpoke = tension[first], tension[first], spokes[first], spokes[first]
	var squares, largest float64
	for _, i := range order {
		t := tension[i]
		squares += (t - s.Mean) * (t - s.Mean)
		s.Max = math.Max(s.Max, t)
		if t < s.Min {
			s.Min, s.LowestSpoke = t, spokes[i]
		}
		if dev := math.Abs(t - s.Mean); dev > largest {
			largest, s.MaxDevSpoke = dev, spokes[i]
		}
	}
	s.SD = math.Sqrt(squares / float64(s.N-1))
	s.CVPct = 100 * s.SD / s.Mean
	s.MinMaxRatio = s.Min / s.Max
	s.MaxDevPct = 100 * largest / s.Mean
	if 2*s.N == spokesOnWheel {
		s.compareNeighbours(order, spokes, tension)
	}
	return s, nil
}

// compareNeighbours finds the largest step between spokes that stand side by
// side on the flange; order goes once round the side.
func (s *Side) compareNeighbours(order, spokes []int, tension []float64) {
	s.HasAdjacent = true
	s.AdjacentAt = spokes[order[0]]
	for place, i := range order {
		next := order[(place+1)%len(order)]
		if step := math.Abs(tension[next] - tension[i]); step > s.MaxAdjacent {
			s.MaxAdjacent, s.AdjacentAt = step, spokes[i]
		}
	}
	s.MaxAdjacentPct = 100 * s.MaxAdjacent / s.Mean
}

// checkSide refuses what cannot be the tensions of one side; a bad tension is
// named by the data index of its spoke.
func checkSide(spokes []int, tension []float64, spokesOnWheel int) error {
	if len(spokes) != len(tension) {
		return fieldf("tensions", "%d values for %d spokes", len(tension), len(spokes))
	}
	if spokesOnWheel < 4 || spokesOnWheel%2 != 0 {
		return fieldf("spokes", "a wheel has an even number of spokes, at least 4, not %d", spokesOnWheel)
	}
	if len(spokes) < 2 {
		return fmt.Errorf("%w: %d read, at least 2 needed", ErrTooFewSpokes, len(spokes))
	}
	seen := make([]bool, spokesOnWheel)
	for i, j := range spokes {
		switch {
		case j < 0 || j >= spokesOnWheel:
			return fieldf("spokes", "index %d is not on a wheel of %d spokes", j, spokesOnWheel)
		case seen[j]:
			return fieldf("spokes", "index %d is named twice", j)
		case j%2 != spokes[0]%2:
			return fieldf("spokes", "index %d is on the other side than index %d", j, spokes[0])
		case !finite(tension[i]):
			return fieldf(fmt.Sprintf("tensions[%d]", j), "is not a number")
		case tension[i] < 0:
			return fieldf(fmt.Sprintf("tensions[%d]", j), "a tension cannot be negative")
		}
		seen[j] = true
	}
	return nil
}
