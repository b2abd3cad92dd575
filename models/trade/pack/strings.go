package pack

import (
	"fmt"

	"tracewright/models/numbers/measure"
)

// ShockLimitV is the direct voltage above which rules on electric shock
// tighten; pages say so when a string passes it on charge. Common practice, no
// source.
const ShockLimitV = 60.0

// JoinResult says whether strings may be connected in parallel.
type JoinResult struct {
	Range measure.Decimal // V, largest minus smallest string voltage
	Limit measure.Decimal // V, at most; equal passes
	OK    bool
}

// JoinStrings compares the voltages of strings before they are connected in
// parallel, rested and by one meter, in exact decimals: unequal strings drive a
// large current when joined. Limit: 50 mV for each 12 V of lead-acid (6 cells),
// 20 mV for each lithium cell in series. Common practice, no source; the
// maker's sheet comes first.
//
// cellsInSeries counts the cells of one string. At least two strings. Voltages
// are signed: a reversed string is a reading, and far from the others.
func JoinStrings(strings []measure.Decimal, chemistry Chemistry, cellsInSeries int) (JoinResult, error) {
	millivolts, forCells, err := joining(chemistry)
	if err == nil && len(strings) < 2 {
		err = fieldf("strings_V", "%d strings, at least 2 needed", len(strings))
	}
	for i, v := range strings {
		if err == nil && !v.Given() {
			err = fieldf(fmt.Sprintf("strings_V[%d]", i), "is missing")
		}
	}
	if err == nil && cellsInSeries < 1 {
		err = fieldf("cells_in_series", "must be at least 1, not %d", cellsInSeries)
	}
	if err != nil {
		return JoinResult{}, err
	}
	var out JoinResult
	if out.Range, err = rangeOf(strings); err != nil {
		return JoinResult{}, err
	}
	// Compared without a division: 1000 range * forCells <= mV * cells.
	left, err := out.Range.MulExact(measure.FromInt(1000 * forCells))
	if err != nil {
		return JoinResult{}, fmt.Errorf("compare strings: %w", err)
	}
	allowed := measure.FromInt(millivolts * int64(cellsInSeries))
	out.OK = left.Cmp(allowed) <= 0
	if out.Limit, err = JoinLimit(chemistry, cellsInSeries); err != nil {
		return JoinResult{}, err
	}
	return out, nil
}

// JoinLimit is how far strings of so many cells in series may differ to be
// joined, V: 50 mV for each 12 V of lead-acid, 20 mV for each lithium cell.
// Common practice, no source; the maker's sheet comes first.
func JoinLimit(chemistry Chemistry, cellsInSeries int) (measure.Decimal, error) {
	millivolts, forCells, err := joining(chemistry)
	if err == nil && cellsInSeries < 1 {
		err = fieldf("cells_in_series", "must be at least 1, not %d", cellsInSeries)
	}
	if err != nil {
		return measure.Decimal{}, err
	}
	limit, err := measure.FromInt(millivolts * int64(cellsInSeries)).Quo(measure.FromInt(1000 * forCells))
	if err != nil {
		return measure.Decimal{}, fmt.Errorf("limit of strings: %w", err)
	}
	return limit, nil
}

// joining is how many millivolts are allowed for how many cells in series.
func joining(chemistry Chemistry) (millivolts, forCells int64, err error) {
	if err := chemistry.check(); err != nil {
		return 0, 0, err
	}
	if chemistry.LeadAcid() {
		return 50, int64(CellsPer12V), nil
	}
	return 20, 1, nil
}

// chargingV is the highest usual charging voltage of a cell, V: absorption of
// lead-acid at 25 degrees, end of charge of lithium. Common practice, no source.
var chargingV = map[Chemistry]float64{
	Flooded: 2.45, AGM: 2.45, AGMSmall: 2.45, Gel: 2.40, LiFePO4: 3.65, LiIon: 4.20,
}

// ChargingVoltage gives the highest usual voltage of a string on charge, V, and
// whether it lies above ShockLimitV: 58.8 V for 24 lead-acid cells does not.
func ChargingVoltage(chemistry Chemistry, cellsInSeries int) (volts float64, aboveShockLimit bool, err error) {
	if err := chemistry.check(); err != nil {
		return 0, false, err
	}
	if cellsInSeries < 1 {
		return 0, false, fieldf("cells_in_series", "must be at least 1, not %d", cellsInSeries)
	}
	volts = chargingV[chemistry] * float64(cellsInSeries)
	return volts, volts > ShockLimitV+slack, nil
}
