package wheel

import "math"

// Waves up to which nipples move the rim at little cost in tension: 2 to the
// side, 4 outward. One more is left to them here; what lies above is the
// rim's own. Follows from the influence of turn patterns of n waves, whose
// effect falls with the fourth power of n while the tensions they ask for
// rise.
const (
	lateralByNipples = 3
	radialByNipples  = 5

	jointHalfDeg = 25 // half the window about the joint; common practice, no source
	jointWaves   = 3  // fitted outside it
)

// RimShare is what of a run-out is the rim's own and no nipple can mend: the
// waves too short for spokes, and the step at the joint.
type RimShare struct {
	Lateral, Radial     float64 // mm, full reading of the short waves
	LateralAt, RadialAt int     // station where they stand out most
	Joint               Joint   // radial, at the rim's joint
	JointFrom, JointTo  int     // stations of its window
}

// RimOwn gives the rim's own share of one turn of readings. The joint is taken
// to lie opposite the valve hole, which is half a spoke before spoke 0: at
// 180 - 180/N degrees, with a window of 25 degrees either side. Common
// practice, no source.
func RimOwn(lateral, radial []float64) (RimShare, error) {
	var out RimShare
	for _, c := range []struct {
		values []float64
		upTo   int
		tir    *float64
		at     *int
	}{{lateral, lateralByNipples, &out.Lateral, &out.LateralAt}, {radial, radialByNipples, &out.Radial, &out.RadialAt}} {
		if _, err := ReduceRunOut(c.values, nil); err != nil {
			return RimShare{}, err
		}
		rest := transform(c.values, len(c.values)/2).residuals(c.values, c.upTo)
		*c.tir = spread(rest)
		for i, v := range rest {
			if math.Abs(v) > math.Abs(rest[*c.at]) {
				*c.at = i
			}
		}
	}
	n := float64(len(radial))
	centre := 180 - 180/n
	var err error
	if out.Joint, err = JointLocal(radial, centre, jointHalfDeg, jointWaves); err != nil {
		return RimShare{}, err
	}
	out.JointFrom = int(math.Ceil((centre - jointHalfDeg) * n / 360))
	out.JointTo = int(math.Floor((centre + jointHalfDeg) * n / 360))
	return out, nil
}
