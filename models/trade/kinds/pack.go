package kinds

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// Characteristics of a pack.
const (
	BlockVoltage     = "block_voltage"
	BlockResistance  = "block_resistance"
	BlockTemperature = "block_temperature"
	PackVoltage      = "pack_voltage"
)

// packTicks is the short list of a pack. Common practice, no source.
var packTicks = []string{"polarity_checked", "insulated", "terminals_covered", "labelled"}

var packKind = Kind{
	Name:   models.KindPack,
	Letter: 'P',
	Stages: []Stage{{models.Final, true}, {models.Recheck, true}},
	Grades: []string{"B", "A"},

	characteristics: packCharacteristics,
	place:           placeOnPack,
	reduce:          reducePack,
}

// packLimits are what a grade asks of a pack's blocks, decimal text, V at 25
// degrees for the block the product names.
type packLimits struct{ lowest, voltageRange, resistancePct, stringDifference string }

// limitsOf gives the default limits for the product's block: of lead-acid rest
// voltage, range and resistance scaled from six cells; of lithium no least
// voltage, since it ships by state of charge. Common practice, no source; see
// package pack for each figure.
func limitsOf(grade string, form models.PackForm) (packLimits, error) {
	chemistry := pack.Chemistry(form.Chemistry)
	limits, err := lithiumLimits(grade, chemistry)
	if chemistry.LeadAcid() {
		limits, err = leadLimits(grade, form)
	}
	if err != nil {
		return packLimits{}, fmt.Errorf("default limits of a pack: %w", err)
	}
	// The limit does not depend on the voltages, so any two that agree will do.
	level := []measure.Decimal{measure.FromInt(12), measure.FromInt(12)}
	join, err := pack.JoinStrings(level, chemistry, form.Cells*form.Blocks)
	if err != nil {
		return packLimits{}, fmt.Errorf("default limits of a pack: %w", err)
	}
	limits.stringDifference = join.Limit.RoundTo(4).Trim().String()
	return limits, nil
}

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
	if l.lowest, err = scaled(lowest, form.Cells, ready.PerCells); err != nil {
		return packLimits{}, err
	}
	l.voltageRange, err = scaled(voltageRange, form.Cells, ready.PerCells)
	return l, err
}

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

// scaled multiplies a limit by cells over perCells, exactly where it comes out.
func scaled(limit string, cells, perCells int) (string, error) {
	d, err := measure.Parse(limit)
	if err == nil {
		d, err = d.Mul(measure.FromInt(int64(cells)))
	}
	if err == nil {
		d, err = d.Quo(measure.FromInt(int64(perCells)))
	}
	if err != nil {
		return "", fmt.Errorf("scale limit %s by %d/%d cells: %w", limit, cells, perCells, err)
	}
	d = d.RoundTo(4).Trim()
	if d.Decimals() < 2 {
		d = d.RoundTo(2)
	}
	return d.String(), nil
}

func packCharacteristics(grade string, form models.ProductForm) ([]models.Characteristic, error) {
	p := models.PackForm{Chemistry: string(pack.AGM), Cells: pack.CellsPer12V, Strings: 1, Blocks: 4}
	if form.Pack != nil {
		p = *form.Pack
	}
	limits, err := limitsOf(grade, p)
	if err != nil {
		return nil, err
	}
	every, whole := []string{models.EveryBlock}, []string{models.Whole}
	sumTolerance, err := pack.DefaultSumTolerance(p.Blocks)
	if err != nil {
		return nil, fmt.Errorf("tolerance of the series sum: %w", err)
	}
	voltage := models.Characteristic{Code: BlockVoltage, Form: models.Measured, Unit: "V", Units: []string{"V", "mV"}, Methods: every, Instrument: "voltmeter",
		Results: []models.Limit{
			{Result: "ocv_lowest", Unit: "V", Decimals: 4, Low: limits.lowest, Required: every},
			{Result: "ocv_spread", Unit: "V", Decimals: 4, High: limits.voltageRange, Required: every},
			{Result: "block_ocv25", Unit: "V", Decimals: 4, Required: every},
			{Result: "block_soc", Unit: "%", Decimals: 2},
		}}
	resistance := models.Characteristic{Code: BlockResistance, Form: models.Measured, Unit: "mohm", Units: []string{"mohm", "ohm", "uohm", "S"}, Methods: every, Instrument: "resistance_meter",
		Results: []models.Limit{
			{Result: "resistance_spread_pct", Unit: "%", Decimals: 3, High: limits.resistancePct, Required: every},
			{Result: "block_r25", Unit: "mohm", Decimals: 4, Required: every},
		}}
	total := models.Characteristic{Code: PackVoltage, Form: models.Measured, Unit: "V", Units: []string{"V", "mV"}, Methods: whole, Instrument: "voltmeter",
		Results: []models.Limit{{Result: "series_difference", Unit: "V", Decimals: 4, High: sumTolerance.String(), Required: whole}}}
	if p.Strings > 1 {
		total.Results = append(total.Results, models.Limit{Result: "string_difference", Unit: "V", Decimals: 4, High: limits.stringDifference, Required: whole})
	}
	list := []models.Characteristic{
		voltage, resistance,
		{Code: BlockTemperature, Form: models.Measured, Unit: "degC", Units: []string{"degC"}, Methods: []string{models.Whole, models.EveryBlock}, Instrument: "thermometer",
			Results: []models.Limit{{Result: "temperature", Unit: "degC", Decimals: 2, Required: []string{models.Whole, models.EveryBlock}}}},
		total,
	}
	for _, code := range packTicks {
		list = append(list, ticked(code))
	}
	return list, nil
}

// placeOnPack checks the places of a pack's readings: every block of every
// string once, one temperature for all or one a block, and one voltage a
// string (at place 0 of each).
func placeOnPack(form models.ProductForm, s *Set) *models.Remark {
	p := form.Pack
	if s.Characteristic.Form != models.Measured {
		s.Index = []models.Position{models.Spoke(0)}
		return nil
	}
	blocks := blocksOf(p)
	switch {
	case s.Characteristic.Code == PackVoltage:
		whole := make([]models.Position, p.Strings)
		for i := range whole {
			whole[i] = models.Block(i+1, 0)
		}
		return placeAll(s, whole)
	case s.Method == models.Whole:
		if len(s.Values) != 1 {
			return count(len(s.Values), 1)
		}
		s.Index = []models.Position{models.Spoke(0)}
		return nil
	}
	return placeAll(s, blocks)
}

func placeAll(s *Set, wanted []models.Position) *models.Remark {
	if len(s.Values) != len(wanted) {
		return count(len(s.Values), len(wanted))
	}
	if len(s.Index) == 0 || len(wanted) == 1 {
		s.Index = wanted
	}
	return once(s.Index, wanted)
}

func blocksOf(p *models.PackForm) []models.Position {
	var list []models.Position
	for str := 1; str <= p.Strings; str++ {
		for place := 1; place <= p.Blocks; place++ {
			list = append(list, models.Block(str, place))
		}
	}
	return list
}
