package stats

import (
	"fmt"
	"math"
)

// LevelsSearched is a comparison of each level with all others, and of all of
// them at once with what chance gives.
type LevelsSearched struct {
	// Chance is that of the largest difference of any level: however many there
	// are, they are allowed for.
	Chance
	// Differences of the levels, each in its own standard errors,
	//
	//	t = S/sqrt(W (1 - W/all) s^2),
	//
	// with S the weighted sum of the level's centred cells, W their weight and s^2
	// the variance of a cell of weight 1. Largest is that of the largest |t|.
	Differences []float64
	Largest     int
	// Each is the P of each level against the largest difference among shuffled cells
	// (Westfall and Young, Resampling-Based Multiple Testing, 1993, single step):
	// it allows for all levels. It rests on as many drawings as Chance, and so
	// means little for a level where these stopped early.
	Each   []float64
	larger []int
}

// ChanceOf is that of one level.
func (s LevelsSearched) ChanceOf(level int) Chance {
	if level == s.Largest {
		return s.Chance
	}
	return Chance{P: s.Each[level], Larger: s.larger[level], Drawn: s.Drawn}
}

// SearchLevels looks for levels whose cells differ from the others', by exchanging
// whole cells within their strata. cells come from [CellsOf]; levels is one more
// than the largest; cells of level -1 are others that are compared with, and not
// looked at themselves. A level whose cells weigh nothing, or all there is, does not
// differ.
func SearchLevels(cells []Cell, levels int, q Shuffling) (LevelsSearched, error) {
	if err := q.check(len(cells)); err != nil {
		return LevelsSearched{}, err
	}
	if len(cells) < 3 || levels < 1 {
		return LevelsSearched{}, about("cells", fmt.Errorf("%d cells of %d levels: %w", len(cells), levels, ErrTooFew))
	}
	values, variance := centredCells(cells)
	if !(variance > 0) {
		return LevelsSearched{}, about("cells", ErrNoSpread)
	}
	s := levelSearch{sums: make([]float64, levels), weights: make([]float64, levels), variance: variance}
	s.values, s.own = make([]float64, len(cells)), make([]float64, len(cells))
	labels := make([]int, len(cells))
	for i, c := range cells {
		if c.Level < -1 || c.Level >= levels {
			return LevelsSearched{}, outside("cells", c.Level, "is no level")
		}
		s.values[i], s.own[i], labels[i] = c.Weight*values[i], c.Weight, c.Level
		s.all += c.Weight
	}
	out := LevelsSearched{Differences: make([]float64, levels), Each: make([]float64, levels), larger: make([]int, levels)}
	s.gather(labels)
	most := 0.
	for k := range levels {
		out.Differences[k] = s.difference(k)
		if away := math.Abs(out.Differences[k]); away > most {
			most, out.Largest = away, k
		}
	}
	larger := out.larger
	chance, drawn := NewRandom(q.Seed), 0
	for drawn < q.Most && larger[out.Largest] < q.Enough {
		drawn++
		for from := 0; from < len(cells); {
			to := from + 1
			for to < len(cells) && cells[to].Stratum == cells[from].Stratum {
				to++
			}
			Shuffle(chance, labels[from:to])
			from = to
		}
		s.gather(labels)
		far := 0.
		for k := range levels {
			far = max(far, math.Abs(s.difference(k)))
		}
		// Arrangements that differ by rounding only are as large.
		far *= 1 + 1e-12
		for k, d := range out.Differences {
			if far >= math.Abs(d) {
				larger[k]++
			}
		}
	}
	out.Chance = q.chance(larger[out.Largest], drawn)
	for k := range out.Each {
		out.Each[k] = min(1, float64(1+larger[k])/float64(1+drawn))
	}
	return out, nil
}

type levelSearch struct {
	values, own   []float64 // weighted centred values and weights, by cell
	sums, weights []float64 // by level
	all, variance float64
}

func (s *levelSearch) gather(labels []int) {
	clear(s.sums)
	clear(s.weights)
	for i, k := range labels {
		if k < 0 {
			continue
		}
		s.sums[k] += s.values[i]
		s.weights[k] += s.own[i]
	}
}

func (s *levelSearch) difference(k int) float64 {
	spread := s.weights[k] * (1 - s.weights[k]/s.all) * s.variance
	if !(spread > s.variance*1e-9) {
		return 0
	}
	return s.sums[k] / math.Sqrt(spread)
}
