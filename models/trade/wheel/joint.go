package wheel

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Kinds of a local deviation; radial readings are positive outward.
const (
	Hop  = "hop"  // stands outward
	Flat = "flat" // stands inward
)

// Joint is where the rim departs from its own round shape near its joint.
type Joint struct {
	LocalDeviation float64 // mm, signed residual of largest size inside the window
	Station        int     // where
	Kind           string  // Hop or Flat
	RMSOutside     float64 // mm, root mean square of the residuals outside
}

// JointLocal fits mean and waves 1..maxHarmonic by least squares to the
// stations farther than halfWindowDeg from the joint, and gives the largest
// residual inside that window. The edge of the window belongs to it. Stations
// 10 degrees apart can miss half of a short flat. Source: least squares,
// textbook; the window of 25 degrees either side is common practice, no source.
//
// Too few stations outside for the fit is ErrTooFewStations; no station inside
// is ErrInput.
func JointLocal(readings []float64, jointDeg, halfWindowDeg float64, maxHarmonic int) (Joint, error) {
	n := len(readings)
	if err := allFinite("readings", readings); err != nil {
		return Joint{}, err
	}
	if n < MinStations {
		return Joint{}, fmt.Errorf("%w: %d read, at least %d needed", ErrTooFewStations, n, MinStations)
	}
	switch {
	case !finite(jointDeg):
		return Joint{}, fieldf("joint_deg", "is not a number")
	case !finite(halfWindowDeg) || halfWindowDeg <= 0 || halfWindowDeg >= 180:
		return Joint{}, fieldf("half_window_deg", "must lie between 0 and 180 degrees")
	case maxHarmonic < 0 || 2*maxHarmonic >= n:
		return Joint{}, fieldf("max_harmonic", "%d stations resolve waves 0 to %d, not %d", n, (n-1)/2, maxHarmonic)
	}
	var inside, outside []int
	for i := range n {
		if apartDeg(360*float64(i)/float64(n), jointDeg) <= halfWindowDeg+roundingSlackMM {
			inside = append(inside, i)
		} else {
			outside = append(outside, i)
		}
	}
	if len(inside) == 0 {
		return Joint{}, fieldf("half_window_deg", "no station lies within %g degrees of the joint", halfWindowDeg)
	}
	if len(outside) < 2*maxHarmonic+2 {
		return Joint{}, fmt.Errorf("%w: %d outside the joint window, at least %d needed", ErrTooFewStations, len(outside), 2*maxHarmonic+2)
	}
	rest, err := residualsOfFit(readings, outside, maxHarmonic)
	if err != nil {
		return Joint{}, err
	}
	out := Joint{Station: inside[0], LocalDeviation: rest[inside[0]], Kind: Flat}
	for _, i := range inside {
		if math.Abs(rest[i]) > math.Abs(out.LocalDeviation) {
			out.Station, out.LocalDeviation = i, rest[i]
		}
	}
	if out.LocalDeviation >= 0 {
		out.Kind = Hop
	}
	left := make([]float64, len(outside))
	for place, i := range outside {
		left[place] = rest[i]
	}
	out.RMSOutside = rms(left)
	return out, nil
}

// residualsOfFit fits mean and waves to some stations and gives what the fit
// leaves of every station.
func residualsOfFit(readings []float64, fitted []int, maxHarmonic int) ([]float64, error) {
	n := len(readings)
	cosine, sine := circle(n)
	terms := 1 + 2*maxHarmonic
	row := func(i int) []float64 {
		r := make([]float64, 1, terms)
		r[0] = 1
		for k := 1; k <= maxHarmonic; k++ {
			r = append(r, cosine[k*i%n], sine[k*i%n])
		}
		return r
	}
	design := mat.NewDense(len(fitted), terms, nil)
	observed := mat.NewVecDense(len(fitted), nil)
	for place, i := range fitted {
		design.SetRow(place, row(i))
		observed.SetVec(place, readings[i])
	}
	var coefficients mat.VecDense
	if err := coefficients.SolveVec(design, observed); err != nil {
		return nil, fmt.Errorf("fit waves outside the joint window: %w", err)
	}
	rest := make([]float64, n)
	for i, v := range readings {
		rest[i] = v - mat.Dot(mat.NewVecDense(terms, row(i)), &coefficients)
	}
	return rest, nil
}

// apartDeg is the angle between two places on the rim, 0 to 180.
func apartDeg(a, b float64) float64 {
	d := turnDeg(a - b)
	return math.Min(d, 360-d)
}
