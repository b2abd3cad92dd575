package kinds

import (
	"fmt"

	"tracewright/models"
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

// BlockPlaces are the places of a pack as keys: "1.1", "1.2".
func BlockPlaces(p models.PackForm) map[string]bool {
	places := map[string]bool{}
	for _, b := range blocksOf(&p) {
		places[b.Key()] = true
	}
	return places
}

// BlocksKnown is how many of a pack's blocks are known by what is fitted in it:
// each by its number, or at least by its lot. A form that names no block model
// asks for none; want is then 0.
func BlocksKnown(p models.PackForm, fitted []models.FittedPart) (got, want int) {
	if p.BlockProduct == "" {
		return 0, 0
	}
	numbered, ofLots := map[string]bool{}, 0
	for _, f := range fitted {
		switch {
		case f.Role != models.KindBlock:
		case f.PartID != nil:
			numbered[*f.PartID] = true
		case f.LotID != nil:
			ofLots += f.Quantity
		}
	}
	return len(numbered) + ofLots, p.Strings * p.Blocks
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
