package pack

import "fmt"

// ResistanceWindow is what a new, full block shows at 25 degrees and 1 kHz, by
// capacity at the 20 hour rate. Milliohm.
type ResistanceWindow struct {
	TypicalLow, TypicalHigh     float64 // where most lie
	PlausibleLow, PlausibleHigh float64 // outside, doubt the unit or the method
}

// windowRow is a window and the largest capacity, Ah, it is used for.
type windowRow struct {
	toAh float64
	ResistanceWindow
}

// windowTable holds 12 V absorbed glass mat blocks: common practice, no source;
// one maker's sheet of a 40 Ah block says under 8 milliohm. The rows are for 7,
// 9-10, 12, 18-20, 26 and 33-40 Ah; each is used up to the middle of the gap to
// the next.
var windowTable = []windowRow{
	{8, ResistanceWindow{18, 28, 10, 45}},
	{11, ResistanceWindow{14, 22, 8, 35}},
	{15, ResistanceWindow{11, 18, 6, 30}},
	{23, ResistanceWindow{8, 14, 4, 24}},
	{29.5, ResistanceWindow{7, 11, 4, 20}},
	{40, ResistanceWindow{5, 9, 3, 16}},
}

// WindowFor gives the resistance window of a lead-acid class and a capacity at
// the 20 hour rate, 4 to 40 Ah: gel 1.1 times, 6 V half of the 12 V value.
// Common practice, no source. Lithium goes by the maker's sheet: ErrNoTable.
func WindowFor(class Class, c20Ah float64) (ResistanceWindow, error) {
	if err := finite("C20_Ah", c20Ah); err != nil {
		return ResistanceWindow{}, err
	}
	factor := 1.0
	switch class {
	case ClassAGM, ClassAGMSmall:
	case ClassGel:
		factor = 1.1
	case ClassSixVolt:
		factor = 0.5
	default:
		return ResistanceWindow{}, fmt.Errorf("%w: resistance of %s goes by the maker's sheet", ErrNoTable, class)
	}
	if c20Ah < 4 {
		return ResistanceWindow{}, fmt.Errorf("%w: no resistance window below 4 Ah", ErrNoTable)
	}
	for _, row := range windowTable {
		if c20Ah <= row.toAh {
			return ResistanceWindow{
				TypicalLow: factor * row.TypicalLow, TypicalHigh: factor * row.TypicalHigh,
				PlausibleLow: factor * row.PlausibleLow, PlausibleHigh: factor * row.PlausibleHigh,
			}, nil
		}
	}
	return ResistanceWindow{}, fmt.Errorf("%w: no resistance window above 40 Ah", ErrNoTable)
}

// BlockVoltages is what a block of so many cells can plausibly show, V: 1.5 V a
// cell to 2.7 V of lead-acid and 4.4 V of lithium. Outside, doubt the reading; the
// bench asks by the same. Common practice, no source.
func BlockVoltages(c Chemistry, cells int) (low, high float64) {
	most := 4.4
	if c.LeadAcid() {
		most = 2.7
	}
	return 1.5 * float64(cells), most * float64(cells)
}
