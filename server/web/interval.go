package web

import (
	"fmt"
	"math"

	"tracewright/models/words"
)

// IntervalBar draws a share with its interval on a line from 0 to Most per cent:
// places in hundredths of its width. Open: it is no promise, and its ends are drawn open.
type IntervalBar struct {
	Low, High, At int
	Most          string
	Open          bool
	Words         string
}

// intervalWidth is the width of the drawing that the places of a bar count in.
const intervalWidth = 200

// mostOf is a round share that all of some fit below.
func mostOf(shares ...float64) float64 {
	most := 0.01
	for _, s := range shares {
		most = math.Max(most, s)
	}
	for _, round := range []float64{0.01, 0.02, 0.05, 0.1, 0.2, 0.5} {
		if most <= round {
			return round
		}
	}
	return 1
}

func intervalBar(k, n int, low, high, most float64, open bool) *IntervalBar {
	place := func(p float64) int { return int(math.Round(intervalWidth * math.Min(p/most, 1))) }
	share := float64(k) / float64(n)
	return &IntervalBar{Low: place(low), High: place(high), At: place(share), Most: shareShown(most), Open: open,
		Words: fmt.Sprintf("%s, %s %% (%s to %s)", english.Of(k, n), shareShown(share), shareShown(low), shareShown(high))}
}

// shareShown is a share in per cent, with two decimals below one.
func shareShown(p float64) string {
	if p == 0 {
		return "0"
	}
	if p < 0.01 {
		return words.Number(fmt.Sprintf("%.2f", 100*p))
	}
	return words.Number(fmt.Sprintf("%.1f", 100*p))
}
