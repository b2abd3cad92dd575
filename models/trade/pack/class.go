package pack

import (
	"fmt"

	"tracewright/models/numbers/measure"
)

// smallAh is the capacity up to which a 12 V absorbed glass mat block belongs to
// the small ones.
const smallAh = 12.0

// ClassFor gives the class whose default limits hold for a block: by its
// chemistry, its cells and its capacity. A flooded block takes those of absorbed
// glass mat, a lead-acid block of other than six cells those of the 6 V block,
// per cell the same. An unknown chemistry has none.
func ClassFor(chemistry Chemistry, cells int, capacityAh float64) Class {
	switch {
	case chemistry == LiFePO4:
		return ClassLiFePO4
	case chemistry == LiIon:
		return ClassLiIon
	case !chemistry.LeadAcid():
		return ""
	case chemistry == Gel:
		return ClassGel
	case cells != CellsPer12V:
		return ClassSixVolt
	case chemistry == AGMSmall || chemistry == AGM && capacityAh > 0 && capacityAh <= smallAh:
		return ClassAGMSmall
	}
	return ClassAGM
}

// LinesFor gives the default limits of a block: those of its class, voltages for
// as many cells as it has, and for a flooded block the shipping limits of its own
// chemistry.
func LinesFor(chemistry Chemistry, cells int, capacityAh float64) ([]Line, error) {
	class := ClassFor(chemistry, cells, capacityAh)
	lines, err := DefaultLines(class)
	if err != nil {
		return nil, err
	}
	if err := checkCells("cells", cells); err != nil {
		return nil, err
	}
	for i := range lines {
		line, of := &lines[i], class.Cells()
		switch {
		case chemistry == Flooded && line.Code == "ship_ocv_min_a_v":
			line.Text, of = readyTable[Flooded].LowestA, CellsPer12V
		case chemistry == Flooded && line.Code == "ship_ocv_min_b_v":
			line.Text, of = readyTable[Flooded].LowestB, CellsPer12V
		}
		if line.Unit != "V" && line.Unit != "mV/d" || cells == of {
			continue
		}
		if line.Text, err = ForCells(line.Text, cells, of); err != nil {
			return nil, fmt.Errorf("%s for %d cells: %w", line.Code, cells, err)
		}
	}
	return lines, nil
}

// ForCells scales a voltage that holds for some cells in series to another
// number of them, exactly where it comes out and to a tenth of a millivolt
// otherwise.
func ForCells(limit string, cells, of int) (string, error) {
	d, err := measure.Parse(limit)
	if err == nil {
		d, err = d.Mul(measure.FromInt(int64(cells)))
	}
	if err == nil {
		d, err = d.Quo(measure.FromInt(int64(of)))
	}
	if err != nil {
		return "", fmt.Errorf("scale limit %s by %d/%d cells: %w", limit, cells, of, err)
	}
	d = d.RoundTo(4).Trim()
	if d.Decimals() < 2 {
		d = d.RoundTo(2)
	}
	return d.String(), nil
}
