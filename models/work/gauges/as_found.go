package gauges

import (
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
	"tracewright/models/numbers/measure"
)

// errorDecimals is how much finer than the points of a calibration an error
// between them is taken.
const errorDecimals = 2

// errorsAsFound are what an instrument was found to read too much at each
// reading, before it was adjusted, by rising reading of the points.
func errorsAsFound(points []models.CalibrationPoint) ([]models.TraceError, error) {
	list := make([]models.TraceError, len(points))
	for i, p := range points {
		reading, err := measure.ParseReading(p.AsFound)
		if err != nil {
			return nil, fmt.Errorf("as found %q: %w", p.AsFound, err)
		}
		reference, err := measure.ParseReading(p.Reference)
		if err != nil {
			return nil, fmt.Errorf("reference %q: %w", p.Reference, err)
		}
		off, err := reading.Sub(reference)
		if err != nil {
			return nil, fmt.Errorf("error at %s: %w", p.Reference, err)
		}
		list[i] = models.TraceError{Reading: reading.String(), Error: off.String()}
	}
	return list, nil
}

// errTurnsBack says that an instrument read the same of different values: what a
// reading meant then nobody can say.
var errTurnsBack = errors.New("as found, the readings turn back")

// asFound takes the error that an instrument was found to have off a value that
// was read with it.
type asFound struct {
	unit     measure.Unit // of the instrument
	curve    *gauge.Curve // error over reading
	same     measure.Decimal
	decimals int
}

// newAsFound joins the points by straight lines. One point is taken for an error
// that is the same everywhere; beyond several, nothing is known.
func newAsFound(unit string, points []models.TraceError) (*asFound, error) {
	a := &asFound{unit: measure.Unit(unit)}
	curve := make([]gauge.Point, len(points))
	last := 0.0
	for i, p := range points {
		reading, err := measure.Parse(p.Reading)
		if err != nil {
			return nil, fmt.Errorf("reading as found: %w", err)
		}
		off, err := measure.Parse(p.Error)
		if err != nil {
			return nil, fmt.Errorf("error as found: %w", err)
		}
		if i > 0 && reading.Float() <= last {
			return nil, errTurnsBack
		}
		last = reading.Float()
		curve[i] = gauge.Point{Reading: reading.Float(), Value: off.Float()}
		a.decimals, a.same = max(a.decimals, off.Decimals()+errorDecimals), off
	}
	if len(points) == 1 {
		return a, nil
	}
	var err error
	if a.curve, err = gauge.NewCurve(curve, gauge.Linear, false); err != nil {
		return nil, fmt.Errorf("errors as found: %w", err)
	}
	return a, nil
}

// off gives the value less the error that the instrument had there.
func (a *asFound) off(unit measure.Unit, value measure.Decimal) (measure.Decimal, error) {
	read, err := measure.Convert(value, unit, a.unit)
	if err != nil {
		return value, fmt.Errorf("value in %s: %w", a.unit, err)
	}
	wrong := a.same
	if a.curve != nil {
		x, err := a.curve.Value(read.Float())
		if err != nil {
			return value, fmt.Errorf("error at %s %s: %w", read, a.unit, err)
		}
		if wrong, err = measure.Round(x, a.decimals); err != nil {
			return value, fmt.Errorf("error at %s %s: %w", read, a.unit, err)
		}
	}
	if read, err = read.Sub(wrong); err != nil {
		return value, fmt.Errorf("value less its error: %w", err)
	}
	corrected, err := measure.Convert(read, a.unit, unit)
	if err != nil {
		return value, fmt.Errorf("value in %s: %w", unit, err)
	}
	return corrected, nil
}
