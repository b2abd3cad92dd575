package wheel

import (
	"fmt"
	"math"
	"slices"
)

// Mask takes one station out of a set: a weld bead, paint, a scratch or a decal
// under the tip is not the rim's shape. It is never silent: the reason is kept
// with the set.
type Mask struct {
	Station int
	Reason  string
}

// maskWaves are the waves from which the shape under a mask is taken.
const maskWaves = 4

// AnalyseMasked is AnalyseRunOut without the masked stations. The full
// indicator reading is that of the others. Under a mask the rim is taken to
// follow mean and waves 1 to 4 fitted to the others by least squares, textbook,
// and from the set completed like that come mean, waves and what lies between
// the stations. A mask of station 0 leaves the repeat of it without use, and so
// do masks without a reason, twice the same, or not on the wheel: ErrInput.
// Fewer than MinStations left is ErrTooFewStations.
func AnalyseMasked(readings []float64, reread *float64, masks []Mask) (RunOut, error) {
	if len(masks) == 0 {
		return AnalyseRunOut(readings, reread)
	}
	completed, masked, closure, err := completeStations(readings, reread, masks)
	if err != nil {
		return RunOut{}, err
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i, v := range completed {
		if !masked[i] {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	out, err := AnalyseRunOut(completed, nil)
	if err != nil {
		return RunOut{}, err
	}
	out.TIR, out.Closure = high-low, closure
	out.Corrected = closure != nil && *closure != 0
	return out, nil
}

// Stations gives one turn of readings as the results are computed from: drift
// taken off, and under each mask the shape that the others follow. Without
// masks and repeat it is the readings themselves.
func Stations(readings []float64, reread *float64, masks []Mask) ([]float64, error) {
	if len(masks) > 0 {
		y, _, _, err := completeStations(readings, reread, masks)
		return y, err
	}
	if err := allFinite("readings", readings); err != nil {
		return nil, err
	}
	y, _, err := removeDrift(readings, reread)
	return y, err
}

// completeStations takes the drift off and fills what is masked.
func completeStations(readings []float64, reread *float64, masks []Mask) (completed []float64, masked []bool, closure *float64, err error) {
	if err := allFinite("readings", readings); err != nil {
		return nil, nil, nil, err
	}
	if masked, err = maskedStations(len(readings), reread != nil, masks); err != nil {
		return nil, nil, nil, err
	}
	var seen []int
	for i, out := range masked {
		if !out {
			seen = append(seen, i)
		}
	}
	if len(seen) < MinStations {
		return nil, nil, nil, fmt.Errorf("%w: %d not masked, at least %d needed", ErrTooFewStations, len(seen), MinStations)
	}
	y, closure, err := removeDrift(readings, reread)
	if err != nil {
		return nil, nil, nil, err
	}
	rest, err := residualsOfFit(y, seen, maskWaves)
	if err != nil {
		return nil, nil, nil, err
	}
	completed = slices.Clone(y)
	for i, v := range y {
		if masked[i] {
			completed[i] = v - rest[i]
		}
	}
	return completed, masked, closure, nil
}

// maskedStations marks the masked stations of n.
func maskedStations(n int, repeated bool, masks []Mask) ([]bool, error) {
	masked := make([]bool, n)
	for i, m := range masks {
		field := fmt.Sprintf("masked[%d]", i)
		switch {
		case m.Station < 0 || m.Station >= n:
			return nil, fieldf(field, "station %d is not one of %d", m.Station, n)
		case m.Reason == "":
			return nil, fieldf(field, "needs a reason")
		case masked[m.Station]:
			return nil, fieldf(field, "station %d is masked twice", m.Station)
		case m.Station == 0 && repeated:
			return nil, fieldf(field, "station 0 was repeated for the drift and cannot be masked: begin at another station")
		}
		masked[m.Station] = true
	}
	return masked, nil
}

// looseMM is the play above which a wheel sits loose in its stand. Common
// practice, no source.
const looseMM = 0.03

// Loose says whether one station, read with the rim pressed by hand to one side
// and to the other and let go each time, moved more than 0.03 mm: a wheel loose
// in the stand or play in its bearings, and no set to be believed.
func Loose(pressedToA, pressedToB float64) (bool, error) {
	if err := allFinite("pressed", []float64{pressedToA, pressedToB}); err != nil {
		return false, err
	}
	return math.Abs(pressedToA-pressedToB) > looseMM+roundingSlackMM, nil
}
