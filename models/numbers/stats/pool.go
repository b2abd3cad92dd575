package stats

import (
	"fmt"
	"math"
)

// Pooled is a standard deviation gathered from several sources.
type Pooled struct{ Squares, DF, SD float64 }

// Pool returns sqrt(sum of squares / sum of degrees of freedom). The squares are
// in the square of the values' unit, and each has its own degrees of freedom
// above 0 (e-Handbook 2.4.4.4).
func Pool(squares, df []float64) (Pooled, error) {
	if err := Check(squares, 1); err != nil {
		return Pooled{}, about("ss", err)
	}
	if len(df) != len(squares) {
		return Pooled{}, outside("df", len(df), fmt.Sprintf("values do not go with %d sums of squares", len(squares)))
	}
	for i, v := range squares {
		if v < 0 {
			return Pooled{}, outside(fmt.Sprintf("ss[%d]", i), v, "must not be negative")
		}
		if err := checkFiniteDegrees(fmt.Sprintf("df[%d]", i), df[i]); err != nil {
			return Pooled{}, err
		}
	}
	p := Pooled{Squares: Sum(squares), DF: Sum(df)}
	p.SD = math.Sqrt(p.Squares / p.DF)
	if _, err := finite("pooled standard deviation", p.SD); err != nil {
		return Pooled{}, about("ss", err)
	}
	return p, nil
}
