package pack

import (
	"fmt"

	"tracewright/models/numbers/measure"
)

// What becomes of a pack that is no A and no B.
const (
	Rework     = "rework"     // charge blocks singly, rest, measure again
	Quarantine = "quarantine" // a block is suspect
)

// ReadyLimits are the rest voltages at 25 degrees of the lowest block, V, and
// the ranges inside the pack, V, for a block of PerCells cells. Equal passes.
type ReadyLimits struct {
	LowestA, LowestB string // at least, for grade A and grade B
	QuarantineBelow  string // a block below it is suspect
	RangeA, RangeB   string // at most
	PerCells         int
}

// readyTable holds the limits per 12 V lead-acid block. All common practice, no
// source. Lithium has none: it ships by state of charge.
var readyTable = map[Chemistry]ReadyLimits{
	AGM:      {"12.80", "12.70", "12.60", "0.05", "0.10", CellsPer12V},
	AGMSmall: {"12.90", "12.80", "12.70", "0.05", "0.10", CellsPer12V},
	Gel:      {"12.85", "12.75", "12.65", "0.05", "0.10", CellsPer12V},
	Flooded:  {"12.65", "12.55", "12.45", "0.05", "0.10", CellsPer12V},
}

// DefaultReadyLimits gives the shipping limits of a chemistry, or ErrNoTable.
func DefaultReadyLimits(chemistry Chemistry) (ReadyLimits, error) {
	if err := chemistry.check(); err != nil {
		return ReadyLimits{}, err
	}
	limits, ok := readyTable[chemistry]
	if !ok {
		return ReadyLimits{}, fmt.Errorf("%w: %s ships by state of charge, not by voltage", ErrNoTable, chemistry)
	}
	return limits, nil
}

// suspectBelowB is how far below the least of grade B a 12 V block is suspect:
// the same for every chemistry of the table.
const suspectBelowB = "0.10"

// SuspectBelow gives the voltage below which a block is suspect where its model
// says the least of grade B itself, V for a block of as many cells.
func SuspectBelow(lowestB string, cells int) (string, error) {
	below, err := ForCells(suspectBelowB, cells, CellsPer12V)
	if err != nil {
		return "", err
	}
	b, err := measure.Parse(lowestB)
	if err != nil {
		return "", fmt.Errorf("least voltage of grade B: %w", err)
	}
	step, err := measure.Parse(below)
	if err == nil {
		b, err = b.Sub(step)
	}
	return b.String(), err
}

// ReadyResult says whether a pack is ready to ship by its voltages.
type ReadyResult struct {
	Lowest measure.Decimal // V
	Range  measure.Decimal // V
	Grade  string          // GradeA, GradeB, Rework, Quarantine
}

// ReadyToShip grades a pack by its rested block voltages at 25 degrees, in
// exact decimals and in this order: a block below the quarantine limit makes it
// Quarantine; lowest and range within A make it A; within B, B; otherwise
// Rework. Limits are scaled by cellsPerBlock over limits.PerCells. A and B pass,
// the others fail. A pack whose rework fails twice is quarantined by a person;
// that history is not known here. Source: common practice, no source.
//
// One block has range 0. Values not above zero are ErrInput.
func ReadyToShip(ocv25 []measure.Decimal, cellsPerBlock int, limits ReadyLimits) (ReadyResult, error) {
	if err := first(checkCells("cells_per_block", cellsPerBlock), checkBlocks("ocv25_V", ocv25, 1)); err != nil {
		return ReadyResult{}, err
	}
	out := ReadyResult{Lowest: measure.Min(ocv25[0], ocv25[1:]...)}
	var err error
	if out.Range, err = rangeOf(ocv25); err != nil {
		return ReadyResult{}, err
	}
	per, cells := measure.FromInt(int64(limits.PerCells)), measure.FromInt(int64(cellsPerBlock))
	below := func(limit string) bool {
		c, e := compareScaled(out.Lowest, per, limit, cells)
		err = first(err, e)
		return c < 0
	}
	wider := func(limit string) bool {
		c, e := compareScaled(out.Range, per, limit, cells)
		err = first(err, e)
		return c > 0
	}
	switch {
	case below(limits.QuarantineBelow):
		out.Grade = Quarantine
	case !below(limits.LowestA) && !wider(limits.RangeA):
		out.Grade = GradeA
	case !below(limits.LowestB) && !wider(limits.RangeB):
		out.Grade = GradeB
	default:
		out.Grade = Rework
	}
	if err != nil {
		return ReadyResult{}, fmt.Errorf("compare with shipping limits: %w", err)
	}
	return out, nil
}
