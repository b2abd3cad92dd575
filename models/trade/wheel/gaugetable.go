package wheel

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/interp"
)

var (
	// ErrOutOfTable says that a gauge reading lies outside its table. There is
	// no tension for it: a table is never drawn on beyond its ends.
	ErrOutOfTable = errors.New("reading is out of the table")

	// ErrNotMonotone says that a table gives one tension for two readings, or
	// turns back, so that it cannot be used.
	ErrNotMonotone = errors.New("tensions of the table neither strictly rise nor strictly fall")

	// ErrOtherTable says that a table belongs to another gauge or spoke type.
	ErrOtherTable = errors.New("table of another gauge or spoke type")
)

// TablePoint is one point of a gauge table.
type TablePoint struct{ Reading, TensionN float64 }

// GaugeTable turns the readings of one tension gauge on one spoke type into
// tensions. The same reading stands for tensions that differ by 30 to 100 %
// between wires of 2.0 and 2.6 mm, so that a table is never shared.
type GaugeTable struct {
	Instrument string // serial number of the gauge
	SpokeType  string
	low, high  float64
	cubic      interp.FritschButland
}

// mostTablePoints bounds a table.
const mostTablePoints = 1000

// NewGaugeTable makes a table from at least two points, written by rising or by
// falling reading, whose tensions strictly rise or strictly fall; otherwise the
// error is ErrNotMonotone. Between the points it follows cubics that never turn back:
// Fritsch and Carlson (SIAM J. Numer. Anal. 17, 1980), slopes of Fritsch and
// Butland (SIAM J. Sci. Stat. Comput. 5, 1984).
func NewGaugeTable(instrument, spokeType string, points []TablePoint) (*GaugeTable, error) {
	if len(points) < 2 || len(points) > mostTablePoints {
		return nil, fieldf("reading", "a table has 2 to %d points, not %d", mostTablePoints, len(points))
	}
	readings, tensions := make([]float64, len(points)), make([]float64, len(points))
	rising, falling := true, true
	downward := points[len(points)-1].Reading < points[0].Reading
	for i, p := range points {
		if !finite(p.Reading) || math.Abs(p.Reading) > 1e9 {
			return nil, fieldf(fmt.Sprintf("reading[%d]", i), "is no reading of a gauge")
		}
		if !(p.TensionN >= 0 && p.TensionN <= highestTension) {
			return nil, fieldf(fmt.Sprintf("tension[%d]", i), "must be 0 to %g N", highestTension)
		}
		readings[i], tensions[i] = p.Reading, p.TensionN
		if i == 0 {
			continue
		}
		if !downward && p.Reading-readings[i-1] < 1e-9 {
			return nil, fieldf(fmt.Sprintf("reading[%d]", i), "must be above the reading before it")
		}
		if downward && readings[i-1]-p.Reading < 1e-9 {
			return nil, fieldf(fmt.Sprintf("reading[%d]", i), "must be below the reading before it")
		}
		rising = rising && p.TensionN > tensions[i-1]
		falling = falling && p.TensionN < tensions[i-1]
	}
	if !rising && !falling {
		return nil, ErrNotMonotone
	}
	if downward {
		slices.Reverse(readings)
		slices.Reverse(tensions)
	}
	t := &GaugeTable{Instrument: instrument, SpokeType: spokeType, low: readings[0], high: readings[len(readings)-1]}
	if err := t.cubic.Fit(readings, tensions); err != nil {
		return nil, fieldf("reading", "no curve goes through the points: %v", err)
	}
	return t, nil
}

// For refuses a table of another gauge or spoke type with ErrOtherTable.
func (t *GaugeTable) For(instrument, spokeType string) error {
	if t.Instrument != instrument || t.SpokeType != spokeType {
		return fmt.Errorf("%w: of gauge %q for spoke %q, not gauge %q for spoke %q", ErrOtherTable, t.Instrument, t.SpokeType, instrument, spokeType)
	}
	return nil
}

// Tension gives the tension at a reading, N. Outside the table it is
// ErrOutOfTable.
func (t *GaugeTable) Tension(reading float64) (float64, error) {
	if !finite(reading) {
		return 0, fieldf("reading", "is not a number")
	}
	if reading < t.low || reading > t.high {
		return 0, fmt.Errorf("%w: %g is not within %g to %g", ErrOutOfTable, reading, t.low, t.high)
	}
	return t.cubic.Predict(reading), nil
}

// Hysteresis is half the difference between the readings of one load rising and
// falling; the mean of the two belongs in the table.
func Hysteresis(rising, falling float64) (mean, half float64) {
	return rising/2 + falling/2, math.Abs(rising-falling) / 2
}
