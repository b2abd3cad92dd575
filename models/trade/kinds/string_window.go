package kinds

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// StringWindow is where the voltage of one rested string of a pack lies, V, both
// ends in it. Below the least its blocks are scrap on average, one is missing or
// the wrong way round. Above the most, lead-acid still carries surface charge
// (pack.Reading.SurfaceLimit) and lithium is past the end of its charge. Common
// practice, no source; what the block model says for itself comes first.
func StringWindow(form models.PackForm) (least, most measure.Decimal, err error) {
	block, chemistry := PackBlock(form), pack.Chemistry(form.Chemistry)
	scrap, ok := BlockLimit(block, "scrap_below_v")
	if !ok {
		return least, most, fmt.Errorf("voltage of a string: no limit for scrap of %d cells of %q", form.Cells, form.Chemistry)
	}
	if least, err = scrap.Mul(measure.FromInt(int64(form.Blocks))); err != nil {
		return least, most, fmt.Errorf("least voltage of a string: %w", err)
	}
	volts := pack.Reading{Cells: form.Cells, FullV: fullVolts(block)}.SurfaceLimit() * float64(form.Blocks)
	if !chemistry.LeadAcid() {
		if volts, _, err = pack.ChargingVoltage(chemistry, form.Cells*form.Blocks); err != nil {
			return least, most, fmt.Errorf("most voltage of a string: %w", err)
		}
	}
	if most, err = measure.Round(volts, 3); err != nil {
		return least, most, fmt.Errorf("most voltage of a string: %w", err)
	}
	return least.Trim(), most.Trim(), nil
}
