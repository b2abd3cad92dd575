package wheel

import "math"

// UniformTurn is what one turn of every nipple of a symmetric wheel with radial
// spokes does, in closed form.
type UniformTurn struct {
	Radial                float64 // mm outward, all tightened alike
	DTension              float64 // N, all tightened alike
	Dished                float64 // mm toward A, side A tightened and side B loosened
	DTensionA             float64 // N on side A then
	DTensionWithoutString float64 // N, all tightened alike, when the swing of the spokes is left out
}

// Uniform gives the closed form. With s the shortening, k and L of a spoke, c =
// |n_r| and n_z its unit vector's parts, T its tension, and g = (T/L)(1 - c^2):
//
//	all alike    U = -N c k s/(2 pi EA/R + N k c^2 + N g),  dT = k (s + c U)
//	A against B  W = k n_z s/(k n_z^2 + (T/L)(1 - n_z^2)),  dT = k (s - n_z W)
//
// Dish is cheap in tension, mean tension is not. Source: statics of a ring on
// springs; textbook. Only for radial spokes, sides alike and nipples at the
// centroid: other wheels are ErrInput, and Model answers for them.
func (b Build) Uniform(turns float64) (UniformTurn, error) {
	if err := b.Check(); err != nil {
		return UniformTurn{}, err
	}
	switch {
	case !finite(turns) || math.Abs(turns) > 100:
		return UniformTurn{}, fieldf("turns", "must be a number of turns, at most 100")
	case !b.SidesAlike():
		return UniformTurn{}, fieldf("wheel", "the closed form needs both sides alike")
	case b.CrossA != 0:
		return UniformTurn{}, fieldf("wheel.cross_A", "the closed form needs radial spokes")
	case b.NippleInset != 0:
		return UniformTurn{}, fieldf("wheel.nipple_inset", "the closed form needs nipples at the centroid")
	}
	spoke, err := b.Spoke(0)
	if err != nil {
		return UniformTurn{}, err
	}
	n, k, s := float64(b.Spokes), spoke.StiffnessNmm, b.PitchMM*turns
	c, z := math.Abs(spoke.UnitVector[0]), spoke.UnitVector[2]
	string0 := b.TensionA / spoke.Length
	hoop := b.Ring().HoopStiffness()
	growth := -n * c * k * s / (hoop + n*k*c*c + n*string0*(1-c*c))
	aside := k * z * s / (k*z*z + string0*(1-z*z))
	u := UniformTurn{
		Radial: growth, DTension: k * (s + c*growth), Dished: aside, DTensionA: k * (s - z*aside),
		DTensionWithoutString: k * s / (1 + n*k*c*c/hoop),
	}
	for _, x := range []float64{u.Radial, u.DTension, u.Dished, u.DTensionA, u.DTensionWithoutString} {
		if !finite(x) {
			return UniformTurn{}, fieldf("wheel", "its stiffnesses are too far apart to be computed with")
		}
	}
	return u, nil
}
