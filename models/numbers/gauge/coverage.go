package gauge

import (
	"math"

	"tracewright/models/numbers/stats"
)

// Coverage returns the coverage factor k = t((1+p)/2, nu): a value whose
// standard uncertainty u has nu degrees of freedom lies within k u of its
// estimate with probability p (JCGM 100:2008, G.3 and table G.2).
//
// Degrees of freedom are at least 1 and may be a fraction; math.Inf(1), the
// u that is known exactly, gives the factor of the normal distribution.
func Coverage(p, nu float64) (float64, error) {
	if err := checkBetween("coverage", p, 0, 1); err != nil {
		return 0, err
	}
	if math.IsNaN(nu) || nu < 1 {
		return 0, outside("degrees of freedom", nu, "must be at least 1")
	}
	if nu > stats.MaxDegrees {
		nu = math.Inf(1) // Not told from the limit.
	}
	// The lower tail keeps the digits of a coverage close to 1.
	t, err := stats.TQuantile((1-p)/2, nu)
	if err != nil {
		return 0, about("coverage", err)
	}
	return 0 - t, nil // Not -t: there is no coverage factor of minus nothing.
}
