package kinds

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// packLimits are what a grade asks of a pack's blocks, decimal text, V at 25
// degrees for the block the product names; empty where there is no limit.
type packLimits struct{ lowest, voltageRange, resistancePct, stringDifference string }

// limitsOf gives the limits for the product's block: those of its model where the
// form took them over, else the common ones.
func limitsOf(grade string, form models.PackForm) (packLimits, error) {
	limits, err := ownOrUsual(grade, form)
	if err != nil {
		return packLimits{}, fmt.Errorf("default limits of a pack: %w", err)
	}
	// The limit does not depend on the voltages, so any two that agree will do.
	level := []measure.Decimal{measure.FromInt(12), measure.FromInt(12)}
	join, err := pack.JoinStrings(level, pack.Chemistry(form.Chemistry), form.Cells*form.Blocks)
	if err != nil {
		return packLimits{}, fmt.Errorf("default limits of a pack: %w", err)
	}
	limits.stringDifference = join.Limit.RoundTo(4).Trim().String()
	return limits, nil
}

func ownOrUsual(grade string, form models.PackForm) (packLimits, error) {
	switch chemistry := pack.Chemistry(form.Chemistry); {
	case len(form.Limits) > 0:
		return modelLimits(grade, PackBlock(form)), nil
	case chemistry.LeadAcid():
		return leadLimits(grade, form)
	default:
		return lithiumLimits(grade, chemistry)
	}
}

// modelLimits are those of a block model, as its form says them.
func modelLimits(grade string, block models.BlockForm) packLimits {
	letter := "b"
	if grade == "A" {
		letter = "a"
	}
	return packLimits{lowest: BlockLimitText(block, "ship_ocv_min_"+letter+"_v"), voltageRange: BlockLimitText(block, "spread_ocv_"+letter+"_v"),
		resistancePct: BlockLimitText(block, "spread_ir_"+letter+"_pct")}
}

// leadLimits are the common ones of lead-acid: rest voltage, range and resistance
// scaled from six cells. Common practice, no source; see package pack for each.
func leadLimits(grade string, form models.PackForm) (packLimits, error) {
	ready, err := pack.DefaultReadyLimits(pack.Chemistry(form.Chemistry))
	if err != nil {
		return packLimits{}, err
	}
	spread := pack.DefaultSpreadLimits()
	lowest, voltageRange, resistance := ready.LowestB, ready.RangeB, spread.ResistB
	if grade == "A" {
		lowest, voltageRange, resistance = ready.LowestA, ready.RangeA, spread.ResistA
	}
	l := packLimits{resistancePct: resistance}
	if l.lowest, err = pack.ForCells(lowest, form.Cells, ready.PerCells); err != nil {
		return packLimits{}, err
	}
	l.voltageRange, err = pack.ForCells(voltageRange, form.Cells, ready.PerCells)
	return l, err
}

// lithiumLimits has no least voltage: lithium ships by state of charge.
func lithiumLimits(grade string, chemistry pack.Chemistry) (packLimits, error) {
	class, letter := pack.ClassLiIon, "b"
	if chemistry == pack.LiFePO4 {
		class = pack.ClassLiFePO4
	}
	if grade == "A" {
		letter = "a"
	}
	voltageRange, err := pack.Limit(class, "spread_ocv_"+letter+"_v")
	if err != nil {
		return packLimits{}, err
	}
	resistance, err := pack.Limit(class, "spread_ir_"+letter+"_pct")
	return packLimits{voltageRange: voltageRange, resistancePct: resistance}, err
}

// readyLimits are what a pack is graded by: those of its block model where the
// form took them over, and a block is then suspect as far below the least of
// grade B as it is by common practice; else the common ones of the chemistry. ok
// is false where it has none, or the model was cleared of one.
func readyLimits(form models.PackForm) (limits pack.ReadyLimits, ok bool) {
	if len(form.Limits) == 0 {
		limits, err := pack.DefaultReadyLimits(pack.Chemistry(form.Chemistry))
		return limits, err == nil
	}
	block := PackBlock(form)
	a, b := modelLimits("A", block), modelLimits("B", block)
	suspect, err := pack.SuspectBelow(b.lowest, form.Cells)
	limits = pack.ReadyLimits{LowestA: a.lowest, LowestB: b.lowest, QuarantineBelow: suspect, RangeA: a.voltageRange, RangeB: b.voltageRange, PerCells: form.Cells}
	return limits, err == nil && a.lowest != "" && a.voltageRange != "" && b.voltageRange != ""
}
