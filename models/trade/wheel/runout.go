package wheel

import (
	"errors"
	"fmt"
	"math"
)

const (
	// MinStations is the least number of equally spaced stations for which
	// harmonics are given: twelve separate the waves 1 to 4 with margin
	// (N stations resolve waves below N/2). Common practice, no source.
	MinStations = 12

	// MaxClosureMM is the largest difference between the first reading and
	// its repeat at the end of the turn that is taken for a slow drift and
	// removed. Beyond it the indicator or the wheel has moved. Common
	// practice, no source.
	MaxClosureMM = 0.05

	// reportedHarmonics is how many waves a RunOut lists.
	reportedHarmonics = 4

	// roundingSlackMM forgives the binary representation of decimal readings
	// (0.34 - 0.29 is 0.05000000000000004) where a difference is compared
	// with a limit. It is far below the step of any indicator.
	roundingSlackMM = 1e-9
)

var (
	// ErrTooFewStations says that a set is too short for harmonics; its
	// extremes may still be used.
	ErrTooFewStations = errors.New("too few stations for harmonics")

	// ErrClosure says that the repeat of the first station differs from the
	// first reading by more than MaxClosureMM, so that the whole set has to
	// be read again. The error is a *ClosureError, which holds the value.
	ErrClosure = errors.New("repeat of the first station does not agree")
)

// ClosureError holds the closure that made a set unusable.
type ClosureError struct{ Closure float64 }

// Error gives the closure and the limit in millimetres.
func (e *ClosureError) Error() string {
	return fmt.Sprintf("repeat of the first station differs by %+.4g mm, more than %g mm: read the set again", e.Closure, MaxClosureMM)
}

// Unwrap makes errors.Is(err, ErrClosure) true.
func (e *ClosureError) Unwrap() error { return ErrClosure }

// Harmonic is one wave of the rim: y = Amplitude cos(K theta - PhaseDeg).
// Its high spots stand at (PhaseDeg + 360 m)/K degrees.
type Harmonic struct {
	K         int     // waves in one turn
	Amplitude float64 // mm, half of the wave's own full indicator reading
	PhaseDeg  float64 // degrees, in (-180, 180]; 0 where there is no wave
}

// RunOut is what one turn of readings says about a rim. Lengths are mm.
type RunOut struct {
	TIR       float64    // largest minus smallest reading at the stations
	Mean      float64    // centre line: lateral, the offset toward side A; radial, the gauge zero
	Harmonics []Harmonic // waves 1 to 4

	TIRInterpolated float64 // the same between the stations, from the trigonometric interpolant
	HighSpotDeg     float64 // where the interpolant is highest, in [0, 360)
	LowSpotDeg      float64 // where it is lowest

	ResidualRMSAboveK3 float64 // root mean square of what mean and waves 1 to 3 leave

	Closure   *float64 // repeat of station 0 minus its first reading; nil without a repeat
	Corrected bool     // a drift was removed: TIR and mean are then computed, not read
}

// AnalyseRunOut reduces one turn of indicator readings, in mm, at equally
// spaced stations (station i of N at 360 i/N degrees).
//
//   - TIR = max - min: the full indicator reading of ISO 4210-7 cl. 4.1, on
//     the side that was read.
//   - Mean = sum y / N. Never (max + min)/2, which one spike would move.
//   - Waves: c_k = (2/N) sum y_i cos k theta_i, s_k the same with sin,
//     amplitude hypot(c_k, s_k), phase atan2(s_k, c_k); Fourier sums, textbook.
//   - Between stations: the trigonometric interpolant through all N readings
//     (1/N and the cosine only for k = N/2).
//   - Residual: sqrt(sum r_i^2 / N), r_i what mean and waves 1..3 leave.
//   - Drift: reread repeats station 0 at the end, e = y_N - y_0. With
//     |e| <= 0.05 mm, e i/N is taken off reading i; beyond it the error is a
//     *ClosureError. Common practice, no source.
//
// The noise of the gauge makes TIR too large: with a reading sd s, a perfect
// rim shows 3.64 s at 18 stations, 3.89 s at 24 and 4.24 s at 36 on average
// (the mean range of that many normal values). Fewer than MinStations is
// ErrTooFewStations; a reading that is no number is ErrInput.
func AnalyseRunOut(readings []float64, reread *float64) (RunOut, error) {
	out, y, err := reduceRunOut(readings, reread)
	if err != nil {
		return RunOut{}, err
	}
	f := transform(y, len(y)/2)
	out.ResidualRMSAboveK3 = rms(f.residuals(y, 3))
	if out.TIR > 0 {
		lowest, highest := f.spots()
		out.TIRInterpolated = highest.value - lowest.value
		out.HighSpotDeg, out.LowSpotDeg = highest.deg, lowest.deg
	}
	return out, nil
}

// ReduceRunOut is AnalyseRunOut without what lies between the stations and
// without the residual: what a verdict and its record need, at a tenth of the
// cost.
func ReduceRunOut(readings []float64, reread *float64) (RunOut, error) {
	out, _, err := reduceRunOut(readings, reread)
	return out, err
}

// reduceRunOut also returns the readings with their drift taken off.
func reduceRunOut(readings []float64, reread *float64) (out RunOut, y []float64, err error) {
	if err := allFinite("readings", readings); err != nil {
		return RunOut{}, nil, err
	}
	n := len(readings)
	if n < MinStations {
		return RunOut{}, nil, fmt.Errorf("%w: %d read, at least %d needed", ErrTooFewStations, n, MinStations)
	}
	y, closure, err := removeDrift(readings, reread)
	if err != nil {
		return RunOut{}, nil, err
	}
	out = RunOut{Closure: closure, Corrected: closure != nil && *closure != 0}
	low, high := extremes(y)
	out.TIR = high - low
	f := transform(y, reportedHarmonics)
	out.Mean = f.mean
	out.Harmonics = f.harmonics(reportedHarmonics)
	return out, y, nil
}

// removeDrift takes a linear drift off the readings, so that the repeat of
// station 0 would agree with its first reading.
func removeDrift(readings []float64, reread *float64) (y []float64, closure *float64, err error) {
	if reread == nil {
		return readings, nil, nil
	}
	if !finite(*reread) {
		return nil, nil, fieldf("station_0_reread", "is not a number")
	}
	e := *reread - readings[0]
	if math.Abs(e) > MaxClosureMM+roundingSlackMM {
		return nil, nil, &ClosureError{Closure: e}
	}
	y = make([]float64, len(readings))
	for i, v := range readings {
		y[i] = v - e*float64(i)/float64(len(readings))
	}
	return y, &e, nil
}

// extremes gives the smallest and the largest of a list that is not empty.
func extremes(values []float64) (low, high float64) {
	low, high = values[0], values[0]
	for _, v := range values[1:] {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	return low, high
}

// rms is the root mean square, sum of squares over n, of a list that is not
// empty.
func rms(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(values)))
}
