package wheel

import (
	"errors"
	"math"
)

// Build is a laced and tensioned wheel: what the model of ring and spokes
// needs to know. Its stiffness is assumed from drawings and tables, not
// measured.
type Build struct {
	Geometry         // RimRadius is Rim.Radius
	EA, InPlaneEI    float64
	OutOfPlaneEI, GJ float64
	TensionA         float64 // N, mean of side A; side B follows from the axial balance
	GaugeOutset      float64 // mm, the lateral gauge line outward of the rim's centroid
	PitchMM          float64 // mm of thread for a turn of the nipple
	Waves            int     // waves of the ring that the model carries; the count of spokes is enough
	Unstressed       bool    // TensionA may be 0: for a look at the bare stiffness, which crossed spokes have
}

// Bounds of a model. Its cost grows with the third power of the waves.
const (
	MostSpokes     = 60 // of a wheel that the model takes
	mostWaves      = 96
	highestTension = 20_000.0 // N, ten times what a spoke carries
	longestPitch   = 5.0      // mm a turn
)

// Ring gives the rim of the wheel.
func (b Build) Ring() Rim {
	return Rim{Radius: b.RimRadius, EA: b.EA, InPlaneEI: b.InPlaneEI, OutOfPlaneEI: b.OutOfPlaneEI, GJ: b.GJ}
}

// Check gives every field that cannot be, joined; each is a *FieldError.
func (b Build) Check() error {
	var errs []error
	refuse := func(bad bool, field, format string, args ...any) {
		if bad {
			errs = append(errs, fieldf(field, format, args...))
		}
	}
	refuse(b.Spokes > MostSpokes, "spokes", "the model takes at most %d", MostSpokes)
	bare := b.Unstressed && b.TensionA == 0
	refuse(bare && b.CrossA == 0 && b.CrossB == 0, "tension_A", "must be above zero where no spoke is crossed: without it nothing keeps the rim from turning on its hub")
	refuse(!bare && !(b.TensionA > 0 && b.TensionA <= highestTension), "tension_A", "must be above zero and at most %g N: slack spokes are no springs", highestTension)
	refuse(!(math.Abs(b.GaugeOutset) <= b.RimRadius), "lateral_gauge_outset", "must lie within the radius of the rim")
	refuse(!(b.PitchMM > 0 && b.PitchMM <= longestPitch), "pitch_mm_per_turn", "must be above zero and at most %g mm", longestPitch)
	refuse(b.Waves < 2 || b.Waves > mostWaves, "harmonics", "must be 2 to %d", mostWaves)
	refuse(b.FlangeOffsetA > b.RimRadius*10, "flange_offset_A", "is far outside the wheel")
	refuse(b.FlangeOffsetB > b.RimRadius*10, "flange_offset_B", "is far outside the wheel")
	return errors.Join(b.Geometry.Check(), b.Ring().Check(), errors.Join(errs...))
}

// StartTensions gives the tension that the model assumes on each side: side B
// balances side A, T_B = T_A sin(bracing A)/sin(bracing B).
func (b Build) StartTensions() (a, onB float64, err error) {
	ratio, err := b.ExpectedRatio()
	if err != nil {
		return 0, 0, err
	}
	return b.TensionA, b.TensionA / ratio, nil
}

// SidesAlike says whether both sides have the same flange and crossing, so
// that the wheel turned over is the same wheel.
func (g Geometry) SidesAlike() bool {
	return g.FlangeRadiusA == g.FlangeRadiusB && g.FlangeOffsetA == g.FlangeOffsetB && g.CrossA == g.CrossB
}

// ExpectedRatioApplies gives the expected ratio of the sides where it says
// something about a reading: off for symmetric builds, whose sides cannot be
// told apart by tension (within 10 %), and for one-sided builds, which have no
// balance of two sides.
func (g Geometry) ExpectedRatioApplies() (aOverB float64, applies bool) {
	if !(g.FlangeOffsetA > 0 && g.FlangeOffsetB > 0) {
		return 0, false
	}
	ratio, err := g.ExpectedRatio()
	if err != nil || !finite(ratio) || math.Abs(math.Log(ratio)) <= swapLog {
		return 0, false
	}
	return ratio, true
}
