package gauge

import (
	"errors"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/interp"

	"tracewright/models/numbers/stats"
)

var (
	// ErrOutOfCalibratedRange: a reading below the first or above the last point
	// of a calibration table, where no value is known.
	ErrOutOfCalibratedRange = errors.New("outside the calibrated range")
	// ErrNotMonotone: values that rise and fall, or stand still, along a table
	// that was to be monotone.
	ErrNotMonotone = errors.New("values are not monotone")
)

// Point is one point of a calibration table: what the gauge read, and the value
// that was there by the standard.
type Point struct {
	Reading, Value float64
}

// Interpolation is the way from point to point.
type Interpolation string

const (
	// Linear joins the points by straight lines.
	Linear Interpolation = "linear"
	// MonotoneCubic joins them by cubics with a continuous slope that rise where
	// the points rise, fall where they fall, and never leave the interval between
	// two neighbouring values: Fritsch and Carlson (SIAM Journal on Numerical
	// Analysis 17, 1980), with the slopes of Fritsch and Butland (SIAM Journal on
	// Scientific and Statistical Computing 5, 1984). It suits a gauge whose table
	// bends, such as a spring; it is no better than the points are.
	MonotoneCubic Interpolation = "monotone_cubic"
)

// mostPoints bounds a calibration table.
const mostPoints = 100_000

// Curve is a calibration table that answers for readings within its range, and
// only there.
type Curve struct {
	points []Point // By reading, each higher than the one before.
	cubic  *interp.FritschButland
}

// NewCurve makes a curve of at least two points with readings that differ, in
// any order. A monotone curve is one on which each value belongs to one reading
// alone: the error wraps [ErrNotMonotone] when the values do not strictly rise
// or strictly fall.
func NewCurve(points []Point, how Interpolation, monotone bool) (*Curve, error) {
	c := &Curve{points: slices.Clone(points)}
	if how != Linear && how != MonotoneCubic {
		return nil, outside("interpolation", fmt.Sprintf("%.40q", string(how)), "is not offered")
	}
	if len(points) < 2 {
		return nil, about("points", fmt.Errorf("%d where 2 are needed: %w", len(points), stats.ErrTooFew))
	}
	if len(points) > mostPoints {
		return nil, about("points", fmt.Errorf("more than %d: %w", mostPoints, ErrTooMuch))
	}
	for i, p := range points {
		if err := checkAll(checkFinite("reading", p.Reading), checkFinite("value", p.Value)); err != nil {
			return nil, at(fmt.Sprintf("points[%d]", i), err)
		}
	}
	slices.SortFunc(c.points, func(a, b Point) int {
		switch {
		case a.Reading < b.Reading:
			return -1
		case a.Reading > b.Reading:
			return 1
		}
		return 0
	})
	if low, high := c.Range(); checkFinite("points", high-low) != nil {
		return nil, outside("points", "a range of readings", "must be one that a double can hold")
	}
	for i := 1; i < len(c.points); i++ {
		if c.points[i].Reading == c.points[i-1].Reading {
			return nil, about("points", fmt.Errorf("two at the reading %v: %w", c.points[i].Reading, stats.ErrOutOfRange))
		}
	}
	if monotone && !c.monotone() {
		return nil, about("points", ErrNotMonotone)
	}
	if how == MonotoneCubic {
		if err := c.fit(); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// Range returns the lowest and the highest reading that the curve answers for.
func (c *Curve) Range() (low, high float64) {
	return c.points[0].Reading, c.points[len(c.points)-1].Reading
}

// Value returns the value at a reading. A reading of the table gives the value
// of the table. Outside the table there is no value, and the error wraps
// [ErrOutOfCalibratedRange]: a curve is never drawn on beyond its points.
func (c *Curve) Value(reading float64) (float64, error) {
	if err := checkFinite("reading", reading); err != nil {
		return 0, err
	}
	low, high := c.Range()
	if reading < low || reading > high {
		return 0, about("reading", fmt.Errorf("%v is not within %v to %v: %w", reading, low, high, ErrOutOfCalibratedRange))
	}
	i, exact := slices.BinarySearchFunc(c.points, reading, func(p Point, r float64) int {
		switch {
		case p.Reading < r:
			return -1
		case p.Reading > r:
			return 1
		}
		return 0
	})
	if exact {
		return c.points[i].Value, nil
	}
	a, b := c.points[i-1], c.points[i]
	var value float64
	if c.cubic != nil {
		value = c.cubic.Predict(reading)
	} else {
		value = a.Value + (b.Value-a.Value)*((reading-a.Reading)/(b.Reading-a.Reading))
	}
	if err := checkFinite("points", value); err != nil {
		return 0, err
	}
	// Rounding of the last digit must not carry it past a neighbour.
	return min(max(value, min(a.Value, b.Value)), max(a.Value, b.Value)), nil
}

func (c *Curve) monotone() bool {
	rising, falling := true, true
	for i := 1; i < len(c.points); i++ {
		rising = rising && c.points[i].Value > c.points[i-1].Value
		falling = falling && c.points[i].Value < c.points[i-1].Value
	}
	return rising || falling
}

// fit makes the cubics, from differences that a double can hold.
func (c *Curve) fit() error {
	readings, values := make([]float64, len(c.points)), make([]float64, len(c.points))
	for i, p := range c.points {
		readings[i], values[i] = p.Reading, p.Value
		if i > 0 {
			if err := checkFinite("points", (values[i]-values[i-1])/(readings[i]-readings[i-1])); err != nil {
				return err
			}
		}
	}
	c.cubic = &interp.FritschButland{}
	if err := c.cubic.Fit(readings, values); err != nil {
		return about("points", err)
	}
	return nil
}
