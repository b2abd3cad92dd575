package goodness

import (
	"math"
	"slices"
)

// Histogram counts values in bins of one width: a bin holds what is above its lower
// edge, up to and with its upper one, as a value on an upper limit is within it.
type Histogram struct {
	First  float64 // lower edge of the first bin
	Width  float64
	Counts []int
}

// mostBins is how many bins fit a page: a value far away shall not leave all the others
// in two of them.
const mostBins = 120

// histogramOf chooses a width of 1, 2 or 5 times a power of ten, near that of Freedman
// and Diaconis, 2 IQR/cbrt(n) (Zeitschrift fuer Wahrscheinlichkeitstheorie 57, 1981),
// and no finer than the decimals that are shown: a gauge's steps would else stand as a
// comb. Edges are counted from a limit where there is one, so that none straddles it.
func histogramOf(values []float64, edge *float64, decimals int) Histogram {
	if len(values) == 0 {
		return Histogram{}
	}
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	n := len(sorted)
	least, most := sorted[0], sorted[n-1]
	step := math.Pow(10, -float64(max(decimals, 0)))
	width := niceWidth(max(2*(sorted[n*3/4]-sorted[n/4])/math.Cbrt(float64(n)), (most-least)/mostBins, step))
	return binsOf(sorted, edge, width)
}

// binsOf counts values in bins of a width.
func binsOf(values []float64, edge *float64, width float64) Histogram {
	if len(values) == 0 {
		return Histogram{}
	}
	origin := 0.0
	if edge != nil {
		origin = *edge
	}
	// Half a thousandth of a bin: sums of decimals fall on an edge a little beside it.
	place := func(x float64) int { return int(math.Ceil((x-origin)/width-5e-4)) - 1 }
	first, last := place(slices.Min(values)), place(slices.Max(values))
	h := Histogram{First: origin + float64(first)*width, Width: width, Counts: make([]int, last-first+1)}
	for _, x := range values {
		h.Counts[place(x)-first]++
	}
	return h
}

// niceWidth is the least of 1, 2, 5 times a power of ten that is no less than a width.
func niceWidth(width float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(width)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*power >= width*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

func root(variance float64) float64 { return math.Sqrt(max(variance, 0)) }
