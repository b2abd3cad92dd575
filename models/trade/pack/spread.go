package pack

import (
	"fmt"
	"slices"

	"tracewright/models/numbers/measure"
)

// Grades of a pack by its spread, best first.
const (
	GradeA      = "A"
	GradeB      = "B"
	GradeReject = "reject"
)

// SpreadLimits are the largest spreads of a pack for grade A and grade B, as
// exact decimals in text. A value equal to its limit passes.
type SpreadLimits struct {
	VoltageA, VoltageB string // V, largest minus smallest voltage at 25 degrees
	ResistA, ResistB   string // %, largest minus smallest resistance over the median
	PerCells           int    // cells of the block the voltages are meant for; 0: any
}

// DefaultSpreadLimits are those of 12 V lead-acid blocks: 50 and 100 mV, 10 and
// 20 %. Common practice, no source. Voltages are scaled by cells/6.
func DefaultSpreadLimits() SpreadLimits {
	return SpreadLimits{VoltageA: "0.05", VoltageB: "0.10", ResistA: "10", ResistB: "20", PerCells: CellsPer12V}
}

// SpreadResult is the spread of a pack.
type SpreadResult struct {
	VoltageRange measure.Decimal // V, exact
	ResistPct    float64         // 100 (largest - smallest)/median
	ByVoltage    string          // grade by voltage alone
	ByResistance string          // grade by resistance alone
	Grade        string          // the worse of both
}

// Spread grades a pack by how far its blocks lie apart, all corrected to 25
// degrees: the range of voltage, V, and the range of resistance over its
// median (one unit for all). Comparisons are exact decimals: 12.91 - 12.86 is
// 0.05 and passes 0.05; the resistance is compared as 100 range <= limit *
// median, without a division. Limits for voltage are scaled by cellsPerBlock
// over limits.PerCells. Source: common practice, no source.
//
// At least two blocks, as many resistances as voltages, all above zero.
func Spread(ocv25, r25 []measure.Decimal, cellsPerBlock int, limits SpreadLimits) (SpreadResult, error) {
	err := first(checkCells("cells_per_block", cellsPerBlock), checkBlocks("ocv25_V", ocv25, 2), checkBlocks("R25_mohm", r25, 2))
	if err == nil && len(ocv25) != len(r25) {
		err = fieldf("R25_mohm", "%d values for %d blocks", len(r25), len(ocv25))
	}
	if err != nil {
		return SpreadResult{}, err
	}
	var out SpreadResult
	if out.VoltageRange, err = rangeOf(ocv25); err != nil {
		return SpreadResult{}, err
	}
	resistRange, err := rangeOf(r25)
	if err != nil {
		return SpreadResult{}, err
	}
	twiceMedian, err := twiceMedian(r25)
	if err != nil {
		return SpreadResult{}, err
	}
	out.ResistPct = 200 * resistRange.Float() / twiceMedian.Float()

	cells, per := int64(cellsPerBlock), int64(limits.PerCells)
	if per == 0 {
		cells, per = 1, 1
	}
	out.ByVoltage, err = grade(out.VoltageRange, measure.FromInt(per), measure.FromInt(cells), limits.VoltageA, limits.VoltageB)
	if err != nil {
		return SpreadResult{}, fmt.Errorf("grade voltage spread: %w", err)
	}
	out.ByResistance, err = grade(resistRange, measure.FromInt(200), twiceMedian, limits.ResistA, limits.ResistB)
	if err != nil {
		return SpreadResult{}, fmt.Errorf("grade resistance spread: %w", err)
	}
	out.Grade = worse(out.ByVoltage, out.ByResistance)
	return out, nil
}

// grade is the best of A and B for which value * times <= limit * scale, or
// GradeReject.
func grade(value, times, scale measure.Decimal, limitA, limitB string) (string, error) {
	for _, g := range []struct{ name, limit string }{{GradeA, limitA}, {GradeB, limitB}} {
		compared, err := compareScaled(value, times, g.limit, scale)
		if err != nil {
			return "", err
		}
		if compared <= 0 {
			return g.name, nil
		}
	}
	return GradeReject, nil
}

// compareScaled compares value * times with limit * scale, exactly.
func compareScaled(value, times measure.Decimal, limit string, scale measure.Decimal) (int, error) {
	l, err := measure.Parse(limit)
	if err != nil {
		return 0, fmt.Errorf("limit: %w", err)
	}
	left, err := value.MulExact(times)
	if err != nil {
		return 0, err
	}
	right, err := l.MulExact(scale)
	if err != nil {
		return 0, err
	}
	return left.Cmp(right), nil
}

// worse gives the worse of two grades by spread.
func worse(a, b string) string {
	order := []string{GradeA, GradeB, GradeReject}
	return order[max(slices.Index(order, a), slices.Index(order, b))]
}

// rangeOf is largest minus smallest, exactly.
func rangeOf(values []measure.Decimal) (measure.Decimal, error) {
	d, err := measure.Max(values[0], values[1:]...).Sub(measure.Min(values[0], values[1:]...))
	if err != nil {
		return measure.Decimal{}, fmt.Errorf("range: %w", err)
	}
	return d, nil
}

// twiceMedian is the sum of the two middle values (twice the middle one of an
// odd count): the median without a division.
func twiceMedian(values []measure.Decimal) (measure.Decimal, error) {
	sorted := slices.SortedFunc(slices.Values(values), measure.Decimal.Cmp)
	n := len(sorted)
	d, err := sorted[(n-1)/2].Add(sorted[n/2])
	if err != nil {
		return measure.Decimal{}, fmt.Errorf("median: %w", err)
	}
	return d, nil
}

// checkBlocks refuses a list that is too short or holds a value that is missing
// or not above zero.
func checkBlocks(field string, values []measure.Decimal, least int) error {
	if len(values) < least {
		return fieldf(field, "%d blocks, at least %d needed", len(values), least)
	}
	for i, v := range values {
		place := fmt.Sprintf("%s[%d]", field, i)
		if !v.Given() {
			return fieldf(place, "is missing")
		}
		if v.Sign() <= 0 {
			return fieldf(place, "must be above zero, not %s", v)
		}
	}
	return nil
}
