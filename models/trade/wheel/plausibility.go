package wheel

import (
	"math"

	"tracewright/models/numbers/measure"
)

// Doubts about the tension of a whole wheel.
const (
	// SideSwap: the ratio of the sides is near the inverse of the expected one.
	SideSwap = "side_swap"
	// UnitSuspect: the mean is no plausible tension in the declared unit, but
	// would be one in another.
	UnitSuspect = "unit_suspect"
)

const (
	// PlausibleMinN and PlausibleMaxN bound the mean tension of a finished
	// wheel, N. Common practice, no source.
	PlausibleMinN = 300.0
	PlausibleMaxN = 2000.0

	// swapLog is the width of "near" for ratios, as a natural logarithm: 10 %.
	swapLog = 0.1
)

// tensionUnits are the units a tension may be declared in.
func tensionUnits() []measure.Unit {
	return []measure.Unit{measure.Newton, measure.KilogramForce, measure.PoundForce}
}

// Plausibility is what the means of the two sides give rise to.
type Plausibility struct {
	Flags []string       // SideSwap, UnitSuspect, in that order; empty when all is well
	Units []measure.Unit // with UnitSuspect: the units in which the mean is plausible
}

// Plausible questions the means of the two sides before they are believed.
//
//   - SideSwap when |ln expected| > 0.1 and |ln(measured * expected)| < 0.1:
//     the sides differ by more than 10 % in the geometry (Geometry.
//     ExpectedRatio), and the measured ratio is within 10 % of the inverse.
//   - UnitSuspect when the mean of both, in newtons, lies outside 300 to 2000
//     while the same number in another unit (N, kgf, lbf) lies inside.
//
// expectedAOverB 0 means not known, which leaves SideSwap out. Source: common
// practice, no source. A mean that is not above zero, or a unit that is no
// force, is ErrInput.
func Plausible(meanA, meanB float64, declared measure.Unit, expectedAOverB float64) (Plausibility, error) {
	for _, f := range []struct {
		name  string
		value float64
	}{{"mean_A", meanA}, {"mean_B", meanB}} {
		if !finite(f.value) || f.value <= 0 {
			return Plausibility{}, fieldf(f.name, "must be above zero")
		}
	}
	if !finite(expectedAOverB) || expectedAOverB < 0 {
		return Plausibility{}, fieldf("expected_ratio_A_over_B", "must be above zero")
	}
	if !measure.Convertible(declared, measure.Newton) {
		return Plausibility{}, fieldf("declared_unit", "%q is no unit of force", string(declared))
	}
	out := Plausibility{Flags: []string{}}
	if expectedAOverB > 0 && math.Abs(math.Log(expectedAOverB)) > swapLog &&
		math.Abs(math.Log(meanA/meanB*expectedAOverB)) < swapLog {
		out.Flags = append(out.Flags, SideSwap)
	}
	mean := (meanA + meanB) / 2
	inside, err := plausibleIn(mean, declared)
	if err != nil || inside {
		return out, err
	}
	for _, unit := range tensionUnits() {
		inside, err := plausibleIn(mean, unit)
		if err != nil {
			return Plausibility{}, err
		}
		if unit != declared && inside {
			out.Units = append(out.Units, unit)
		}
	}
	if len(out.Units) > 0 {
		out.Flags = append(out.Flags, UnitSuspect)
	}
	return out, nil
}

// plausibleIn says whether a number in a unit is a plausible mean tension.
func plausibleIn(mean float64, unit measure.Unit) (bool, error) {
	one, err := measure.Convert(measure.FromInt(1), unit, measure.Newton)
	if err != nil {
		return false, err
	}
	newtons := mean * one.Float()
	return newtons >= PlausibleMinN && newtons <= PlausibleMaxN, nil
}
